"""What simpler ways of working reach on the same papers: the component card's word, and a majority vote."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from typing import Any, Final

from numbertaker.evidence.clerkdates import Era, read_date
from numbertaker.evidence.days import civil, iso
from numbertaker.evidence.designations import read_number
from numbertaker.evidence.figures import read_figure
from numbertaker.evidence.records import Evidence, Line
from numbertaker.linking import Index

Json = dict[str, Any]
Span = tuple[int, int, str]
_NEAR: Final = 200
_SURE: Final = 0.97
_OUTVOTED: Final = 0.3


_Told = tuple[Line, str | None, Span | None, Span | None]


class _Papers:
    """The lines that name somebody by a number that was borne, as they stand."""

    def __init__(self, evidence: Evidence) -> None:
        self.index = Index(evidence)
        self.card = {s.source_id: s.kind for s in evidence.sources}
        lives = [self.index.life(e.engine_id) for e in evidence.engines]
        self.era = Era(
            civil(min(life.first for life in lives))[0], civil(max(life.last for life in lives))[0]
        )
        self.told: dict[str, list[_Told]] = defaultdict(list)
        self.besides: dict[str, list[_Told]] = defaultdict(list)
        self.lower: dict[str, Line] = {}
        above: dict[tuple[str, str], str] = {}
        for line in evidence.lines:
            self._lay(line, above)

    def _lay(self, line: Line, above: dict[tuple[str, str], str]) -> None:
        who = {}
        for sort in ("engine", "component"):
            text = line.heading or line.heading_name if line.side == sort else line.text(sort)
            number = read_number(text)
            if number.is_ditto:
                text = above.get((line.card_id, sort), "")
                number = read_number(text)
            above[line.card_id, sort] = text
            days = [span for span in (self.span(line.fitted), self.span(line.removed)) if span]
            who[sort] = self._bearer(number.number or number.name, sort, days)
        if who["component"] is None:
            return
        spans = self.span(line.fitted), self.span(line.removed)
        if line.says not in {"fitment", "fitted", "removed"}:
            self.besides[who["component"]].append((line, who["engine"], *spans))
            return
        told = self.told[who["component"]]
        last = told[-1] if told else None
        if line.says == "removed" and last and last[0].says == "fitted" and last[0].card_id == line.card_id:
            told[-1] = (last[0], last[1], last[2], spans[1])  # the lower half of a line: its end
            self.lower[last[0].line_id] = line
        else:
            told.append((line, who["engine"], *spans))

    def span(self, text: str) -> Span | None:
        """The days that a written date may mean, and its EDTF; None where it is open or not understood."""
        read = read_date(text, self.era)
        first, last = read.hull.first, read.hull.last
        return None if read.edtf is None or first is None or last is None else (first, last, read.edtf)

    def _bearer(self, text: str, sort: Any, days: list[Span]) -> str | None:
        found = [*self.index.bearers(text, sort), *self.index.named(text, sort)]
        then = [b for b in found if not days or b.at(days[0][0], days[-1][1])]
        return (then or found)[0].subject_id if found else None


def card_alone(evidence: Evidence) -> Json:
    """The component's own card, believed throughout."""
    papers = _Papers(evidence)
    return _history(papers, lambda line: papers.card.get(line.source_id) == "component-card")


def majority(evidence: Evidence) -> Json:
    """Every source has one vote, copies too: the engine, the dates and the miles that most of them give."""
    return _history(_Papers(evidence), lambda line: True)


def _history(papers: _Papers, heard: Any) -> Json:
    return {
        "components": [_component(papers, c, heard) for c in sorted(papers.index.components)],
        "findings": [],
    }


def _component(papers: _Papers, name: str, heard: Any) -> Json:
    told = papers.told.get(name, [])
    groups = _groups([t for t in told if heard(t[0])])
    fitments = [f for f in (_fitment(papers, group) for group in groups) if f is not None]
    total = sum(f["miles"]["value"] for f in fitments if f["miles"])
    cells = [cell for group in _groups(told) for cell in _cells(papers, name, group, heard)]
    return {
        "component_id": name,
        "fitments": fitments,
        "miles": {"supported": total, "low": total, "high": total},
        "cells": cells
        + [cell for t in papers.besides.get(name, []) for cell in _stated(t[0], t, name, True)],
        "findings": [],
    }


