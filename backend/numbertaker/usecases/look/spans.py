"""Days, dates and miles as the screens have them: a figure, its bounds, and words."""

from __future__ import annotations

from numbertaker.evidence.days import Day, iso
from numbertaker.publishing.dates import when_words
from numbertaker.publishing.figures import mile_range, miles
from numbertaker.reconciling.history import Miles, When
from numbertaker.usecases.look.views import MilesView, WhenView


def iso_or_none(day: Day | None) -> str | None:
    """A day as ISO 8601."""
    return None if day is None else iso(day)


def when_view(when: When | None) -> WhenView | None:
    """A date as claimed, its bounds as ISO days, and in words."""
    if when is None:
        return None
    return WhenView(
        when.edtf, iso_or_none(when.earliest), iso_or_none(when.latest), when.level, when_words(when)
    )


def miles_view(known: Miles | None) -> MilesView | None:
    """Miles with the words for them."""
    if known is None:
        return None
    said = miles(known.value) if known.value is not None else mile_range(known.low, known.high)
    return MilesView(known.value, known.low, known.high, known.level, known.basis, said)
