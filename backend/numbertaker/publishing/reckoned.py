"""The sentences of what was reckoned from a history, each over a note that names its inputs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from numbertaker.evidence.days import Span
from numbertaker.publishing.citations import Notes, reckoned_from
from numbertaker.publishing.comparisons import DAYS, Comparison, Range
from numbertaker.publishing.dates import text_span, when_span
from numbertaker.publishing.derived import (
    Between,
    changes,
    days_between,
    days_on,
    longest,
    miles_a_year,
    share_of_life,
)
from numbertaker.publishing.document import Inlines, Paragraph, Run, words
from numbertaker.publishing.figures import counted, grouped
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.narrative import placed_gaps, stated_dates
from numbertaker.reconciling.history import ComponentHistory

CLOSE = 0.02
"""Two ends of a range that differ by less than this part are told as one figure with 'about'."""


class Reckoner:
    """Tells what was reckoned from one history; `marks` has the number of the note to each fitment."""

    def __init__(
        self, matter: Matter, component: ComponentHistory, notes: Notes, marks: Mapping[int, int]
    ) -> None:
        """Take the history and the notes that its statements have by now."""
        self._matter, self._component, self._notes, self._marks = matter, component, notes, marks
        self._fitments = component.fitments
        self._gaps = frozenset(placed_gaps(component))

    def told(self) -> Iterator[Paragraph]:
        """Every statement that can be reckoned, in order; what can't be is left out."""
        for tell in (self._a_year, self._between, self._share, self._longest):
            paragraph = tell()
            if paragraph is not None:
                yield paragraph
        for comparison in self._matter.manner.compared(self._component.component_id):
            yield self.compared(comparison)

    def _a_year(self) -> Paragraph | None:
        rate = miles_a_year(self._fitments)
        if rate is None:
            return None
        said = self._range(rate, self._matter.usage.miles)
        return self._said("rate", f"In traffic it ran {said} a year on average.", "miles and dates", rate)

    def _between(self) -> Paragraph | None:
        off = days_between(self._fitments, self._gaps)
        if off is None:
            return None
        many = counted(changes(self._fitments, self._gaps), "change")
        span = self._range(off, lambda days: counted(days, "day") if days < 13 else f"{grouped(days)} days")
        return self._said(
            "off",
            f"Between one fitment and the next it was out of traffic for {span}, in {many}.",
            "dates",
            off,
        )

    def _share(self) -> Paragraph | None:
        born, ended, made = self._life()
        share = share_of_life(self._fitments, born, ended)
        if share is None:
            return None
        low, high = round(100 * share.low), round(100 * share.high)
        part = f"{low} per cent" if low == high else f"between {low} and {high} per cent"
        return self._said("share", f"It is placed on an engine for {part} of its life{made}.", "dates", share)

    def _life(self) -> tuple[Span, Span, str]:
        """When it was made and when it ended; its first and last stay stand for what is not stated."""
        born, ended = stated_dates(self._matter, self._component)
        made = ""
        if born is None:
            made = ", counted from its first fitment"
        if ended is None:
            made += f"{' and' if made else ','} counted to its last removal" if self._fitments else ""
        first = when_span(self._fitments[0].fitted) if self._fitments else Span(None, None)
        last = when_span(self._fitments[-1].removed) if self._fitments else Span(None, None)
        return (
            first if born is None else text_span(born),
            last if ended is None else text_span(ended),
            made,
        )

    def _longest(self) -> Paragraph | None:
        found = longest(self._fitments)
        if found is None:
            return None
        stay, certain = found
        years = self._range(Between(stay.low / DAYS, stay.high / DAYS, ()), _years)
        hedge = "" if certain else "perhaps "
        engine = self._matter.called(self._fitments[stay.fitments[0]])
        every = Between(stay.low, stay.high, tuple(range(len(self._fitments))))
        return self._said(
            "longest", f"Its longest stay was {hedge}that on {engine}: {years}.", "dates", every
        )

    def compared(self, comparison: Comparison) -> Paragraph:
        """A comparison held against the figures: it stands, or it is contradicted with the right one."""
        quantity, told = self._quantity(comparison)
        if quantity is None:
            found = f" There is no figure of {comparison.quantity} to hold it against."
            return self._closed(comparison, found, stands=True)
        low, high = comparison.found(quantity)
        ratio = _ratio(low) if _ratio(low) == _ratio(high) else f"between {_ratio(low)} and {_ratio(high)}"
        stands = comparison.stands(quantity)
        start = "The figures bear it out" if stands else "The figures contradict it"
        verb = "is" if comparison.quantity == "miles" else "are"
        found = f" {start}: {told} {verb} {ratio} times {comparison.named}."
        return self._closed(comparison, found, stands=stands)

    def _closed(self, comparison: Comparison, found: str, *, stands: bool) -> Paragraph:
        """The comparison as its maker says it, and what the figures say of it."""
        says = comparison.says.strip() or f"{comparison.times} times {comparison.named}."
        cited = self._notes.source(comparison.source_id, comparison.place) if comparison.source_id else None
        quoted = f"‘{says}’" if comparison.source_id else says
        run = Run(quoted, degree=None if stands else "contradicted")
        note = self._notes.remark(*self._inputs("figures and dates", tuple(range(len(self._fitments)))))
        key = f"comparison:{comparison.quantity}:{comparison.times}:{comparison.named}"
        return Paragraph(words(run, cited, found, note), key=key)

    def _quantity(self, comparison: Comparison) -> tuple[Range | None, str]:
        """The figure of the component that is compared, as a range and in words."""
        stays = len(self._fitments)
        engines = len({fitment.engine_id for fitment in self._fitments})
        if comparison.quantity == "miles":
            return self._miles()
        if comparison.quantity == "engines":
            return (engines, engines), counted(engines, "engine")
        if comparison.quantity == "fitments":
            return (stays, stays), counted(stays, "fitment")
        spans = [days for fitment in self._fitments if (days := days_on(fitment)) is not None]
        if not spans:
            return None, ""
        low, high = sum(least for least, _ in spans), sum(most for _, most in spans)
        return (
            low,
            high,
        ), f"{self._range(Between(low, high, ()), lambda d: f'{grouped(d)} days')} in traffic"

    def _miles(self) -> tuple[Range | None, str]:
        total = self._component.miles
        if not total.supported and not total.high:
            return None, ""
        low = total.supported if total.low is None else min(total.low, total.supported)
        high = total.supported if total.high is None else max(total.high, total.supported)
        return (low, high), self._matter.usage.mile_range(low, high)

    def _range(self, figure: Between, say) -> str:  # type: ignore[no-untyped-def]
        """A range as its two ends, or as one figure where they lie close together."""
        low, high = figure.low, figure.high
        if isinstance(low, float) and say is not _years:
            low, high = round(low), round(high)
        if low == high:
            return str(say(low))
        if high - low < CLOSE * high:
            return f"about {say(_rounded((low + high) / 2) if say is not _years else (low + high) / 2)}"
        least = str(say(low))
        return f"between {least.partition(' ')[0]} and {say(high)}"

    def _said(self, kind: str, sentence: str, from_: str, figure: Between) -> Paragraph:
        note = self._notes.remark(*self._inputs(from_, figure.fitments))
        return Paragraph(words(sentence, note), key=f"reckoned:{kind}")

    def _inputs(self, what: str, fitments: tuple[int, ...]) -> Inlines:
        cited = [self._marks[n] for n in fitments if n in self._marks]
        if not cited:
            return words(f"Reckoned from the {what} of its fitments, for which nothing is cited.")
        return reckoned_from(f"Reckoned from the {what} in", cited)


def _years(value: float) -> str:
    return f"{value:.1f} years"


def _rounded(value: float) -> int:
    """A middle to two figures fewer than it has, so that 'about' is not said of a precise number."""
    step: int = max(1, 10 ** (len(str(round(value))) - 3))
    return int(round(value / step) * step)


def _ratio(value: float) -> str:
    return f"{value:,.0f}" if value >= 100 else f"{value:.1f}" if value >= 1 else f"{value:.2g}"
