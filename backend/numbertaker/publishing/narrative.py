"""From a history to the sentences that tell it, every one with its note.

A fitment is told with the engine's number and name *then*; its hedge comes from its confidence: near certain
is said plainly, then 'probably', 'it seems', 'it is written, though improbably'. A gap is told as a gap,
with what is known meanwhile of the engines on both sides. Nothing is said that no line says.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from numbertaker.evidence.days import Day, Span
from numbertaker.evidence.records import Line
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.dates import text_span, when_span
from numbertaker.publishing.degrees import Degree, degree_of
from numbertaker.publishing.document import Inline, Inlines, Paragraph, Run, words
from numbertaker.publishing.matter import Matter, Stay
from numbertaker.publishing.usage import BRITISH, Usage
from numbertaker.reconciling.history import ComponentHistory, Finding, Fitment

SENTENCES: Final = 4
"""How many fitments are told in one paragraph at most."""

_LEAD: Final[dict[Degree, str]] = {
    "near certain": "It was ",
    "probable": "It was probably ",
    "doubtful": "It seems that it was ",
    "improbable": "It is written, though improbably, that it was ",
}


def told(
    matter: Matter, component: ComponentHistory, notes: Notes, marks: dict[int, int], prefix: str = ""
) -> Iterator[Paragraph]:
    """The life of a component in order, a statement for each thing that happened.

    `marks` is filled with the number of the note to each fitment, for tables to refer to; `prefix` goes
    before the anchors, of which each document has one of a name.
    """
    born = list(_born(matter, component, notes))
    yield from born
    gaps, spares = placed_gaps(component), _placed_spares(matter, component)
    run = len(born)
    for n in range(len(component.fitments) + 1):
        for line in spares.get(n, ()):
            yield _lay_spare(matter, line, notes)
            run = 0
        for gap in gaps.get(n, ()):
            yield gap_paragraph(matter, component, gap, n, notes)
            run = 0
        if n < len(component.fitments):
            said = _fitted(matter, component, n, notes, marks, named=n == 0 and not born, met_again=n in gaps)
            follows = 0 < run < SENTENCES and not said.remark
            yield replace(said, follows=follows, anchor=f"{prefix}fitment-{n + 1}")
            run = run + 1 if follows else 1
    yield from _ended(matter, component, notes)


def _fitted(
    matter: Matter,
    component: ComponentHistory,
    n: int,
    notes: Notes,
    marks: dict[int, int],
    *,
    named: bool,
    met_again: bool,
) -> Paragraph:
    """The sentence of one fitment, its note noted in `marks`."""
    fitment = component.fitments[n]
    note = notes.cite(fitment.evidence, fitment.copies)
    if note is not None:
        marks[n] = note.number
    lead = _lead(matter, component, fitment, named=named)
    engine = _to(matter, component, n, fitment, met_again=met_again)
    key = f"fitment:{fitment.engine_id}:{fitment.evidence[0] if fitment.evidence else n}"
    inlines = (*words(lead), *engine, *_times(matter, fitment), *words(".", note))
    return Paragraph(inlines, remark=note is None, key=key)


def placed_gaps(component: ComponentHistory) -> dict[int, tuple[Finding, ...]]:
    """The gaps by the fitment before which each stands; the number of fitments for one after them all."""
    placed: dict[int, tuple[Finding, ...]] = {}
    for finding in component.findings:
        if finding.kind == "gap":
            place = _place(component.fitments, finding)
            placed[place] = (*placed.get(place, ()), finding)
    return placed


def _place(fitments: tuple[Fitment, ...], gap: Finding) -> int:
    """Behind the first fitment that one of the gap's lines speaks of; by its dates where none does."""
    lines = frozenset(gap.lines)
    spoken_of = [n for n, fitment in enumerate(fitments) if lines.intersection(fitment.evidence)]
    if len(spoken_of) > 1:
        return spoken_of[0] + 1
    return _first_begun(fitments, gap.earliest if gap.earliest is not None else gap.latest)


def _first_begun(fitments: tuple[Fitment, ...], start: Day | None) -> int:
    """The first fitment that began on that day or later; the number of them all where none did."""
    for n, fitment in enumerate(fitments):
        begun = when_span(fitment.fitted).last
        if start is not None and begun is not None and begun >= start:
            return n
    return len(fitments)


