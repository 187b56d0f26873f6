"""What stays open, what was decided and why, and what else is known of the engines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from numbertaker.evidence.days import Day, Span
from numbertaker.evidence.decisions import verdicts
from numbertaker.evidence.records import CellKey, Decision, Event
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.dates import text_span, when_span
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.document import Inline, Inlines, Paragraph, Run, words
from numbertaker.publishing.matter import Matter
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, Finding

KINDS: Final = {
    "gap": "A gap.",
    "overlap": "On two engines at once, or dates that run backwards.",
    "double-occupancy": "Two of a kind on one engine.",
    "date-conflict": "Two dates for one event.",
    "mileage-conflict": "Two mileages for one fitment.",
    "total-mismatch": "A total that does not add up.",
    "rate-outlier": "Miles that do not go with the time.",
    "outside-lifetime": "Outside a lifetime.",
    "misnamed": "A number or name not borne then.",
    "does-not-fit": "A type that did not fit.",
    "one-sided": "On one card only.",
    "unlinked": "Nobody known is meant.",
    "ambiguous-link": "More than one could be meant.",
    "repeated-line": "Entered twice.",
    "doubtful-reading": "Hard to read.",
}
"""What each kind of finding is, in a phrase; a kind that is not listed is given by its own word."""

FIELDS: Final = {
    "heading": "the heading",
    "heading_name": "the name in the heading",
    "engine": "the engine",
    "engine_name": "the engine’s name",
    "component": "the component",
    "fitted": "the date fitted",
    "removed": "the date removed",
    "miles": "the miles",
    "total_miles": "the total of miles",
}
_QUOTED: Final = re.compile(r"(?<!\w)'([^']*)'(?!\w)")
_APOSTROPHE: Final = re.compile(r"(?<=\w)'(?=\w)")
_PER_CENT: Final = re.compile(r"(?<=\d)%")
_EDTF: Final = re.compile(r"[\[{]?[\dX.Y-]{4,}", re.ASCII)


def open_questions(matter: Matter, component: ComponentHistory, notes: Notes) -> Iterator[Paragraph]:
    """Every finding that nobody ruled on, with each claim at odds as written and as understood."""
    for finding in component.findings:
        if finding.settled_by is None:
            yield _question(matter, finding, notes)


def _question(matter: Matter, finding: Finding, notes: Notes) -> Paragraph:
    kind = KINDS.get(finding.kind, f"{finding.kind}.")
    said = (*words(Run(kind, italic=True), " "), *_voices(matter, finding))
    claims = [key for key in finding.claims if matter.citations.line(key.line_id) is not None]
    if len(claims) == 1 and _quoted(matter, finding, claims[0]):
        sides = words(notes.cite([claims[0].line_id]))
    else:
        lines = dict.fromkeys(key.line_id for key in claims)
        at = [[key for key in claims if key.line_id == line_id] for line_id in lines]
        sides = tuple(inline for keys in at for inline in _claims(matter, keys, notes))
    spoken = {key.line_id for key in claims}
    others = [line_id for line_id in finding.lines if line_id not in spoken]
    tables = _tables(finding, notes)
    return Paragraph(
        (*said, *words(notes.cite(others) if others else None), *sides, *tables),
        remark=not (others or claims or tables),
        key=f"question:{finding.id}",
    )


def _quoted(matter: Matter, finding: Finding, key: CellKey) -> bool:
    """Whether the message has said of a claim, as written, all there is to say."""
    line = matter.citations.line(key.line_id)
    text = line.text(key.field) if line is not None else ""
    return bool(text) and f"'{text}'" in finding.message


def _voices(matter: Matter, finding: Finding) -> Inlines:
    """The message in two voices: what stands between quotation marks in it and in a cell is as written."""
    lines = [line for line in map(matter.citations.line, finding.lines) if line is not None]
    written = {line.text(field) for line in lines for field in FIELDS} - {""}
    parts = _QUOTED.split(_whole(finding.message))
    said = (
        Run(part, "written") if n % 2 and part in written else f"‘{part}’" if n % 2 else _in_print(part)
        for n, part in enumerate(parts)
    )
    return words(*said)


def _in_print(text: str) -> str:
    """The program's own words as print has them."""
    return _APOSTROPHE.sub("’", _PER_CENT.sub(" per cent", text))


