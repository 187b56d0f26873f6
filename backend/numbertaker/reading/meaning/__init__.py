"""What a card as a whole makes of its cells: a likelier text beside what was seen, with its reason.

What was seen is never replaced. Where the card's own arithmetic, the order of its dates or the lists of the
archive speak against it and for another text, that is *proposed* beside it, and a person takes it or leaves
it. `propose` looks at one card; `numbertaker.reading.meaning.figures`, `.dates` and `.names` say how.
"""

from __future__ import annotations

from collections.abc import Sequence

from numbertaker.reading.meaning.dates import propose_dates
from numbertaker.reading.meaning.figures import propose_figures
from numbertaker.reading.meaning.names import propose_names
from numbertaker.reading.meaning.values import Known, Proposal, Proposals
from numbertaker.reading.values import LineReading


def propose(lines: Sequence[LineReading], known: Known) -> Proposals:
    """The proposals for the lines of one card, by place in `lines` (from 0) and field.

    A cell has one at most, and none where it is blank, struck or a ditto mark.
    """
    return {**propose_names(lines, known), **propose_dates(lines), **propose_figures(lines)}


__all__ = ["Known", "Proposal", "propose"]
