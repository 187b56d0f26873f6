"""What was learnt of the archive's papers, as a person reads it."""

from __future__ import annotations

from collections.abc import Mapping

from numbertaker.archive import Archive
from numbertaker.reconciling.learning import SHIPPED, Learnt, Share, of_json
from numbertaker.usecases.calibrating import EVERY, curves_in_force
from numbertaker.usecases.look.views import LearntRow, LearntView

_WORDS = {"date": "a date is wrong", "figure": "a figure is wrong", "reference": "a number or name is wrong"}
_COPIED = {"date": "a date", "figure": "a figure", "reference": "a number or name"}


def learnt_view(archive: Archive) -> LearntView:
    """The version that is in force, from how much it was learnt, and its chief shares."""
    known = archive.lessons()
    learnt = of_json(known[-1].body) if known else SHIPPED
    rows = _rows(learnt)
    if not known:
        says = (
            "Nothing has been learnt from this archive yet; confidence goes by what is usual of such papers."
        )
        return LearntView(0, "", "", says, 0, 0, rows)
    last = known[-1]
    says = (
        f"Confidence goes by what was learnt on {last.at[:10]} (version {last.version}) from"
        f" {learnt.lines:,} lines, among them {learnt.fitments:,} fitments on two independent cards."
        f"{_of_readings(archive)}"
    )
    return LearntView(last.version, last.at, last.by, says, learnt.lines, learnt.fitments, rows)


def _of_readings(archive: Archive) -> str:
    """From how many checked cells the confidence of readings was mended, as a further sentence."""
    curves = curves_in_force(archive)
    if not curves:
        return ""
    cells = sum(kinds[EVERY].cells for kinds in curves.values())
    where = "one source" if len(curves) == 1 else f"{len(curves)} sources"
    return f" How surely cells are read goes by {cells:,} checked cells of {where}."


def _rows(learnt: Learnt) -> list[LearntRow]:
    """The shares that rest on cases of the archive's own."""
    found = [_row(f"{_WORDS[says]} on a {kind}", share) for says, kind, share in _named(learnt.slips)]
    found += [
        _row(f"{_COPIED[says]} in a copy ({kind}) is not its original's", share)
        for says, kind, share in _named(learnt.copying)
    ]
    for side in ("component", "engine"):
        found.append(_row(f"the card of {side}s leaves out a fitment", learnt.lost[f"line/{side}"]))
    return [row for row in found if row.cases]


def _named(shares: Mapping[str, Share]) -> list[tuple[str, str, Share]]:
    """The shares of one kind of source each: what is said, the kind, and the share."""
    parted = ((*name.partition("/")[::2], share) for name, share in sorted(shares.items()))
    return [(says, kind, share) for says, kind, share in parted if kind]


def _row(what: str, share: Share) -> LearntRow:
    return LearntRow(what.replace("a engine", "an engine").replace("-", " "), share.share, share.cases)
