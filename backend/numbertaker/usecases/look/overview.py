"""What an archive holds, on one screen."""

from __future__ import annotations

import numbertaker
from numbertaker.archive import Archive
from numbertaker.usecases.look.components import components
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.jobs import jobs
from numbertaker.usecases.look.learnt import learnt_view
from numbertaker.usecases.look.summaries import source_summary
from numbertaker.usecases.look.views import Counts, Overview


def overview(archive: Archive) -> Overview:
    """Counts, components, sources, unread cards, and the latest jobs."""
    made = index(archive)
    return Overview(
        archive=archive.name,
        version=numbertaker.__version__,
        counts=_counts(made),
        components=components(archive),
        sources=[source_summary(made, row) for row in made.evidence.sources],
        unread=[card_id for card_id in made.cards if made.unread(card_id)],
        jobs=jobs(archive, latest=5),
        learnt=learnt_view(archive),
    )


def _counts(made: Index) -> Counts:
    still_open = sum(finding.settled_by is None for finding in made.findings.values())
    return Counts(
        sources=len(made.evidence.sources),
        cards=len(made.cards),
        scans=len(made.scans),
        lines=len(made.lines),
        engines=len(made.evidence.engines),
        components=len(made.evidence.components),
        findings_open=still_open,
        findings_settled=len(made.findings) - still_open,
        decisions=len(made.raw.decisions),
    )