def _whole(message: str) -> str:
    """A message as a whole sentence."""
    return message if not message or message.rstrip()[-1:] in ".?!" else f"{message.rstrip()}."


def _claims(matter: Matter, keys: Sequence[CellKey], notes: Notes) -> Inlines:
    """What a line says that is at odds: as written, what that means, and where it stands."""
    line = matter.citations.line(keys[0].line_id)
    place = matter.citations.locator(line) if line is not None else ""
    told: list[Inline] = []
    for n, key in enumerate(keys):
        before = ", " if n or place else ""
        what = FIELDS.get(key.field, key.field)
        told += words(before, _capital(what) if not before else what, *_claim(matter, key))
    return (
        *words(f" At {place}" if place else " "),
        *told,
        *words("."),
        *words(notes.cite([keys[0].line_id])),
    )


def _claim(matter: Matter, key: CellKey) -> Inlines:
    line = matter.citations.line(key.line_id)
    text = line.text(key.field) if line is not None else ""
    if not text:
        return words(f" {_verb(key.field)} left empty")
    meaning = meaning_words(matter, matter.cell(key))
    taken = f" (taken to mean {meaning})" if meaning and not _plain_figure(matter, key, text) else None
    return words(f" {_verb(key.field)} written ", Run(text, "written"), taken)


def _plain_figure(matter: Matter, key: CellKey, text: str) -> bool:
    """Whether a cell has a figure that means just what it says: '63,310'."""
    cell = matter.cell(key)
    return (
        cell is not None
        and isinstance(cell.meaning, int)
        and text in (f"{cell.meaning:,}", str(cell.meaning))
    )


def meaning_words(matter: Matter, cell: CellMeaning | None) -> str:
    """The meaning of a cell in words: '208 Lady Ostrey', 'April 1911', '68,310 miles'; empty for none."""
    if cell is None or cell.meaning is None:
        return ""
    if isinstance(cell.meaning, int):
        return matter.usage.miles(cell.meaning)
    if cell.meaning.startswith("state:"):
        return cell.meaning.removeprefix("state:")
    if cell.field in ("fitted", "removed"):
        return matter.usage.date_words(cell.meaning)
    return _called(matter, cell.meaning)


def _called(matter: Matter, subject_id: str) -> str:
    """What an engine or a component is called."""
    if subject_id in matter.component_ids:
        return matter.names.component(subject_id)
    return matter.names.all_of(subject_id)


def _verb(field: str) -> str:
    return "are" if field == "miles" else "is"


def _tables(finding: Finding, notes: Notes) -> Inlines:
    """Notes to the rows of the archive's own tables that take part."""
    refs = []
    for row in finding.authority:
        table, _, key = row.partition(":")
        refs.append(notes.table(table, key or row))
    return tuple(refs)


def decisions_told(matter: Matter, component: ComponentHistory, notes: Notes) -> Iterator[Paragraph]:
    """What researchers ruled, on what, and the reasons they gave, in their own words."""
    settled = {finding.settled_by: finding for finding in component.findings if finding.settled_by}
    ids = dict.fromkeys((*component.decisions, *(i for i in settled if i)))
    for decision_id in ids:
        decision = matter.decision(decision_id)
        if decision is not None:
            yield _decision(matter, decision, settled.get(decision_id), notes)


def _decision(matter: Matter, decision: Decision, finding: Finding | None, notes: Notes) -> Paragraph:
    note = notes.cite(_lines_of(decision, finding))
    opening = f"{decision.by} ruled{_on(matter, decision.at)}"
    reason = f" The reason given: ‘{decision.reason}’"
    stop = "" if decision.reason.rstrip()[-1:] in (".", "?", "!") else "."
    return Paragraph(
        (
            *words(opening),
            *_ruling(matter, decision, finding),
            *words("."),
            *words(f"{reason}{stop}"),
            *words(note),
        ),
        remark=note is None,
        key=f"decision:{decision.decision_id}",
    )


def _on(matter: Matter, at: str) -> str:
    day = at.partition("T")[0]
    return f" {matter.usage.date_phrase(day)}" if _EDTF.match(day) else ""


