"""What an engine was called then, and what a component is called."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from numbertaker.evidence.days import ALWAYS, Span
from numbertaker.evidence.records import Component, Designation, Engine, Evidence
from numbertaker.publishing.dates import text_span
from numbertaker.publishing.figures import listed

_ORDINALS: Final = ("first", "second", "third", "fourth", "fifth", "sixth")


@dataclass(frozen=True, slots=True)
class Called:
    """What an engine was called at a time: number and name, either of which may be empty, never both.

    `which` tells engines apart that bore one number after another: 'second of that number'.
    """

    number: str
    name: str
    which: str = ""

    def __str__(self) -> str:
        """Number and name in a row: '208 Lady Ostrey'."""
        called = " ".join(part for part in (self.number, self.name) if part)
        return f"{called} ({self.which})" if self.which else called


class Names:
    """The designations of an archive, asked by date.

    Within a doubt about a day on which the engine changed its number, both numbers are possible and both
    are given: '31 or 238'.
    """

    def __init__(self, evidence: Evidence) -> None:
        """Take the designations, engines and components of the evidence."""
        self._rows: dict[tuple[str, str], list[tuple[Span, Designation]]] = {}
        for row in evidence.designations:
            self._rows.setdefault((row.subject_id, row.scheme), []).append((_borne(row), row))
        self._engines: dict[str, Engine] = {engine.engine_id: engine for engine in evidence.engines}
        self._bearers = self._in_turn()
        self._components: dict[str, Component] = {row.component_id: row for row in evidence.components}

    def _in_turn(self) -> dict[str, tuple[str, ...]]:
        """The engines that bore each number, the earliest first."""
        rows = [
            (span, row)
            for (subject_id, scheme), borne in self._rows.items()
            if scheme == "number" and subject_id in self._engines
            for span, row in borne
        ]
        bearers: dict[str, dict[str, None]] = {}
        for _, row in sorted(rows, key=lambda pair: (_order(pair), pair[1].subject_id)):
            bearers.setdefault(row.value, {})[row.subject_id] = None
        return {number: tuple(engines) for number, engines in bearers.items()}

    def then(self, engine_id: str, span: Span) -> Called:
        """What the engine was called then; if nothing, what it was called last, or else its id."""
        number, name = self._borne_in(engine_id, "number", span), self._borne_in(engine_id, "name", span)
        if number or name:
            return Called(number, name, self._which(engine_id, number))
        last = [self._ever(engine_id, scheme)[-1:] for scheme in ("number", "name")]
        number, name = ("".join(part) for part in last)
        return Called(number or ("" if name else engine_id), name, self._which(engine_id, number))

    def all_of(self, engine_id: str) -> str:
        """Everything an engine was ever called, in order: '31, later 238'."""
        numbers, names = (self._ever(engine_id, scheme) for scheme in ("number", "name"))
        said = [", later ".join(part) for part in (numbers, names) if part]
        which = self._which(engine_id, numbers[0]) if len(numbers) == 1 else ""
        called = (" " if len(numbers) < 2 else "; ").join(said) or engine_id
        return f"{called} ({which})" if which else called

    def numbers(self, subject_id: str) -> tuple[str, ...]:
        """The numbers that something ever bore, in order."""
        return self._ever(subject_id, "number")

    def component(self, component_id: str) -> str:
        """What to call a component: 'Boiler 52'; by its id where it has no number."""
        row = self._components.get(component_id)
        kind = row.kind if row is not None and row.kind else "component"
        numbers = self._ever(component_id, "number")
        return f"{kind[:1].upper()}{kind[1:]} {numbers[-1] if numbers else component_id}"

    def kind(self, component_id: str) -> str:
        """The kind of a component as a noun: 'boiler'; 'component' where it is not stated."""
        row = self._components.get(component_id)
        return row.kind if row is not None and row.kind else "component"

    def _which(self, engine_id: str, number: str) -> str:
        """Which of the engines that ever bore a number this is, from the second on; empty for the first."""
        bearers = self._bearers.get(number, ())
        place = bearers.index(engine_id) if engine_id in bearers else 0
        return f"{_ORDINALS[place]} of that number" if 0 < place < len(_ORDINALS) else ""

    def _borne_in(self, subject_id: str, scheme: str, span: Span) -> str:
        rows = self._rows.get((subject_id, scheme), [])
        return listed(_once(row.value for borne, row in rows if borne.intersects(span)), "or")

    def _ever(self, subject_id: str, scheme: str) -> tuple[str, ...]:
        return tuple(
            _once(row.value for _, row in sorted(self._rows.get((subject_id, scheme), []), key=_order))
        )


def _once(values: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(value for value in values if value))


def _order(borne: tuple[Span, Designation]) -> tuple[Span, str]:
    return borne[0], borne[1].value


def _borne(row: Designation) -> Span:
    """From the first possible day of its start to the last possible day of its end."""
    first, last = text_span(row.from_).first, text_span(row.to).last
    return ALWAYS if first is not None and last is not None and last < first else Span(first, last)