def _groups(told: Iterable[_Told]) -> list[list[_Told]]:
    """Lines that speak of one stay: the same engine, fitted within two hundred days of one another."""
    groups: list[list[_Told]] = []
    for one in sorted(told, key=lambda t: (_day(t), t[0].line_id)):
        for group in reversed(groups[-4:]):
            if group[0][1] == one[1] and abs(_day(group[0]) - _day(one)) < _NEAR:
                group.append(one)
                break
        else:
            groups.append([one])
    return groups


def _day(told: _Told) -> int:
    return (told[2] or told[3] or (0, 0, ""))[0]


def _votes(spans: Iterable[Span | None]) -> Span | None:
    told = [span for span in spans if span]
    if not told:
        return None
    return max(told, key=lambda s: (sum(s[0] <= o[1] and o[0] <= s[1] for o in told), s[0] - s[1], s[2]))


def _miles(papers: _Papers, line: Line) -> int | None:
    text = papers.lower.get(line.line_id, line).miles
    return read_figure(text).value if text.strip() else None


def _figure(papers: _Papers, group: list[_Told]) -> int | None:
    figures = Counter(f for t in group if (f := _miles(papers, t[0])) is not None)
    return max(figures, key=lambda f: (figures[f], -f)) if figures else None


def _fitment(papers: _Papers, group: list[_Told]) -> Json | None:
    engine = group[0][1]
    fitted, removed, miles = _votes(t[2] for t in group), _votes(t[3] for t in group), _figure(papers, group)
    if engine is None or (fitted is None and removed is None):
        return None
    return {
        "engine_id": engine,
        "fitted": _when(fitted),
        "removed": _when(removed),
        "miles": None if miles is None else {"value": miles, "low": miles, "high": miles, "basis": "stated"},
        "confidence": _SURE,
        "evidence": [t[0].line_id for t in group],
    }


def _when(span: Span | None) -> Json | None:
    return span and {"edtf": span[2], "earliest": iso(span[0]), "latest": iso(span[1])}


def _cells(papers: _Papers, name: str, group: list[_Told], heard: Any) -> Iterable[Json]:
    """Every cell of a group, less sure where it is outvoted; the card's word alone has one vote."""
    voters = [t for t in group if heard(t[0])] or group
    fitted, removed = _votes(t[2] for t in voters), _votes(t[3] for t in voters)
    miles = _figure(papers, voters)
    for told in group:
        against = {
            *(["fitted"] if _apart(told[2], fitted) else []),
            *(["removed"] if _apart(told[3], removed) else []),
            *(["miles"] if _miles(papers, told[0]) != miles else []),
        }
        lower = papers.lower.get(told[0].line_id)
        for line in [told[0], *([lower] if lower else [])]:
            for cell in _stated(line, told, name, heard(line)):
                if cell["field"] in against and heard(line):
                    cell |= {"confidence": _OUTVOTED, "used": False}
                yield cell


def _apart(one: Span | None, other: Span | None) -> bool:
    return bool(one and other and (one[0] > other[1] or other[0] > one[1]))


def _stated(line: Line, told: _Told, component: str, used: bool) -> Iterable[Json]:
    meanings = {
        "engine": told[1],
        "component": component,
        "fitted": told[2] and told[2][2],
        "removed": told[3] and told[3][2],
        "miles": read_figure(line.miles).value,
        "total_miles": read_figure(line.total_miles).value,
    }
    for field, meaning in meanings.items():
        if line.text(field).strip():
            sure = _SURE if meaning is not None else 1 - _SURE
            yield {
                "line_id": line.line_id,
                "field": field,
                "meaning": meaning,
                "confidence": sure,
                "used": used,
            }
