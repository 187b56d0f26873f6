"""What the screens show, as values: the web gives them as JSON, word for word.

Nothing here is computed; the modules beside this one fill the values in. A *box* is
`(x, y, width, height)` in pixels of the scan with its EXIF orientation applied. *Sure* is
the probability that a claim is true of the component's history; *confidence* on a cell is
how surely its letters were read.
"""

from __future__ import annotations

from numbertaker.usecases.look.views.cells import (
    AlternativeText,
    Box,
    CandidateView,
    CellView,
    ClaimView,
    Degree,
    InsteadView,
    LineView,
    ProposedText,
    ReasonView,
    ScanRef,
)
from numbertaker.usecases.look.views.desks import (
    AuthorityRow,
    AuthorityTable,
    CardPage,
    CardSummary,
    Counts,
    EngineSummary,
    LearntRow,
    LearntView,
    Overview,
    ScanView,
    SourcePage,
    SourceSummary,
)
from numbertaker.usecases.look.views.doings import (
    Changed,
    Decided,
    ImportedView,
    ItemState,
    JobItemView,
    JobState,
    JobView,
    TakenInView,
)
from numbertaker.usecases.look.views.findings import (
    ComponentRef,
    DecisionView,
    FindingView,
    RulingOffered,
    State,
)
from numbertaker.usecases.look.views.histories import (
    CarriedView,
    ComponentPage,
    ComponentSummary,
    DesignationView,
    EnginePage,
    EngineView,
    EventView,
    FitmentView,
    MilesView,
    NoteView,
    TotalView,
    WhenView,
)

__all__ = [
    "AlternativeText",
    "AuthorityRow",
    "AuthorityTable",
    "Box",
    "CandidateView",
    "CardPage",
    "CardSummary",
    "CarriedView",
    "CellView",
    "Changed",
    "ClaimView",
    "ComponentPage",
    "ComponentRef",
    "ComponentSummary",
    "Counts",
    "Decided",
    "DecisionView",
    "Degree",
    "DesignationView",
    "EnginePage",
    "EngineSummary",
    "EngineView",
    "EventView",
    "FindingView",
    "FitmentView",
    "ImportedView",
    "InsteadView",
    "ItemState",
    "JobItemView",
    "JobState",
    "JobView",
    "LearntRow",
    "LearntView",
    "LineView",
    "MilesView",
    "NoteView",
    "Overview",
    "ProposedText",
    "ReasonView",
    "RulingOffered",
    "ScanRef",
    "ScanView",
    "SourcePage",
    "SourceSummary",
    "State",
    "TakenInView",
    "TotalView",
    "WhenView",
]
