"""Every number that reconciling weighs with, named, in one place. All are inputs; none is learnt here."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final


@dataclass(frozen=True, slots=True)
class Settings:
    """What a run rests on besides the evidence; the same settings and evidence give the same history.

    Shares are probabilities from 0 to 1. They are starting values from the trade's habits, set on worlds of
    our own making (docs/maths.md), and can all be replaced.
    """

    level: float = 0.95
    """The probability with which a stated interval holds the true day or miles."""
    gap_days: int = 90
    """How many days beyond the usual a component may be unaccounted for before that is a finding."""
    typed_slip: float = 0.012
    """How often a cell that a person typed is wrong in itself."""
    date_slip: float = 0.02
    """How often a date as written is not that of the event."""
    slip_reach: float = 260.0
    """How far a wrong date lies off, in days: the scale of an exponential tail."""
    figure_slip: float = 0.015
    copy_slip: float = 0.05
    """How often a figure in a copy is not that of its original."""
    copied_date_slip: float = 0.06
    """The same for a date."""
    mirror_kept: float = 0.08
    """How often a card that survives for the time leaves out a fitment that was."""
    order_odds: float = 5.0
    """How strongly order speaks, in natural log: a neighbour that is certain rules out all but e^-5."""
    sweeps: int = 3
    placed_above: float = 0.35
    """A fitment whose component and engine are both likelier than this is given."""
    rate_spread: float = 0.2
    """Standard deviation of the log of miles a day within a class, at least."""
    usual_rate: float = 95.0
    """Miles a day where an archive has no two agreeing figures to learn from; common practice, no source."""
    repair_agreement: float = 0.4
    """If a smaller share of a card's lines agrees with the cards facing it, look-alike headings are tried."""
    doubtful_reading: float = 0.5
    """A cell that is likelier misread than not is worth a second look where something hangs on it."""
    reliability: dict[str, float] = field(
        default_factory=lambda: {"published": 0.94, "recollection": 0.85, "letter": 0.93, "photograph": 0.97}
    )
    """The default share of right statements of a kind of source; the rest are works papers at .98."""


DEFAULT: Final = Settings()