def _ruling(matter: Matter, decision: Decision, finding: Finding | None) -> Inlines:
    if decision.kind == "cell":
        key = CellKey.parse(decision.target)
        return words(
            f" that {FIELDS.get(key.field, key.field)} should be read ", Run(decision.ruling, "written")
        )
    if decision.kind == "link":
        key = CellKey.parse(decision.target)
        meant = "nobody in the tables" if decision.ruling == "none" else _called(matter, decision.ruling)
        return words(f" that {FIELDS.get(key.field, key.field)} means {meant}")
    if decision.kind == "finding":
        kind = KINDS.get(finding.kind, finding.kind).rstrip(".") if finding is not None else "a finding"
        return words(
            f" on a finding ({kind[0].lower()}{kind[1:]}): {_verdict_words(matter, decision.ruling)}"
        )
    if decision.kind == "authority":
        return words(f" to amend this archive’s own tables, at {decision.target}")
    return words(f" on {decision.target}: {decision.ruling}")


def _verdict_words(matter: Matter, ruling: str) -> str:
    try:
        parts = verdicts(ruling)
    except ValueError:
        return ruling
    said = []
    for verdict, key in parts:
        if key is None:
            said.append("it stands open")
        else:
            what = FIELDS.get(key.field, key.field)
            line = matter.citations.line(key.line_id)
            place = matter.citations.locator(line) if line is not None else f"line {key.line_id}"
            held = "believed" if verdict == "believe" else "set aside"
            said.append(f"{what} at {place} {_verb(key.field)} {held}")
    return "; ".join(said)


def _lines_of(decision: Decision, finding: Finding | None) -> Sequence[str]:
    if decision.kind in ("cell", "link"):
        return [CellKey.parse(decision.target).line_id]
    if decision.kind != "finding":
        return []
    try:
        named = [key.line_id for _, key in verdicts(decision.ruling) if key is not None]
    except ValueError:
        named = []
    return named or (list(finding.lines) if finding is not None else [])


def events_told(matter: Matter, component: ComponentHistory, notes: Notes) -> Iterator[Paragraph]:
    """Dated statements about the component and the engines that carried it, in order of date."""
    subjects = dict.fromkeys((component.component_id, *(f.engine_id for f in component.fitments)))
    for event in sorted(matter.events_of(subjects), key=_event_order):
        yield _event(matter, component, event, notes)


def _event_order(event: Event) -> tuple[Span, str]:
    return event_span(event), event.event_id


def event_span(event: Event) -> Span:
    """The days on which an event may have happened."""
    return text_span(event.date)


def _event(matter: Matter, component: ComponentHistory, event: Event, notes: Notes) -> Paragraph:
    span = event_span(event)
    when = _capital(matter.usage.date_words(event.date))
    about = _about(matter, component, event, span)
    carrying = _carrying(matter, component, event, span)
    said = f": {_whole(event.statement)}"
    inlines = (*words(f"{when}, "), *about, *words(said, carrying, notes.event(event)))
    return Paragraph(inlines, key=f"event:{event.event_id}")


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _about(matter: Matter, component: ComponentHistory, event: Event, span: Span) -> Inlines:
    if event.subject_id == component.component_id:
        return words(matter.names.component(component.component_id))
    called = matter.names.then(event.subject_id, span)
    name = Run(called.name, italic=True) if called.name else None
    return words("engine ", called.number or None, " " if called.number and name else None, name)


def _carrying(matter: Matter, component: ComponentHistory, event: Event, span: Span) -> str | None:
    """Whether the component was certainly, or perhaps, on the engine on that day."""
    kind = matter.names.kind(component.component_id)
    perhaps = False
    for fitment in component.fitments:
        if fitment.engine_id != event.subject_id or degree_of(fitment.confidence) in (
            "improbable",
            "doubtful",
        ):
            continue
        start, end = when_span(fitment.fitted), when_span(fitment.removed)
        certain = _inside(span, start.last, end.first)
        if certain:
            return f" It was then carrying this {kind}."
        perhaps = perhaps or _inside_or_touching(span, start.first, end.last)
    return f" It may have been carrying this {kind} then." if perhaps else None


def _inside(span: Span, first: Day | None, last: Day | None) -> bool:
    if first is None or last is None or last < first:
        return False
    return Span(first, last).contains(span)


def _inside_or_touching(span: Span, first: Day | None, last: Day | None) -> bool:
    if first is None or last is None or last < first:
        return False
    return Span(first, last).intersects(span)
