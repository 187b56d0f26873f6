"""`python scripts/bench_parts/second_worlds --components 300 --profile typical --seed 1 --out DIR`."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from second_worlds.files import make

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--components", type=int, default=300)
parser.add_argument("--profile", choices=("clean", "typical", "hard"), default="typical")
parser.add_argument("--seed", type=int, default=1)
parser.add_argument("--out", type=Path, required=True)
given = parser.parse_args()
print(make(given.components, given.profile, given.seed, given.out))
