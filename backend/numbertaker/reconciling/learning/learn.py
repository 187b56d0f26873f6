"""Learning from a reconciliation: expected counts of what was wrong, drawn towards what was taken before.

One step of expectation and maximisation (A. Dempster, N. Laird and D. Rubin, J. Royal Statistical Society B
39, 1977; for several observers of one truth A. Dawid and A. Skene, Applied Statistics 28, 1979). The
expectation is a whole reconciliation: where two independent cards tell of one fitment, the posterior of its
dates and miles says how likely each cell is wrong. The counts are then shrunk by a conjugate prior.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import exp, log
from statistics import median
from typing import TypedDict

from numbertaker.evidence.days import civil
from numbertaker.linking import Sort
from numbertaker.reconciling.chronology import class_of, mass_in
from numbertaker.reconciling.dating.chains import by_kind
from numbertaker.reconciling.entries import EVENTS, DateClaim, Draft, Entry, FigureClaim, Stay
from numbertaker.reconciling.findings.gaps import spare_between, unaccounted
from numbertaker.reconciling.learning.learnt import EVERY, Apart, InWorks, Learnt, Ran, Says, Share, of_json

WEIGHT = 300.0
"""For how many cases what was taken before counts, against the cases of the archive."""
_SHAPES_WEIGHT = 40.0
_RATE_WEIGHT = 4.0
_READ_WEIGHT = 8.0
_HALF = Share(0.5)
_LONG_ENOUGH = 200
_DIFFERS = 0.03
"""How often a copy has something else than the paper that it was made from."""
_ONE_IS_RIGHT = 0.5
_FEWEST_APART = 8
_TO_THE_WEEK = 7
_QUARTER_OF_NORMAL = 1.4826
"""From the median of absolute deviations to the standard deviation of a normal distribution."""


@dataclass(slots=True)
class _Counts:
    """Hits and cases by name."""

    hits: Counter[str] = field(default_factory=Counter)
    cases: Counter[str] = field(default_factory=Counter)

    def add(self, name: str, hit: float, case: float = 1.0) -> None:
        self.hits[name] += hit  # type: ignore[assignment]  # counters count parts too
        self.cases[name] += case  # type: ignore[assignment]

    def after(self, prior: Mapping[str, Share], weight: float = WEIGHT) -> dict[str, Share]:
        """The prior with these counts in; a name of its own starts from what stands for all kinds."""
        names = sorted({*prior, *self.cases})
        return {
            name: (prior.get(name) or prior[name.partition("/")[0]]).after(
                self.hits[name], self.cases[name], weight
            )
            for name in names
        }


def learnt_from(draft: Draft) -> Learnt:
    """What a reconciliation teaches, which was made with `draft.learnt` as what was known before."""
    before = draft.learnt
    stays = sorted(draft.stays, key=lambda s: s.rank)
    both = [stay for stay in stays if stay.own is not None and stay.mirror is not None]
    slips, misread = _slips(draft, both)
    rates = _rates(draft, both)
    date_shapes, figure_shapes, confusions = _shapes(both)
    learnt = Learnt(
        lines=len(draft.ruled.evidence.lines),
        fitments=len(both),
        slips=slips.after(before.slips),
        copying=_copying(stays).after(before.copying) | _read_after(both, before),
        misread=misread.after(before.misread, WEIGHT / 10),
        date_shapes=_parts(date_shapes, before.date_shapes),
        figure_shapes=_parts(figure_shapes, before.figure_shapes),
        confusions=_parts(confusions, before.confusions),
        lost=_lost(draft, stays).after(before.lost),
        vague=_vague(stays).after(before.vague),
        rates=rates,
        **_between(draft, before),
    )
    # As it is stored, so that a run with the value just learnt and one with the stored value are the same.
    return of_json(learnt.to_json())


def wrong_cells(draft: Draft, stay: Stay) -> Iterator[tuple[Says, Entry, str, float]]:
    """Each cell of the two independent cards, and how likely it is wrong, all things considered."""
    for entry in stay.witnesses:
        for event in EVENTS:
            claim, known = draft.trusted(entry, event), stay.dates.get(event)
            if claim is not None and known is not None and known.regions and _both(stay, event):
                yield "date", entry, event, 1 - mass_in(known.regions, claim.spans)
        figure = entry.miles
        if figure is not None and stay.figures and _both(stay, "miles") and not draft.refused(figure.key):
            yield "figure", entry, "miles", 1 - stay.figures.get(figure.value, 0.0)
    for named, subject in ((stay.own, stay.engine_id), (stay.mirror, stay.component_id)):
        if named is not None and subject is not None:
            sort: Sort = "engine" if named.side == "component" else "component"
            refs = named.engine_refs if sort == "engine" else named.component_refs
            meant = refs.get(subject) if refs is not None else None
            if sort not in named.heads and named.line.text(sort).strip():
                yield "reference", named, sort, 0.0 if meant is not None and meant.exact else 1.0


def _both(stay: Stay, cell: str) -> bool:
    """Whether two independent entries have such a cell, so that one can tell of the other."""
    return sum(bool(e.miles if cell == "miles" else e.date(cell)) for e in stay.witnesses) > 1


def _slips(draft: Draft, both: Iterable[Stay]) -> tuple[_Counts, _Counts]:
    """Slips of the clerks by what is said and kind of source, and misreadings by what is said.

    A wrong cell is parted between the two in the proportion in which they were expected before, and by what
    was copied from it: a slip of the clerk is copied, a misreading of ours is not.
    """
    slips, misread = _Counts(), _Counts()
    for stay in both:
        for says, entry, column, wrong in wrong_cells(draft, stay):
            sureness = entry.line_of(column).sureness(column)
            own = draft.learnt.slip(says, entry.source.kind)
            reading = draft.learnt.misreading(says, sureness)
            share = _of_clerk(own / (own + reading), _copied_alike(stay, entry, column))
            slips.add(f"{says}/{entry.source.kind}", wrong * share)
            if sureness is not None and sureness < 1:
                misread.add(says, wrong * (1 - share), 1 - sureness)
    return slips, misread


def _of_clerk(share: float, alike: bool | None) -> float:
    """The share of the clerk in a wrong cell, once it is known whether a copy has the same."""
    if alike is None:
        return share
    clerk, reader = (1 - _DIFFERS, _DIFFERS) if alike else (_DIFFERS, 1 - _DIFFERS)
    return share * clerk / (share * clerk + (1 - share) * reader)


def _copied_alike(stay: Stay, entry: Entry, column: str) -> bool | None:
    """Whether what was copied from an entry has the same in a cell; None where nothing was."""
    for other in stay.others:
        if other.copy and entry.line.source_id in other.source.parents:
            if column == "miles" and entry.miles and other.miles:
                return entry.miles.value == other.miles.value
            mine, theirs = entry.date(column), other.date(column)
            if column in EVENTS and mine and theirs:
                return mine.meets(theirs)
    return None


def _copying(stays: Iterable[Stay]) -> _Counts:
    """How often a copy differs from the originals that are there, where these agree with one another."""
    found = _Counts()
    for stay in stays:
        knowing = [e for e in stay.witnesses if not e.copy]
        copies = [e for e in stay.others if e.copy]
        for copy in copies if knowing else ():
            for event in EVENTS:
                claim, dates = copy.date(event), [d for e in knowing if (d := e.date(event))]
                if claim is not None and dates and all(d.meets(dates[0]) for d in dates):
                    found.add(f"date/{copy.source.kind}", not any(d.meets(claim) for d in dates))
            figures = {e.miles.value for e in knowing if e.miles}
            if copy.miles is not None and len(figures) == 1:
                found.add(f"figure/{copy.source.kind}", copy.miles.value not in figures)
    return found


def _read_after(both: Iterable[Stay], before: Learnt) -> dict[str, Share]:
    """Which part of the wrong figures, and of the wrong dates, of a paper was misread after others had copied
    it.

    Where both cards differ, a copy of the one sides with the other only if its own was misread; a wrong
    cell of the other card always has the copy against it. Both cards being wrong as often as each other,
    the part is twice the share of copies that side with the other card.
    """
    sides = {"read": Counter[bool](), "read-date": Counter[bool]()}
    for stay in both:
        one, two = stay.own, stay.mirror
        copy = next((e for e in stay.others if one and one.line.source_id in e.source.parents), None)
        if one is None or two is None or copy is None:
            continue
        figures = [e.miles.value for e in (one, two, copy) if e.miles]
        if len(figures) == 3 and figures[0] != figures[1] and figures[2] in figures[:2]:
            sides["read"][figures[2] == figures[1]] += 1
        for event in EVENTS:
            mine, theirs, copied = one.date(event), two.date(event), copy.date(event)
            if copied is not None and date_shape(mine, theirs):
                met = [claim is not None and copied.meets(claim) for claim in (mine, theirs)]
                sides["read-date"].update([met[1]] if met[0] != met[1] else [])
    found = {}
    for name, count in sides.items():
        share = before.copying.get(name, _HALF).after(2.0 * count[True], count.total(), _READ_WEIGHT)
        found[name] = Share(min(1.0, share.share), share.cases)
    return found


def _shapes(both: Iterable[Stay]) -> tuple[Counter[str], Counter[str], Counter[str]]:
    """How dates and figures differ where two cards differ; and which digit was then taken for which, either
    way as likely as the one figure or the other is right.
    """
    dates: Counter[str] = Counter()
    figures: Counter[str] = Counter()
    digits: Counter[str] = Counter()
    for stay in both:
        one, other = stay.own, stay.mirror
        if one is None or other is None:
            continue
        for event in EVENTS:
            shape = date_shape(one.date(event), other.date(event))
            dates.update([shape] if shape else [])
        if one.miles and other.miles and one.miles.value != other.miles.value:
            shape, pair = figure_shape(one.miles, other.miles)
            figures.update([shape])
            if pair:
                _count_either_way(digits, stay, one.miles, other.miles, pair)
        elif one.miles and other.miles:
            # Where both cards agree, it is a copy that took the one digit for the other.
            wrong = [e.miles for e in stay.others if e.copy and e.miles]
            digits.update([pair for copy in wrong if (pair := figure_shape(one.miles, copy)[1])])
    return dates, figures, digits


def _count_either_way(
    digits: Counter[str], stay: Stay, one: FigureClaim, other: FigureClaim, pair: str
) -> None:
    first, second = stay.figures.get(one.value, 0.0), stay.figures.get(other.value, 0.0)
    if first + second > _ONE_IS_RIGHT:
        digits[pair] += first / (first + second)  # type: ignore[assignment]  # counters count parts too
        digits[pair[::-1]] += second / (first + second)  # type: ignore[assignment]


def date_shape(one: DateClaim | None, other: DateClaim | None) -> str:
    """In which part two narrow dates differ: `day`, `month`, `year`, `other`; empty where they meet or are
    vague.
    """
    if one is None or other is None or one.meets(other) or max(one.days, other.days) > 31:
        return ""
    (y1, m1, d1), (y2, m2, d2) = civil(one.first), civil(other.first)
    exact = one.days == other.days == 1
    differ = [y1 != y2, m1 != m2, exact and d1 != d2]
    return ("year", "month", "day")[differ.index(True)] if sum(differ) == 1 else "other"


def figure_shape(one: FigureClaim, other: FigureClaim) -> tuple[str, str]:
    """How two figures differ: `digit` with the two digits in their order, `swapped`, `length`, or `other`."""
    a, b = str(one.value), str(other.value)
    if len(a) != len(b):
        return "length", ""
    differ = [(x, y) for x, y in zip(a, b, strict=True) if x != y]
    if len(differ) == 1:
        return "digit", "".join(differ[0])
    return ("swapped" if len(differ) == 2 and differ[0] == differ[1][::-1] else "other"), ""


def _parts(seen: Counter[str], before: Mapping[str, Share]) -> dict[str, Share]:
    """Parts of one whole, drawn towards what they were before (the mean of a Dirichlet posterior)."""
    every = sum(seen[name] for name in before)
    return {
        name: Share((share.share * _SHAPES_WEIGHT + seen[name]) / (_SHAPES_WEIGHT + every), seen[name])
        for name, share in sorted(before.items())
    }


def _lost(draft: Draft, stays: Iterable[Stay]) -> _Counts:
    """Lines that a card lacks which survives for the time, and subjects that have no card at all."""
    found = _Counts()
    spans = _covered(draft)
    for stay in stays:
        for side, entry, subject in (
            ("component", stay.own, stay.component_id), ("engine", stay.mirror, stay.engine_id)
        ):  # fmt: skip
            within = stay.rough and spans.get((side, subject or ""))
            if within and stay.rough and within[0] <= stay.rough[0] and stay.rough[1] <= within[1]:
                found.add(f"line/{side}", entry is None and stay.sure > 0.5 and not stay.hearsay)
    for side, subjects in (("component", draft.on_component), ("engine", draft.on_engine)):
        for subject in subjects:
            found.add(f"card/{side}", (side, subject) not in spans)
    return found


def _covered(draft: Draft) -> dict[tuple[str, str], tuple[float, float]]:
    """From when to when the cards of a subject are known to have lines."""
    days: dict[tuple[str, str], list[float]] = defaultdict(list)
    for entry in draft.entries:
        subject = entry.component_id if entry.side == "component" else entry.engine_id
        if entry.side != "statement" and subject and entry.says == "fitment":
            days[entry.side, subject] += [d.middle for d in (entry.fitted, entry.removed) if d]
    return {key: (min(found), max(found)) for key, found in days.items() if found}


def _vague(stays: Iterable[Stay]) -> _Counts:
    """Dates of cards that give the month alone, or no more than the year."""
    found = _Counts()
    for stay in stays:
        for entry in stay.witnesses:
            for claim in (entry.fitted, entry.removed):
                if claim is not None:
                    found.add(f"month/{entry.source.kind}", 28 <= claim.days <= 31)
                    found.add(f"year/{entry.source.kind}", claim.days > 31)
    return found


def _rates(draft: Draft, both: Iterable[Stay]) -> dict[str, Ran]:
    """Miles a day by class where two sides agree on the miles: medians, which a wrong date hardly moves."""
    found: dict[str, list[float]] = defaultdict(list)
    for stay in both:
        one, other = stay.own, stay.mirror
        days = 0.0 if stay.rough is None else stay.rough[1] - stay.rough[0]
        if not (one and other and one.miles and other.miles) or days < _LONG_ENOUGH:
            continue
        if one.miles.value == other.miles.value > 0:
            found[class_of(draft, stay)].append(log(one.miles.value / days))
    before = draft.learnt.rates[EVERY]
    every = _ran([rate for rates in found.values() for rate in rates], before)
    within = [rate - median(rates) for rates in found.values() if len(rates) > 1 for rate in rates]
    typical = Ran(every.log_rate, _ran(within, before).spread, every.cases)
    classes = {name: _ran(rates, typical) for name, rates in sorted(found.items()) if name != EVERY}
    return {EVERY: every, **classes}


def _ran(rates: list[float], before: Ran) -> Ran:
    """The median and the spread, drawn towards what was taken before by a few cases."""
    if not rates:
        return Ran(before.log_rate, before.spread)
    middle, cases = median(rates), len(rates)
    spread = _QUARTER_OF_NORMAL * median(abs(rate - middle) for rate in rates)
    parts = _RATE_WEIGHT / (_RATE_WEIGHT + cases)
    log_rate = parts * before.log_rate + (1 - parts) * middle
    return Ran(log_rate, parts * before.spread + (1 - parts) * max(spread, before.spread / 3), cases)


class _Times(TypedDict):
    apart: Apart
    in_works: InWorks
    silent: Share
    away: Apart


def _between(draft: Draft, before: Learnt) -> _Times:
    """How long engines stood without a component, and components were away from engines."""
    in_works = _in_works(draft, before.in_works)
    untold = sorted(
        gap
        for chain in draft.on_component.values()
        for one, other in pairwise(chain)
        if (gap := unaccounted(one, other)) is not None and not spare_between(draft, one, other)
    )
    usual = in_works.longest + draft.settings.gap_days
    long = [gap for gap in untold if gap > usual]
    return _Times(
        apart=_quartiles(untold, before.apart),
        in_works=in_works,
        silent=before.silent.after(len(long), len(untold), WEIGHT / 2),
        away=_quartiles(long, before.away),
    )


def _in_works(draft: Draft, before: InWorks) -> InWorks:
    """The days from one component of an engine to its next, where its card has both to the week."""
    days = sorted(
        start.middle - end.middle
        for chain in draft.on_engine.values()
        for run in by_kind(draft, chain)
        for one, other in pairwise(run)
        if one.mirror is not None
        and other.mirror is not None
        and (end := one.mirror.removed) is not None
        and (start := other.mirror.fitted) is not None
        and max(end.days, start.days) <= _TO_THE_WEEK
        and end.last < start.first
    )
    if len(days) < _FEWEST_APART:
        return before
    low, high = _drawn(days, 0.25, before.low), _drawn(days, 0.75, before.high)
    # Where a line is lost between the two, it was no time in works.
    longest = Apart(low, high).longest
    usual = [one for one in days if one <= longest] or [low, high]
    least, most = _drawn(usual, 0.05, before.least), _drawn(usual, 0.95, before.most)
    return InWorks(low, high, float(len(usual)), least, most)


def _quartiles(days: Sequence[float], before: Apart) -> Apart:
    """The quartiles of sorted times, the shortest taken as ten, drawn towards what was taken before."""
    if len(days) < _FEWEST_APART:
        return before
    low, high = (_drawn(days, share, old) for share, old in ((0.25, before.low), (0.75, before.high)))
    return Apart(low, high, float(len(days)))


def _drawn(days: Sequence[float], share: float, before: float) -> float:
    """A quantile of sorted times, on their logarithm, drawn towards what was taken before."""
    parts = _FEWEST_APART / (_FEWEST_APART + len(days))
    here = log(max(10.0, days[int(len(days) * share)]))
    return exp(parts * log(before) + (1 - parts) * here)
