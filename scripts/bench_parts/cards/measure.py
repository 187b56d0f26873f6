"""How right a table is, against the truth: columns, rows and cells found, and whether all of it is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

MOST: Final = 0.85
"""A column or row is found if this share of its inked cells lies in one that has hardly anything else."""


@dataclass(slots=True)
class Found:
    """Counts of one card. `wrong` says in words what was not found."""

    columns: tuple[int, int] = (0, 0)
    rows: tuple[int, int] = (0, 0)
    cells: tuple[int, int] = (0, 0)
    named: tuple[int, int] = (0, 0)
    whole: bool = False
    wrong: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Grid:
    """A found table in the truth's terms: a function from a place on the scan to (row, column), and the
    titles.
    """

    at: Any
    rows: int
    fields: tuple[str, ...]


def inked(entry: dict[str, Any]) -> list[dict[str, Any]]:
    """The cells of the table that have writing, texts that run over all columns left out."""
    return [c for c in entry["cells"] if c["row"] > 0 and c["text"] and c["field"] != "runs"]


def compare(entry: dict[str, Any], grid: Grid | None) -> Found:
    """Hold a found table to the truth of a card."""
    cells = inked(entry)
    names = [name for name, _ in entry["columns"]]
    used = [name for name in names if any(c["field"] == name for c in cells)]
    rows = sorted({c["row"] for c in cells})
    if grid is None:
        return Found((0, len(used)), (0, len(rows)), (0, len(cells)), (0, len(used)), wrong=["no table"])
    places = [(c, grid.at(c["box"])) for c in cells]
    column_of = _matched(((c["field"], at[1]) for c, at in places), used)
    row_of = _matched(((c["row"], at[0]) for c, at in places), rows)
    right = sum(
        row_of.get(c["row"]) == at[0] is not None and column_of.get(c["field"]) == at[1] is not None
        for c, at in places
    )
    named = sum(
        name in column_of and (name[0].isupper() or grid.fields[column_of[name]] == name) for name in used
    )
    wrong = [f"column {n}" for n in used if n not in column_of] + [
        f"row {r}" for r in rows if r not in row_of
    ]
    runs = sum(c["field"] == "runs" for c in entry["cells"])
    extra_columns = len(grid.fields) - len(names)
    extra_rows = grid.rows - len(rows) - runs
    if extra_columns > 0:
        wrong.append(f"{extra_columns} columns too many")
    if extra_rows > 0:
        wrong.append(f"{extra_rows} rows too many")
    if right < len(cells):
        wrong.append(f"{len(cells) - right} cells misplaced")
    return Found(
        (len(column_of), len(used)),
        (len(row_of), len(rows)),
        (right, len(cells)),
        (named, len(used)),
        not wrong,
        wrong,
    )


def _matched(pairs: Any, wanted: Sequence[Any]) -> dict[Any, int]:
    """Which found index holds most of each true one, and hardly anything else."""
    of_true: dict[Any, Counter[Any]] = defaultdict(Counter)
    of_found: dict[Any, Counter[Any]] = defaultdict(Counter)
    for true, found in pairs:
        of_true[true][found] += 1
        of_found[found][true] += 1
    out = {}
    for true in wanted:
        found, count = of_true[true].most_common(1)[0]
        others = sum(of_found[found].values()) - count
        if (
            found is not None
            and count >= MOST * sum(of_true[true].values())
            and others <= (1 - MOST) * count + 0.5
        ):
            out[true] = found
    return out


def auroc(scored: Sequence[tuple[float, bool]]) -> float:
    """The probability that a right one has the higher score than a wrong one; ties count half."""
    good, bad = [s for s, right in scored if right], [s for s, right in scored if not right]
    if not good or not bad:
        return float("nan")
    wins = sum((g > b) + 0.5 * (g == b) for g in good for b in bad)
    return wins / (len(good) * len(bad))
