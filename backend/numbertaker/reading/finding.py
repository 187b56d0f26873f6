"""Find the cards on a picture and the table on each, whichever way up it lies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from numbertaker.reading.desk import Desk
from numbertaker.reading.geometry import Picture, Plane, lay_flat
from numbertaker.reading.inks import find_stamp, without_stamp
from numbertaker.reading.learnt import NOTHING_LEARNT, Learnt
from numbertaker.reading.papers import Paper, find_papers, lies_sideways
from numbertaker.reading.recognisers import Recogniser
from numbertaker.reading.table import NoTable, Table, find_table, survey

CLEAN = 1.1
"""How much of a stamp is taken off before marks are looked for: a little more than is there, so that none
is left.
"""


def tables_of(
    scan: Picture,
    recogniser: Recogniser,
    further_headings: Mapping[str, Sequence[str]] | None = None,
    learnt: Learnt = NOTHING_LEARNT,
) -> list[tuple[Desk, Table | NoTable]]:
    """The cards on a picture, each laid flat with its table, or why it has none; top to bottom.

    Empty where nothing is written.
    """
    found = (_table_on(scan, paper, recogniser, further_headings, learnt) for paper in find_papers(scan))
    return [card for card in found if card is not None]


def _table_on(
    scan: Picture,
    paper: Paper,
    recogniser: Recogniser,
    further: Mapping[str, Sequence[str]] | None,
    learnt: Learnt,
) -> tuple[Desk, Table | NoTable] | None:
    """One paper's table: as it lies, else upside down; a paper that seems to lie on its side is tried on
    both, and then as it lies, since letters typed close under one another seem so too.
    """
    plane = lay_flat(scan, paper)
    if plane is None:
        return None
    sideways = lies_sideways(plane.letters)
    best: tuple[Desk, Table | NoTable] | None = None
    for quarters in (1, 3, 0, 2) if sideways else (0, 2):
        turned = lay_flat(scan, paper.turned(quarters)) if quarters else plane
        if turned is None:
            continue
        desk = _desk(scan, turned, recogniser)
        ground = survey(desk.plane)
        card = replace(desk, ground=ground), find_table(ground, desk.words, further, learnt)
        if best is None or _upright(card[1]) > _upright(best[1]):
            best = card
        if _upright(best[1]) > UPRIGHT:
            break
    return best


UPRIGHT = 0.8
"""From here on a table is held to stand upright without looking at it from the other side."""


def _upright(table: Table | NoTable) -> float:
    """How surely a table stands upright: titles on their head are read badly, and have no rows below."""
    if isinstance(table, NoTable):
        return 0.0
    under, over = len(table.rows), len([line for line in table.above if line])
    return table.titled * (1.0 if under > 1 and under >= over else 0.4)


def _desk(scan: Picture, plane: Plane, recogniser: Recogniser) -> Desk:
    """The flat card, a stamp taken off it."""
    stamp = find_stamp(plane.colour, plane.letters)
    if stamp:
        plane = replace(plane, colour=without_stamp(plane.colour, stamp, CLEAN))
    return Desk(scan, plane, recogniser, stamp)
