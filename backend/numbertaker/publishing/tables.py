"""The fitments of a component, or of an engine, as a table and as a timeline with the same data.

Running miles are the sum of the figures that are stated or derived, and of nothing else: from the first stay
or gap without a figure on they are 'at least' so many, and an estimate is shown beside them, never in them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from numbertaker.evidence.days import Day, Span
from numbertaker.publishing.dates import when_span
from numbertaker.publishing.degrees import Degree, degree_of
from numbertaker.publishing.derived import supported
from numbertaker.publishing.document import Figure, Inlines, NoteRef, Row, Run, Table, words
from numbertaker.publishing.figures import counted
from numbertaker.publishing.matter import Matter, Stay
from numbertaker.publishing.narrative import engine_run, gap_words, placed_gaps, seen_only
from numbertaker.publishing.timeline import Silence, Stretch, Timeline
from numbertaker.publishing.usage import BRITISH, Usage
from numbertaker.reconciling.history import ComponentHistory, Finding, Fitment, Miles

HEAD = (
    "No.",
    "Engine, as it was called then",
    "Fitted",
    "Removed",
    "Miles",
    "Running miles",
    "How sure",
    "Note",
)


def fitments_table(matter: Matter, component: ComponentHistory, marks: Mapping[int, int]) -> Table:
    """Every stay in order, its running miles, and every gap in its place; `marks` has the note to each."""
    gaps = placed_gaps(component)
    rows: list[Row] = []
    run, whole = 0, True
    for n, fitment in enumerate(component.fitments):
        rows += [_gap_row(matter, gap) for gap in gaps.get(n, ())]
        figure = supported(fitment.miles)
        run, whole = run + (figure or 0), whole and figure is not None and not gaps.get(n)
        rows.append(_row(matter, n, fitment, running(run, matter.usage, whole=whole), marks.get(n)))
    rows += [_gap_row(matter, gap) for gap in gaps.get(len(component.fitments), ())]
    named = matter.names.component(component.component_id)
    head = (*HEAD[:4], matter.usage.unit, f"Running {matter.usage.unit.lower()}", *HEAD[6:])
    return Table(f"The fitments of {_lower(named)}", head, tuple(rows), frozenset((0, 4, 5)))


def running(miles: int, usage: Usage = BRITISH, *, whole: bool) -> str:
    """The running miles: a plain figure as long as every stay so far had one."""
    if whole:
        return usage.figure(miles)
    return f"at least {usage.figure(miles)}" if miles else "not known"


def _row(matter: Matter, n: int, fitment: Fitment, total: str, mark: int | None) -> Row:
    degrees = [
        degree_of(fitment.confidence),
        *(matter.degree_of(fitment, field) for field in ("fitted", "removed", "miles")),
    ]
    seen = " (seen only)" if seen_only(matter, fitment) else None
    cells = (
        words(str(n + 1)),
        (*engine_run(matter, fitment), *words(seen)),
        _date_cell(matter, fitment, "fitted", degrees[1]),
        _date_cell(matter, fitment, "removed", degrees[2]),
        _miles_cell(matter, fitment.miles, degrees[3]),
        words(total),
        words(degrees[0]),
        words(NoteRef(mark, again=True) if mark is not None else None),
    )
    return Row(cells)


def _date_cell(matter: Matter, fitment: Fitment, field: str, degree: Degree) -> Inlines:
    text = matter.usage.when_words(matter.when(fitment, field))
    return words(text) if text == "not known" else words(Run(text, degree=degree))


def _miles_cell(matter: Matter, figure: Miles | None, degree: Degree) -> Inlines:
    if figure is None:
        return words("not known")
    if figure.basis == "estimated" or figure.value is None:
        estimate = matter.usage.mile_range(figure.low, figure.high)
        return words("not known", f" (estimated {estimate})" if estimate else None)
    return words(
        Run(matter.usage.figure(figure.value), degree=degree),
        " by the totals" if figure.basis == "derived" else None,
    )


def _gap_row(matter: Matter, gap: Finding) -> Row:
    says = f"Nothing is known {gap_words(gap.earliest, gap.latest, matter.usage)}"
    blank: Inlines = ()
    return Row(
        (blank, words(says), blank, blank, words("not known"), blank, words("unknown"), blank), silent=True
    )


def thread(matter: Matter, component: ComponentHistory) -> Figure | None:
    """The same stays and gaps as a timeline, one engine one lane; None where nothing is dated."""
    engines = list(dict.fromkeys(fitment.engine_id for fitment in component.fitments))
    stretches = frayed([_stretch(matter, engines.index(f.engine_id), f) for f in component.fitments])
    silences = tuple(
        Silence(
            gap.earliest, gap.latest, f"Nothing is known {gap_words(gap.earliest, gap.latest, matter.usage)}"
        )
        for gaps in placed_gaps(component).values()
        for gap in gaps
        if gap.earliest is not None and gap.latest is not None and gap.earliest <= gap.latest
    )
    line = Timeline(
        tuple(_lane(matter, component, engine) for engine in engines),
        doubled(component, stretches),
        silences,
        low=component.miles.low,
        high=component.miles.high,
    )
    named = matter.names.component(component.component_id)
    return _figure(
        f"{named} through time", line, counted(len(stretches), "fitment"), counted(len(engines), "engine")
    )


def _lane(matter: Matter, component: ComponentHistory, engine_id: str) -> str:
    """What the engine was called whenever it carried the component: '31, later 238'."""
    called = (str(matter.called(f)) for f in component.fitments if f.engine_id == engine_id)
    return ", later ".join(dict.fromkeys(called))


def engine_thread(matter: Matter, engine_id: str, stays: tuple[Stay, ...]) -> Figure | None:
    """The components that an engine carried, one component one lane."""
    components = list(dict.fromkeys(stay.component_id for stay in stays))
    stretches = [_stretch(matter, components.index(stay.component_id), stay.fitment) for stay in stays]
    line = Timeline(tuple(matter.names.component(i) for i in components), tuple(stretches), adds=False)
    title = f"What engine {matter.names.all_of(engine_id)} carried"
    return _figure(title, line, counted(len(stays), "fitment"), counted(len(components), "component"))


def _figure(title: str, line: Timeline, stays: str, lanes: str) -> Figure | None:
    if line.bounds() is None:
        return None
    silent = f"; {counted(len(line.silences), 'gap')} hatched" if line.silences else ""
    return Figure(
        title, f"{stays[0].upper()}{stays[1:]} on {lanes}{silent}. The table has the same data.", line
    )


def _stretch(matter: Matter, lane: int, fitment: Fitment) -> Stretch:
    fields = ("fitted", "removed")
    contradicted = any(matter.degree_of(fitment, field) == "contradicted" for field in fields)
    figure = fitment.miles
    fitted, removed = (matter.usage.when_words(matter.when(fitment, field)) for field in fields)
    says = f"{matter.called(fitment)}: fitted {fitted}, removed {removed}"
    return Stretch(
        lane,
        when_span(fitment.fitted),
        when_span(fitment.removed),
        degree_of(fitment.confidence, contradicted=contradicted),
        says,
        supported(figure),
        figure.low if figure is not None else None,
        figure.high if figure is not None else None,
    )


def frayed(stretches: list[Stretch]) -> list[Stretch]:
    """The stretches, an end of which nothing is known fraying as far as the next that is known to begin."""
    done: list[Stretch] = []
    for stretch, following in zip(stretches, [*stretches[1:], None], strict=True):
        begun = stretch.start.last if stretch.start.last is not None else stretch.start.first
        until = following.start.first if following is not None else None
        open_ended = (
            stretch.end == Span(None, None) and begun is not None and until is not None and begun < until
        )
        done.append(replace(stretch, end=Span(begun, until)) if open_ended else stretch)
    return done


def doubled(component: ComponentHistory, stretches: list[Stretch]) -> tuple[Stretch, ...]:
    """The stretches, with the time in which each would be one of two where there can be only one.

    That is the time of an open finding of an overlap, else what two stretches certainly have in common.
    """
    certain = [_certain(stretch) for stretch in stretches]
    found = [_overlap_found(component, fitment) for fitment in component.fitments]
    return tuple(
        replace(stretch, doubled=found[n] or _first_shared(n, certain)) for n, stretch in enumerate(stretches)
    )


def _overlap_found(component: ComponentHistory, fitment: Fitment) -> Span | None:
    for finding in component.findings:
        spoken_of = not frozenset(finding.lines).isdisjoint(fitment.evidence)
        if finding.kind == "overlap" and finding.settled_by is None and spoken_of:
            return _ordered(finding.earliest, finding.latest)
    return None


def _ordered(first: Day | None, last: Day | None) -> Span | None:
    return None if first is None or last is None else Span(min(first, last), max(first, last))


def _certain(stretch: Stretch) -> Span | None:
    """From the latest day of the start to the earliest of the end: when it must have been there."""
    first, last = stretch.start.last, stretch.end.first
    return None if first is None or last is None or last < first else Span(first, last)


def _first_shared(n: int, certain: list[Span | None]) -> Span | None:
    """What a certain stay shares with the first other one, if that is more than the day of a change-over."""
    mine = certain[n]
    for m, other in enumerate(certain):
        shared = mine.intersection(other) if m != n and mine is not None and other is not None else None
        if shared is not None and shared.days != 1:
            return shared
    return None


def life_span(component: ComponentHistory) -> Span:
    """From the first possible day of the first stay to the last possible day of the last."""
    spans = [
        when_span(when) for f in component.fitments for when in (f.fitted, f.removed) if when is not None
    ]
    firsts = [span.first for span in spans if span.first is not None]
    lasts = [span.last for span in spans if span.last is not None]
    return Span(min(firsts, default=None), max(lasts, default=None)) if spans else Span(None, None)


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"
