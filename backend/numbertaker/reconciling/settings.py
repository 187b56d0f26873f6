"""The numbers that reconciling weighs with, named, in one place; those that an archive teaches stand in
`numbertaker.reconciling.learning`.
"""

from __future__ import annotations

from dataclasses import dataclass
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
    """How many days beyond the usual a component may be unaccounted for, or an engine without one, before
    that is a finding. Components lie spare for years, engines do not; common practice, no source."""
    slip_reach: float = 260.0
    """How far off a date lies that is wrong in no usual way, in days: the scale of an exponential tail."""
    mirror_kept: float = 0.08
    """How often a card that survives for the time leaves out a fitment that was."""
    looked_missed: float = 0.06
    """How often somebody who looked for a fitment where it stands missed it."""
    life_odds: float = 5.0
    """How strongly a life speaks, in natural log: of what lies outside it, all but e^-5 is ruled out."""
    sweeps: int = 3
    """How often at most the events of a chain hear each other anew."""
    rests_above: float = 0.8
    """A history rests on a cell that is likelier true than this: what is less sure has its rivals within the
    range that is given, and nothing is built on it alone."""
    given_above: float = 0.5
    """A fitment is given that is likelier than this."""
    rate_spread: float = 0.2
    """Standard deviation of the log of miles a day within a class, at least."""
    repair_agreement: float = 0.4
    """If a smaller share of a card's lines agrees with the cards facing it, look-alike headings are tried."""
    doubtful_reading: float = 0.5
    """A cell that is likelier misread than not is worth a second look where something hangs on it."""


DEFAULT: Final = Settings()
