"""Who bore which number or name, and when: the authority tables, made ready to be asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from numbertaker.evidence.days import Day, Span
from numbertaker.evidence.designations import bare_name, bare_number
from numbertaker.evidence.edtf import one_day
from numbertaker.evidence.errors import BadDate
from numbertaker.evidence.records import Component, Designation, Engine, Evidence

if TYPE_CHECKING:
    from numbertaker.linking.candidates import Told

Sort: TypeAlias = Literal["engine", "component"]
Text: TypeAlias = tuple[Sort, str, str]
"""What a cell says of a sort of subject: its number and its name."""

EVER_FIRST: Final[Day] = 1
EVER_LAST: Final[Day] = 3_652_059
"""The first and the last day that a calendar date of four digits can name: stand-ins for 'no bound'."""

MEETING: Final = 31
"""Days by which a span of a designation is loose: two that meet within one month are both possible in it."""


@dataclass(frozen=True, slots=True)
class Borne:
    """A number or name that a subject bore, from `first` to `last`; where the tables give no day, its life
    does.
    """

    subject_id: str
    scheme: str
    value: str
    first: Day
    last: Day

    def at(self, first: Day, last: Day, loose: int = MEETING) -> bool:
        """Whether it was borne on some day between two days."""
        return self.first - loose <= last and first <= self.last + loose


@dataclass(frozen=True, slots=True)
class Life:
    """The days between which something certainly existed or may have: start and end as hulls."""

    start: Span
    end: Span

    @property
    def first(self) -> Day:
        """The earliest day on which it may have been there."""
        return EVER_FIRST if self.start.first is None else self.start.first

    @property
    def last(self) -> Day:
        """The latest day on which it may have been there."""
        return EVER_LAST if self.end.last is None else self.end.last


@lru_cache(maxsize=65_536)
def hull(text: str) -> Span:
    """The days that an EDTF text of the authority tables may mean; no bounds where it says nothing."""
    if not text.strip():
        return Span(None, None)
    try:
        return one_day(text.strip()).hull
    except BadDate:
        return Span(None, None)


class Index:
    """The authority tables by number, by name and by subject. Nothing in it changes after it is made."""

    def __init__(self, evidence: Evidence) -> None:
        """Read the tables once; cost grows with their rows only."""
        self.engines: Mapping[str, Engine] = {e.engine_id: e for e in evidence.engines}
        self.components: Mapping[str, Component] = {c.component_id: c for c in evidence.components}
        self.lives: Mapping[str, Life] = {
            **{e.engine_id: Life(hull(e.built), hull(e.withdrawn)) for e in evidence.engines},
            **{c.component_id: Life(hull(c.built), hull(c.condemned)) for c in evidence.components},
        }
        self._by_number: dict[Sort, dict[str, list[Borne]]] = {
            "engine": defaultdict(list),
            "component": defaultdict(list),
        }
        self._by_name: dict[Sort, dict[str, list[Borne]]] = {
            "engine": defaultdict(list),
            "component": defaultdict(list),
        }
        self._shortened: dict[Sort, dict[str, list[str]]] = {}
        self._of: dict[str, list[Borne]] = defaultdict(list)
        self._classes: dict[str, list[tuple[str, Span]]] = defaultdict(list)
        for row in sorted(
            evidence.designations, key=lambda d: (d.subject_id, d.scheme, d.value, d.from_, d.to)
        ):
            self._add(row)
        self._fits: dict[str, set[str]] = defaultdict(set)
        for fit in evidence.fits:
            self._fits[fit.component_type].add(fit.engine_class)

        self.ranked: dict[tuple[Text, float], Told] = {}
        """Whom a text may mean, by how often it is misread."""
        self.alike: dict[Text, list[tuple[Borne, float | None]]] = {}
        """Who bore a text or one like it, kept by whoever works it out, since many cells say the same."""

    def _add(self, row: Designation) -> None:
        first, last = hull(row.from_).first, hull(row.to).last
        if row.scheme == "class":
            span = Span(first, last) if first is None or last is None or first <= last else Span(last, first)
            self._classes[row.subject_id].append((row.value, span))
            return
        value = bare_number(row.value) if row.scheme == "number" else bare_name(row.value)
        life = self.life(row.subject_id)
        borne = Borne(
            row.subject_id,
            row.scheme,
            value,
            life.first if first is None else first,
            life.last if last is None else last,
        )
        sort: Sort = "engine" if row.subject_id in self.engines else "component"
        table = self._by_number if row.scheme == "number" else self._by_name
        table[sort][value if row.scheme == "number" else value.casefold()].append(borne)
        self._of[row.subject_id].append(borne)

    def forget(self) -> None:
        """Let go of what was ranked so far: it is ranked again where it is asked for again."""
        self.ranked.clear()
        self.alike.clear()

    def bearers(self, number: str, sort: Sort) -> tuple[Borne, ...]:
        """Who bore exactly this bare number, at any time."""
        return tuple(self._by_number[sort].get(number, ()))

    def named(self, name: str, sort: Sort) -> tuple[Borne, ...]:
        """Who bore exactly this name, at any time."""
        return tuple(self._by_name[sort].get(name.casefold(), ()))

    def near_numbers(self, number: str, sort: Sort) -> list[str]:
        """Every number of one sort that one slip may have turned into this one, and it itself, in order.

        Looked up, not searched for: two texts that are one insertion, deletion, substitution or exchange of
        neighbours apart agree in one of the texts that each leaves with one character taken out (T. Bocek, E.
        Hunt and B. Stiller, "Fast similarity search in large dictionaries", 2007). A few more may be given.
        """
        if sort not in self._shortened:
            made: dict[str, list[str]] = defaultdict(list)
            for known in self._by_number[sort]:
                for text in _shortened(known):
                    made[text].append(known)
            self._shortened[sort] = made
        shelf = self._shortened[sort]
        return sorted({known for text in _shortened(number) for known in shelf.get(text, ())})

    def names(self, sort: Sort) -> list[str]:
        """Every name, in small letters."""
        return list(self._by_name[sort])

    def borne_by(self, subject_id: str) -> tuple[Borne, ...]:
        """Everything that a subject bore."""
        return tuple(self._of.get(subject_id, ()))

    def size(self, sort: Sort) -> int:
        """How many subjects there are of a sort, at least 1."""
        return max(1, len(self.engines if sort == "engine" else self.components))

    def life(self, subject_id: str) -> Life:
        """When it was there; no bounds for what is not in the tables."""
        return self.lives.get(subject_id, Life(Span(None, None), Span(None, None)))

    def classes_at(self, engine_id: str, first: Day, last: Day) -> tuple[str, ...]:
        """The classes that an engine may have had between two days."""
        rows = self._classes.get(engine_id)
        if not rows:
            engine = self.engines.get(engine_id)
            return (engine.class_,) if engine is not None and engine.class_ else ()
        if len(rows) == 1:
            return (rows[0][0],)
        between = Span(first - MEETING, max(first, last) + MEETING)
        return tuple(value for value, span in rows if span.intersects(between)) or tuple(
            value for value, _ in rows
        )

    def fits(self, component_id: str, engine_id: str, first: Day, last: Day) -> bool:
        """Whether an engine could carry a component then; unknown types and classes fit anything."""
        component = self.components.get(component_id)
        allowed = self._fits.get(component.type) if component is not None and component.type else None
        classes = self.classes_at(engine_id, first, last)
        return not allowed or not classes or any(value in allowed for value in classes)

    def label(self, subject_id: str, first: Day | None = None, last: Day | None = None) -> str:
        """What a subject is called in a sentence: its number then, else its first number or name, else its
        id.
        """
        rows = [row for row in self._of.get(subject_id, ()) if row.scheme == "number"] or list(
            self._of.get(subject_id, ())
        )
        if first is not None:
            rows = [row for row in rows if row.at(first, first if last is None else last)] or rows
        return rows[0].value if rows else subject_id


def _shortened(text: str) -> set[str]:
    return {text, *(text[:place] + text[place + 1 :] for place in range(len(text)))}


def years_of(spans: Iterable[Span]) -> tuple[Day, Day] | None:
    """The first and the last bounded day of many spans; None where no end is known."""
    ends = [day for span in spans for day in (span.first, span.last) if day is not None]
    return (min(ends), max(ends)) if ends else None
