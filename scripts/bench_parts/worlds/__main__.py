"""Lets the folder be run.

`python scripts/bench_parts/worlds --components 300 --profile typical --seed 1 --out DIR`
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from worlds.commands import main

if __name__ == "__main__":
    raise SystemExit(main())