def engine_run(matter: Matter, fitment: Fitment) -> Inlines:
    """What the engine was called then, its name in italics; the sentence around it has the hedge."""
    called = matter.called(fitment)
    degree = degree_of(fitment.confidence)
    number = Run(called.number, degree=degree, hedged=True) if called.number else None
    name = Run(called.name, degree=degree, italic=True, hedged=True) if called.name else None
    which = f" ({called.which})" if called.which else None
    return words(number, " " if number and name else None, name, which)


def _lead(matter: Matter, component: ComponentHistory, fitment: Fitment, *, named: bool) -> str:
    """How a sentence begins: the hedge, and the component by name where nothing has named it yet."""
    lead = _LEAD[degree_of(fitment.confidence)]
    if not named:
        return lead
    name = matter.names.component(component.component_id)
    return (
        lead.replace("It was ", f"{name} was ")
        if lead.startswith("It was ")
        else lead.replace("it was ", f"{name} was ")
    )


def _to(matter: Matter, component: ComponentHistory, n: int, fitment: Fitment, *, met_again: bool) -> Inlines:
    """How it came to the engine: first, next, again; 'next' only where nothing is missing before."""
    before = [earlier.engine_id for earlier in component.fitments[:n]]
    nameless = not matter.called(fitment).name and fitment.engine_id not in before
    engine = (*words("engine " if nameless else None), *engine_run(matter, fitment))
    if seen_only(matter, fitment):
        return (*words("seen on "), *engine)
    if met_again:
        return (*words("fitted, when it is next heard of, to "), *engine)
    if before and before[-1] == fitment.engine_id:
        renamed = matter.called(component.fitments[n - 1]) != matter.called(fitment)
        same = "the same engine, by then " if renamed else None
        return (*words("fitted again to ", same), *engine, *words("," if renamed else None))
    if fitment.engine_id in before:
        return (*words("fitted once more to "), *engine)
    return (*words("fitted next to " if before else "fitted first to "), *engine)


def seen_only(matter: Matter, fitment: Fitment) -> bool:
    """Whether the papers say only that the engine carried it on a day, and not that it was fitted."""
    lines = [matter.citations.line(line_id) for line_id in fitment.evidence]
    return bool(lines) and all(line is not None and line.says == "carried" for line in lines)


def _times(matter: Matter, fitment: Fitment) -> Inlines:
    """The dates and the miles, each over its own rule."""
    fitted = _dated(matter, fitment, "fitted")
    removed = _dated(matter, fitment, "removed")
    if seen_only(matter, fitment):
        return words(" ", fitted or "at a date not stated")
    undated = _missing(
        matter, fitment, "fitted", "at a date that is in question", "at a date that is not stated"
    )
    start = words(" ", fitted) if fitted else words(f", {undated}{',' if removed else ''}")
    unsure = _missing(
        matter, fitment, "removed", "the date of its removal is in question", "no removal is stated"
    )
    end = words(" and removed ", removed) if removed else words(f"; {unsure}")
    return (*start, *end, *_ran(matter, fitment))


def _missing(matter: Matter, fitment: Fitment, field: str, in_question: str, unstated: str) -> str:
    """Why a part is not told: its lines state it and nothing can rest on that, or they don't state it."""
    lines = (matter.citations.line(line_id) for line_id in fitment.evidence)
    return in_question if any(line is not None and line.text(field) for line in lines) else unstated


def _dated(matter: Matter, fitment: Fitment, field: str) -> Inline | None:
    when = matter.when(fitment, field)
    if when is None or (when.edtf is None and when.earliest is None and when.latest is None):
        return None
    return Run(matter.usage.when_phrase(when), degree=matter.degree_of(fitment, field))


def _ran(matter: Matter, fitment: Fitment) -> Inlines:
    """The miles as stated or as the totals give them; an estimate is never told as miles run."""
    figure = fitment.miles
    if figure is None or figure.value is None or figure.basis == "estimated":
        unsure = _missing(
            matter, fitment, "miles", "the miles run are in question", "the miles run are not stated"
        )
        return words(f"; {unsure}")
    degree = matter.degree_of(fitment, "miles") if figure.basis == "stated" else degree_of(fitment.confidence)
    source = " by the running totals" if figure.basis == "derived" else None
    return words(", having run ", Run(matter.usage.miles(figure.value), degree=degree), source)


