"""The rows of the evidence package, as plain immutable values.

Every field is the cell's text exactly as it stands; nothing here is normalised.
An empty string means 'not stated'. Columns that the program does not know are
kept in `extra`, in file order, so that a package goes out as it came in.

The names of the fields are the names of the columns: the record classes *are*
the schema, and the package, the archive and the templates are derived from them.
(A field that would hide a word of the language, or a method, ends in an underscore
that its column has not: `class_`, `from_`, `row_`.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import ClassVar, Final, Self, TypeAlias

Extra: TypeAlias = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What all rows have in common: a table, required columns and columns of unknown meaning."""

    TABLE: ClassVar[str]
    REQUIRED: ClassVar[tuple[str, ...]]
    KEY: ClassVar[tuple[str, ...]]

    extra: Extra = ()

    @classmethod
    def columns(cls) -> tuple[str, ...]:
        """The known columns, in the order in which a new file has them."""
        return tuple(_COLUMN_OF[cls])

    @classmethod
    def from_row(cls, row: Mapping[str, str]) -> Self:
        """Make a record of one row; unknown columns go to `extra`.

        Required columns are checked by whoever reads the file, who knows its name and row.
        """
        known = _COLUMN_OF[cls]
        values = {known[column]: text for column, text in row.items() if column in known}
        extra = tuple((column, text) for column, text in row.items() if column not in known)
        return cls(**values, extra=extra)

    def row(self) -> dict[str, str]:
        """The record as column to text, known columns first, then the unknown ones."""
        known = _COLUMN_OF[type(self)]
        return {column: getattr(self, name) for column, name in known.items()} | dict(self.extra)

    @property
    def key(self) -> str:
        """The row's name within its table: its id, or its key columns joined by '/'."""
        return "/".join(getattr(self, name) for name in self.KEY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source(Record):
    """Something that can be cited."""

    TABLE: ClassVar[str] = "sources"
    REQUIRED: ClassVar[tuple[str, ...]] = ("source_id", "kind", "title")
    KEY: ClassVar[tuple[str, ...]] = ("source_id",)

    source_id: str
    kind: str
    title: str
    author: str = ""
    publisher: str = ""
    repository: str = ""
    collection: str = ""
    reference: str = ""
    item: str = ""
    created: str = ""
    seen: str = ""
    rights: str = ""
    address: str = ""
    compiled_from: str = ""
    reliability: str = ""
    note: str = ""

    @property
    def parents(self) -> tuple[str, ...]:
        """The ids of the sources that this one was copied or compiled from."""
        return tuple(part.strip() for part in self.compiled_from.split(";") if part.strip())


@dataclass(frozen=True, slots=True, kw_only=True)
class Card(Record):
    """A card or page of a source."""

    TABLE: ClassVar[str] = "cards"
    REQUIRED: ClassVar[tuple[str, ...]] = ("card_id", "source_id")
    KEY: ClassVar[tuple[str, ...]] = ("card_id",)

    card_id: str
    source_id: str
    form: str = ""
    subject_id: str = ""
    covers: str = ""
    state: str = ""
    scans: str = ""
    sha256: str = ""
    locator: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine(Record):
    """A vehicle that carries components, whatever it is called at the time."""

    TABLE: ClassVar[str] = "engines"
    REQUIRED: ClassVar[tuple[str, ...]] = ("engine_id",)
    KEY: ClassVar[tuple[str, ...]] = ("engine_id",)

    engine_id: str
    class_: str = ""
    built: str = ""
    withdrawn: str = ""
    works: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Component(Record):
    """A thing with a number of its own that is moved between engines."""

    TABLE: ClassVar[str] = "components"
    REQUIRED: ClassVar[tuple[str, ...]] = ("component_id", "kind")
    KEY: ClassVar[tuple[str, ...]] = ("component_id",)

    component_id: str
    kind: str
    type: str = ""
    built: str = ""
    condemned: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Designation(Record):
    """A number, name or class that something bore, and when."""

    TABLE: ClassVar[str] = "designations"
    REQUIRED: ClassVar[tuple[str, ...]] = ("subject_id", "scheme", "value")
    KEY: ClassVar[tuple[str, ...]] = ("subject_id", "scheme", "value")

    subject_id: str
    scheme: str
    value: str
    from_: str = ""
    to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit(Record):
    """A component type that an engine class could carry."""

    TABLE: ClassVar[str] = "fits"
    REQUIRED: ClassVar[tuple[str, ...]] = ("component_type", "engine_class")
    KEY: ClassVar[tuple[str, ...]] = ("component_type", "engine_class")

    component_type: str
    engine_class: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Event(Record):
    """A dated, cited statement that belongs in a history but is no fitment."""

    TABLE: ClassVar[str] = "events"
    REQUIRED: ClassVar[tuple[str, ...]] = ("event_id", "subject_id", "date", "statement", "source_id")
    KEY: ClassVar[tuple[str, ...]] = ("event_id",)

    event_id: str
    subject_id: str
    date: str
    statement: str
    source_id: str
    locator: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line(Record):
    """One line of one card or page, as written."""

    TABLE: ClassVar[str] = "lines"
    REQUIRED: ClassVar[tuple[str, ...]] = ("line_id", "source_id", "side", "says")
    KEY: ClassVar[tuple[str, ...]] = ("line_id",)

    line_id: str
    source_id: str
    card_id: str = ""
    locator: str = ""
    side: str
    heading: str = ""
    heading_name: str = ""
    row_: str = ""
    says: str
    engine: str = ""
    engine_name: str = ""
    component: str = ""
    fitted: str = ""
    removed: str = ""
    miles: str = ""
    total_miles: str = ""
    place: str = ""
    remarks: str = ""
    marks: str = ""
    reading: str = ""
    region: str = ""

    def sureness(self, column: str) -> float | None:
        """How surely one cell was read, 0 to 1; None where a person typed it."""
        text = dict(self.extra).get(f"reading_{column}", "") or self.reading
        return float(text) if text else None

    def text(self, column: str) -> str:
        """One cell as written."""
        name = _COLUMN_OF[Line].get(column)
        return getattr(self, name) if name else dict(self.extra).get(column, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(Record):
    """A ruling of a person, with the reason; taken back by a later one that names it in `revokes`."""

    TABLE: ClassVar[str] = "decisions"
    REQUIRED: ClassVar[tuple[str, ...]] = ("decision_id", "kind", "target", "ruling", "reason", "by", "at")
    KEY: ClassVar[tuple[str, ...]] = ("decision_id",)

    decision_id: str
    kind: str
    target: str
    ruling: str
    reason: str
    by: str
    at: str
    revokes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Record):
    """An earlier reading of one cell, superseded by what `lines` now has; oldest first."""

    TABLE: ClassVar[str] = "readings"
    REQUIRED: ClassVar[tuple[str, ...]] = ("line_id", "field", "text")
    KEY: ClassVar[tuple[str, ...]] = ("line_id", "field", "at")

    line_id: str
    field: str
    text: str
    reading: str = ""
    by: str = ""
    at: str = ""


RECORDS: Final[tuple[type[Record], ...]] = (
    Source,
    Card,
    Engine,
    Component,
    Designation,
    Fit,
    Event,
    Line,
    Decision,
    Reading,
)

_COLUMN_OF: Final[dict[type[Record], dict[str, str]]] = {
    record: {f.name.rstrip("_"): f.name for f in fields(record) if f.name != "extra"} for record in RECORDS
}

CELL_FIELDS: Final = (
    "heading",
    "heading_name",
    "engine",
    "engine_name",
    "component",
    "fitted",
    "removed",
    "miles",
    "total_miles",
)
"""The columns of a line that claim something; the rest describe the line itself."""


@dataclass(frozen=True, slots=True, order=True)
class CellKey:
    """The name of one cell: a line and one of its columns; written `LINE_ID/column`."""

    line_id: str
    field: str

    def __str__(self) -> str:
        """The key as decisions write it."""
        return f"{self.line_id}/{self.field}"

    @classmethod
    def parse(cls, text: str) -> CellKey:
        """Read `LINE_ID/column` back; the column has no slash, a line's id may have."""
        line_id, _, column = text.rpartition("/")
        return cls(line_id, column)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Everything that an archive holds, as rows in the order they came in."""

    sources: tuple[Source, ...] = ()
    cards: tuple[Card, ...] = ()
    engines: tuple[Engine, ...] = ()
    components: tuple[Component, ...] = ()
    designations: tuple[Designation, ...] = ()
    fits: tuple[Fit, ...] = ()
    events: tuple[Event, ...] = ()
    lines: tuple[Line, ...] = ()
    decisions: tuple[Decision, ...] = ()
