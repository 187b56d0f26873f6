"""The tables for analysis: every column with its type, its unit and what it means."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final, Literal, TypeAlias

Type: TypeAlias = Literal["string", "integer", "number", "date", "boolean", "array"]
"""The types of a Table Schema that are used here; an array is one of strings, in CSV as JSON."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, its type, what it means, and what its values are held to."""

    name: str
    type: Type
    says: str
    constraints: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Table:
    """One table: what a row is, its columns, and the columns that tell its rows apart."""

    name: str
    says: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]


_MUST: Final = {"required": True}
_SHARE: Final = {"minimum": 0, "maximum": 1}
_COUNT: Final = {"minimum": 0}
_EDGE: Final = "Empty where there is no bound, or where it lies outside the years 1 to 9999."

FITMENTS: Final = Table(
    "fitments",
    "One stay of a component on an engine, as the history has it.",
    (
        Column("component_id", "string", "The component.", _MUST),
        Column("kind", "string", "The kind of component: boiler, tender."),
        Column("type", "string", "The drawing or class of the component."),
        Column(
            "stay", "integer", "The place of this stay among the component's, from 1.", {"minimum": 1} | _MUST
        ),
        Column("engine_id", "string", "The engine.", _MUST),
        Column("engine_class", "string", "The class of the engine by the table of engines."),
        Column(
            "fitted", "string", "The likeliest date of fitting that a source claims, as EDTF (ISO 8601-2)."
        ),
        Column("fitted_earliest", "date", f"The first day on which it may have been fitted. {_EDGE}"),
        Column("fitted_latest", "date", f"The last such day. {_EDGE}"),
        Column("removed", "string", "The likeliest date of removal that a source claims, as EDTF."),
        Column("removed_earliest", "date", f"The first day on which it may have been removed. {_EDGE}"),
        Column("removed_latest", "date", f"The last such day. {_EDGE}"),
        Column(
            "dates_level", "number", "The probability with which these intervals hold the true days.", _SHARE
        ),
        Column(
            "miles",
            "integer",
            "Miles run in this stay: a stated or derived figure, never an estimate.",
            _COUNT,
        ),
        Column("miles_low", "integer", "The least miles that it may have run.", _COUNT),
        Column("miles_high", "integer", "The most miles that it may have run.", _COUNT),
        Column(
            "miles_basis",
            "string",
            "Where the miles come from.",
            {"enum": ["stated", "derived", "estimated"]},
        ),
        Column(
            "confidence",
            "number",
            "The probability that this component was on this engine at some time within the span.",
            _SHARE | _MUST,
        ),
        Column("lines", "array", "The lines that speak of it.", _MUST),
        Column("copies", "array", "Those of them that only repeat another source.", _MUST),
    ),
    ("component_id", "stay"),
)
LINES: Final = Table(
    "lines",
    "One line of a card or page, as written, with the corrections that stand.",
    (
        Column("line_id", "string", "The line.", _MUST | {"unique": True}),
        Column("source_id", "string", "The source that it stands in.", _MUST),
        Column("card_id", "string", "The card or page that it stands on."),
        Column("row", "string", "Its place on the card, as stated."),
        Column("locator", "string", "Its place in the source, as cited."),
        Column(
            "side",
            "string",
            "Whose card it is: the component's, the engine's, or a statement of both.",
            _MUST,
        ),
        Column("says", "string", "What the line tells of: a fitment, or one event.", _MUST),
        Column("heading", "string", "The number or name at the head of the card, as written."),
        Column("heading_name", "string", "The name at the head of the card, as written."),
        Column("engine", "string", "The engine, as written."),
        Column("engine_name", "string", "The engine's name, as written."),
        Column("component", "string", "The component, as written."),
        Column("fitted", "string", "The date of fitting, as written."),
        Column("removed", "string", "The date of removal, as written."),
        Column("miles", "string", "The miles of this fitment, as written."),
        Column("total_miles", "string", "The miles to date, as written."),
        Column("place", "string", "The place, as written."),
        Column("remarks", "string", "The remarks, as written."),
        Column("marks", "string", "Dittos, struck and illegible cells, by column."),
        Column("reading", "number", "How surely the line was read; empty where a person typed it.", _SHARE),
        Column("corrected", "boolean", "Whether a decision that stands changed a cell of it.", _MUST),
        Column("scan", "string", "The SHA-256 of the scan that it stands on."),
        Column("page", "integer", "The page of that scan, from 1.", {"minimum": 1}),
        Column("x", "integer", "The left edge of the line on that page, in pixels.", _COUNT),
        Column("y", "integer", "Its upper edge, in pixels.", _COUNT),
        Column("width", "integer", "Its width, in pixels.", {"minimum": 1}),
        Column("height", "integer", "Its height, in pixels.", {"minimum": 1}),
    ),
    ("line_id",),
)
CLAIMS: Final = Table(
    "claims",
    "What one cell says once linked and made plain, and how probably it is true.",
    (
        Column("line_id", "string", "The line.", _MUST),
        Column("field", "string", "The column of the line.", _MUST),
        Column("component_id", "string", "The component in whose history it stands; empty where in none."),
        Column("source_id", "string", "The source that it stands in.", _MUST),
        Column("written", "string", "The cell as written."),
        Column(
            "meaning",
            "string",
            "What it says: an id, an EDTF date, a figure, or a state such as `state:stock`.",
        ),
        Column("figure", "integer", "The same as a number, where it is one (miles)."),
        Column("confidence", "number", "The probability that this meaning is true.", _SHARE | _MUST),
        Column("used", "boolean", "Whether the history rests on it.", _MUST),
        Column("instead", "string", "A likelier meaning, where there is one."),
        Column("instead_confidence", "number", "The probability of that one.", _SHARE),
        Column("decision_id", "string", "The decision that speaks of this cell, where one does."),
    ),
    ("line_id", "field", "component_id"),
)
FINDINGS: Final = Table(
    "findings",
    "Something that the evidence leaves open, or that can't all be true.",
    (
        Column("finding_id", "string", "The finding; the same fault keeps its id.", _MUST | {"unique": True}),
        Column("kind", "string", "The kind of finding.", _MUST),
        Column("confidence", "number", "The probability that it is so.", _SHARE | _MUST),
        Column("components", "array", "The components in whose histories it stands.", _MUST),
        Column("earliest", "date", f"The first day that it may concern. {_EDGE}"),
        Column("latest", "date", f"The last such day. {_EDGE}"),
        Column("lines", "array", "The smallest set of lines that it rests on.", _MUST),
        Column("authority", "array", "Rows of other tables that take part, as TABLE:KEY.", _MUST),
        Column("settled_by", "string", "The decision that settled it; empty while it is open."),
        Column("message", "string", "What was expected and what was found, in a sentence.", _MUST),
    ),
    ("finding_id",),
)
TABLES: Final = (FITMENTS, LINES, CLAIMS, FINDINGS)