def gap_paragraph(
    matter: Matter, component: ComponentHistory, gap: Finding, place: int, notes: Notes
) -> Paragraph:
    """A gap told as a gap, and what its engines carried meanwhile."""
    kind = matter.names.kind(component.component_id)
    when = gap_words(gap.earliest, gap.latest, matter.usage)
    note = notes.cite(
        gap.lines, lead="The lines on either side: " if len(gap.lines) > 1 else "The line beside it: "
    )
    opening = words(
        f"{when[0].upper()}{when[1:]} nothing that has been read says where the {kind} was.", note
    )
    around = _meanwhile(matter, component, gap, place, notes)
    key = f"gap:{'+'.join(gap.lines)}"
    return Paragraph((*opening, *around), remark=note is None and not around, key=key)


def gap_words(earliest: Day | None, latest: Day | None, usage: Usage = BRITISH) -> str:
    """The time of a silence: 'from 1 May 1911 to 3 June 1915' is said as a stretch, never as a doubt."""
    if earliest is None or latest is None:
        return "for a time"
    return f"from {usage.day_words(earliest)} to {usage.day_words(latest)}"


def _meanwhile(
    matter: Matter, component: ComponentHistory, gap: Finding, place: int, notes: Notes
) -> Inlines:
    if gap.earliest is None or gap.latest is None:
        return ()
    inside = Span(gap.earliest, gap.latest) if gap.earliest <= gap.latest else Span(gap.latest, gap.earliest)
    sides = [component.fitments[n] for n in (place - 1, place) if 0 <= n < len(component.fitments)]
    told: dict[tuple[str, str], Inlines] = {}
    for side in sides:
        silent = _silent_on(matter, component, side, inside)
        for stay in matter.stays_on(side.engine_id):
            key = (side.engine_id, stay.component_id)
            if (
                stay.component_id != component.component_id
                and key not in told
                and _within(stay, inside)
                and _alike(matter, component, stay)
            ):
                told[key] = _carried(matter, side, stay, notes)
        gone = _withdrawn(matter, side, inside, notes)
        if gone:
            told[side.engine_id, ""] = gone
        elif silent and (side.engine_id, "") not in told:
            told[side.engine_id, ""] = _no_other(matter, component, side)
    return tuple(inline for sentence in told.values() for inline in sentence)


def _silent_on(matter: Matter, component: ComponentHistory, side: Fitment, inside: Span) -> bool:
    """Whether nothing at all is known of what an engine carried during a silence."""
    return not any(
        when_span(stay.fitment.fitted).intersects(inside)
        or when_span(stay.fitment.removed).intersects(inside)
        for stay in matter.stays_on(side.engine_id)
        if stay.component_id != component.component_id and _alike(matter, component, stay)
    )


def _no_other(matter: Matter, component: ComponentHistory, side: Fitment) -> Inlines:
    kind = matter.names.kind(component.component_id)
    return (*words(f" No other {kind} is recorded on "), *engine_run(matter, side), *words(" in that time."))


def _withdrawn(matter: Matter, side: Fitment, inside: Span, notes: Notes) -> Inlines:
    """That an engine was withdrawn during a silence, where the archive's own table says so."""
    row = next((row for row in matter.evidence.engines if row.engine_id == side.engine_id), None)
    if row is None or not row.withdrawn or not inside.contains(text_span(row.withdrawn)):
        return ()
    when = matter.usage.date_phrase(row.withdrawn)
    note = notes.table("engines", row.engine_id)
    return (*words(" "), *engine_run(matter, side), *words(f" was withdrawn {when}.", note))


def _alike(matter: Matter, component: ComponentHistory, stay: Stay) -> bool:
    return matter.names.kind(stay.component_id) == matter.names.kind(component.component_id)


def _within(stay: Stay, inside: Span) -> bool:
    """Whether a stay certainly began within the silence."""
    begun = when_span(stay.fitment.fitted)
    return begun.first is not None and begun.last is not None and inside.contains(begun)


def _carried(matter: Matter, side: Fitment, stay: Stay, notes: Notes) -> Inlines:
    note = notes.cite(stay.fitment.evidence, stay.fitment.copies)
    if note is None:
        return ()
    named = matter.names.component(stay.component_id)
    named = f"{named[:1].lower()}{named[1:]}"
    degree = degree_of(stay.fitment.confidence)
    hedge = "" if degree == "near certain" else f" ({degree})"
    return (
        *words(" Meanwhile "),
        *engine_run(matter, stay.fitment),
        *words(f" took {named} {matter.usage.when_phrase(matter.when(stay.fitment, 'fitted'))}{hedge}."),
        *words(note),
    )


