"""What a package adds to the rows that are known, and where the two clash."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from numbertaker.evidence.package.values import RECORD_OF, Package, Row, TableIn
from numbertaker.evidence.records import Record

_Content: TypeAlias = frozenset[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Merge:
    """By table: the records that are new, and how many were known already. `clashes` names rows at odds."""

    new: Mapping[str, tuple[Record, ...]]
    unchanged: Mapping[str, int]
    clashes: tuple[str, ...]


def merge(package: Package, known: Mapping[str, Sequence[Sequence[Record]]]) -> Merge:
    """Compare a package with what is known; `known` gives, by table, one or more views of its rows.

    Views are the rows as they came and the rows as an export gives them: a row that equals either is known.
    Rows with an id are compared one by one. Of rows without (a designation, say) one thing may be said
    several times: those of one key are compared as a whole, and may grow but not differ.
    """
    new: dict[str, tuple[Record, ...]] = {}
    unchanged: dict[str, int] = {}
    clashes: list[str] = []
    for name, table in package.tables.items():
        views = [_by_key(view) for view in known.get(name, ())]
        single = len(RECORD_OF[name].KEY) == 1
        added, clashing = _single(table, views) if single else _several(table, views)
        new[name] = tuple(row.record for row in added)
        unchanged[name] = len(table.rows) - len(added) - len(clashing)
        clashes += (f"{table.file}, row {row.number}: {row.record.key}" for row in clashing)
    return Merge(new, unchanged, tuple(clashes))


def content(record: Record) -> _Content:
    """What a record states: its filled cells, in no order."""
    return frozenset((column, text) for column, text in record.row().items() if text)


def _by_key(records: Iterable[Record]) -> dict[str, Counter[_Content]]:
    found: defaultdict[str, Counter[_Content]] = defaultdict(Counter)
    for record in records:
        found[record.key][content(record)] += 1
    return found


def _single(table: TableIn, views: Sequence[Mapping[str, Counter[_Content]]]) -> tuple[list[Row], list[Row]]:
    added: list[Row] = []
    clashing: list[Row] = []
    for row in table.rows:
        known = [view[row.record.key] for view in views if row.record.key in view]
        if not known:
            added.append(row)
        elif not any(content(row.record) in one for one in known):
            clashing.append(row)
    return added, clashing


def _several(table: TableIn, views: Sequence[Mapping[str, Counter[_Content]]]) -> tuple[list[Row], list[Row]]:
    groups: defaultdict[str, list[Row]] = defaultdict(list)
    for row in table.rows:
        groups[row.record.key].append(row)
    added: list[Row] = []
    clashing: list[Row] = []
    for key, rows in groups.items():
        known = next((view[key] for view in views if key in view), Counter[_Content]())
        left = Counter(known)
        fresh = []
        for row in rows:
            if left[content(row.record)] > 0:
                left[content(row.record)] -= 1
            else:
                fresh.append(row)
        (clashing if fresh and left.total() else added).extend(fresh)
    order = {id(row): n for n, row in enumerate(table.rows)}
    return sorted(added, key=lambda row: order[id(row)]), clashing
