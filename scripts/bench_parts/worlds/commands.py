"""The command line of the generator."""

from __future__ import annotations

import argparse
from pathlib import Path

from .files import write_world
from .world import PROFILES, make_world


def main(arguments: list[str] | None = None) -> int:
    """Make one world and write it: `OUT/package/*.csv` and `OUT/truth.json`."""
    parser = argparse.ArgumentParser(
        description="Writes an invented railway's papers, and the truth behind them."
    )
    parser.add_argument("--components", type=int, default=300, help="how many components (8 or more)")
    parser.add_argument("--profile", choices=PROFILES, default="typical")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, required=True, help="the folder to write into")
    wanted = parser.parse_args(arguments)
    world = make_world(wanted.components, wanted.profile, wanted.seed)
    write_world(world, wanted.out)
    touched = sum(line.touched for line in world.lines)
    print(
        f"{wanted.out}: {len(world.components)} components, {len(world.lines)} lines, "
        f"{len(world.faults)} faults, {100 * (1 - touched / len(world.lines)):.1f} % of lines untouched"
    )
    return 0