def _lines_saying(matter: Matter, component: ComponentHistory, says: str) -> list[Line]:
    ids = dict.fromkeys(cell.line_id for cell in component.cells)
    lines = (matter.citations.line(line_id) for line_id in ids)
    return [line for line in lines if line is not None and line.says == says]


def _stated(matter: Matter, line: Line, field: str) -> tuple[str, Degree] | None:
    """The date that a cell of a one-date line means, and how sure; None where nothing rests on it."""
    for cell in matter.cells_of(line.line_id):
        if cell.field == field and cell.used and isinstance(cell.meaning, str):
            return cell.meaning, degree_of(cell.confidence, contradicted=cell.key in matter.contradicted)
    return None


def _one_date(
    matter: Matter, component: ComponentHistory, says: str, verb: str, notes: Notes
) -> Iterator[Paragraph]:
    """One sentence for each date that lines of a kind give, with all the lines that give it."""
    field = "fitted" if says == "built" else "removed"
    subject = matter.names.component(component.component_id) if says == "built" else "It"
    by_date: dict[str, tuple[Degree, list[str]]] = {}
    for line in _lines_saying(matter, component, says):
        stated = _stated(matter, line, field)
        if stated is not None:
            by_date.setdefault(stated[0], (stated[1], []))[1].append(line.line_id)
    for text, (degree, line_ids) in by_date.items():
        when = Run(matter.usage.date_phrase(text), degree=degree)
        yield Paragraph(
            words(f"{subject} was {verb} ", when, ".", notes.cite(line_ids)), key=f"{says}:{line_ids[0]}"
        )


def _born(matter: Matter, component: ComponentHistory, notes: Notes) -> Iterator[Paragraph]:
    told = list(_one_date(matter, component, "built", "built", notes))
    yield from told
    row = next(
        (row for row in matter.evidence.components if row.component_id == component.component_id), None
    )
    if not told and row is not None and row.built:
        named = matter.names.component(component.component_id)
        said = f"{named} was built {matter.usage.date_phrase(row.built)}."
        yield Paragraph(words(said, notes.table("components", row.component_id)), key="built")


def _ended(matter: Matter, component: ComponentHistory, notes: Notes) -> Iterator[Paragraph]:
    told = list(_one_date(matter, component, "condemned", "condemned", notes))
    yield from told
    row = next(
        (row for row in matter.evidence.components if row.component_id == component.component_id), None
    )
    if not told and row is not None and row.condemned:
        said = f"It was condemned {matter.usage.date_phrase(row.condemned)}."
        yield Paragraph(words(said, notes.table("components", row.component_id)), key="condemned")


def stated_dates(matter: Matter, component: ComponentHistory) -> tuple[str | None, str | None]:
    """When it was built and when condemned, as EDTF: by its lines, else by the archive's own table."""
    row = next((r for r in matter.evidence.components if r.component_id == component.component_id), None)
    found = []
    for says, field, own in (
        ("built", "fitted", row.built if row else ""),
        ("condemned", "removed", row.condemned if row else ""),
    ):
        lines = _lines_saying(matter, component, says)
        stated = [date[0] for line in lines if (date := _stated(matter, line, field)) is not None]
        found.append(next(iter(stated), own) or None)
    return found[0], found[1]


def _placed_spares(matter: Matter, component: ComponentHistory) -> dict[int, list[Line]]:
    """The lines that say it lay spare, by the fitment before which each stands; undated ones come last."""
    placed: dict[int, list[Line]] = {}
    for line in _lines_saying(matter, component, "spare"):
        start = _stated(matter, line, "fitted")
        place = _first_begun(component.fitments, None if start is None else text_span(start[0]).first)
        placed.setdefault(place, []).append(line)
    return placed


def _lay_spare(matter: Matter, line: Line, notes: Notes) -> Paragraph:
    """A time for which a source says that it lay off any engine."""
    start, end = _stated(matter, line, "fitted"), _stated(matter, line, "removed")
    since = words(" from ", Run(matter.usage.date_words(start[0]), degree=start[1])) if start else ()
    until = words(" until ", Run(matter.usage.date_words(end[0]), degree=end[1])) if end else ()
    said = words("It is written to have lain spare, off any engine,")
    inlines = (*said, *since, *until, *words(".", notes.cite([line.line_id])))
    return Paragraph(inlines, key=f"spare:{line.line_id}")
