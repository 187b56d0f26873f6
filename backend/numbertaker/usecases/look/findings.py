"""Findings with both sides, and the rulings that a person may give on each, as sentences."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

from numbertaker.archive import Archive
from numbertaker.evidence.errors import NotFound
from numbertaker.evidence.records import CellKey
from numbertaker.publishing.degrees import degree_of
from numbertaker.publishing.questions import FIELDS, KINDS
from numbertaker.reconciling.history import Finding
from numbertaker.usecases.look.decisions import decision_view
from numbertaker.usecases.look.index import Index, index
from numbertaker.usecases.look.lines import line_views, meaning_text, place_of
from numbertaker.usecases.look.spans import iso_or_none
from numbertaker.usecases.look.views import ClaimView, ComponentRef, FindingView, RulingOffered

AT_ODDS: Final = ("mileage-conflict", "date-conflict", "overlap", "double-occupancy")
"""Kinds whose claims can't all be true: to believe one side is to set the others aside."""
ONLY_STANDS: Final = ("gap", "one-sided", "unlinked", "ambiguous-link")
"""Kinds in which no claim is at fault: something is missing, or a decision on the cell says who is meant."""
STANDS: Final = RulingOffered("stands", "Leave it as it stands")


def findings(
    archive: Archive,
    *,
    state: Literal["open", "settled"] | None = None,
    kind: str | None = None,
    component: str | None = None,
) -> list[FindingView]:
    """The findings asked for, surest first."""
    made = index(archive)
    wanted = [
        finding
        for finding in made.findings.values()
        if (state is None or (finding.settled_by is None) == (state == "open"))
        and (kind is None or finding.kind == kind)
        and (component is None or component in made.components_of.get(finding.id, ()))
    ]
    return finding_views(made, sorted(wanted, key=lambda finding: (-finding.confidence, finding.id)))


def finding(archive: Archive, finding_id: str) -> FindingView:
    """One finding; `NotFound` where the history has none of that id."""
    made = index(archive)
    known = made.findings.get(finding_id)
    if known is None:
        raise NotFound("finding", finding_id)
    return finding_view(made, known)


def finding_views(made: Index, rows: Iterable[Finding]) -> list[FindingView]:
    """Findings in the order given."""
    return [finding_view(made, row) for row in rows]


def finding_view(made: Index, row: Finding) -> FindingView:
    """A finding with its lines, its claims and the rulings that can be given on it."""
    decision = made.matter.decision(row.settled_by) if row.settled_by else None
    return FindingView(
        id=row.id,
        kind=row.kind,
        kind_says=KINDS.get(row.kind, row.kind).rstrip("."),
        message=row.message,
        confidence=round(row.confidence, 4),
        state="open" if row.settled_by is None else "settled",
        earliest=iso_or_none(row.earliest),
        latest=iso_or_none(row.latest),
        components=[ComponentRef(c, made.label(c)) for c in made.components_of.get(row.id, ())],
        lines=line_views(made, row.lines),
        claims=[claim for key in row.claims if (claim := _claim(made, key)) is not None],
        rulings=rulings(made, row),
        decision=decision_view(made, decision) if decision else None,
    )


def _claim(made: Index, key: CellKey) -> ClaimView | None:
    line = made.lines.get(key.line_id)
    if line is None:
        return None
    cell = made.cells.get(key)
    scan, box = place_of(made, line)
    read = made.read_lines.get(key.line_id)
    own = read.cells.get(key.field, {}).get("box") if read is not None else None
    sure = None if cell is None else round(cell.confidence, 4)
    return ClaimView(
        cell=str(key),
        field=key.field,
        line_id=key.line_id,
        text=line.text(key.field),
        meaning_text=meaning_text(made, cell),
        citation=made.matter.citations.first(line),
        scan=scan,
        box=(own[0], own[1], own[2], own[3]) if own else box,
        sure=sure,
        degree=degree_of(sure, contradicted=key in made.matter.contradicted),
    )


def rulings(made: Index, row: Finding) -> list[RulingOffered]:
    """What can be ruled: what the decision says and the sentence on its button; that it stands comes last."""
    claims = [key for key in row.claims if key.line_id in made.lines]
    if row.kind in ONLY_STANDS or not claims:
        return [STANDS]
    sides = _sides(made, claims)
    if row.kind in AT_ODDS and len(sides) > 1:
        return [*(_take(made, side, claims) for side in sides), STANDS]
    return [*_each(made, claims), STANDS]


def _each(made: Index, claims: list[CellKey]) -> list[RulingOffered]:
    """To believe what is in question, where it means anything, or to set aside what one of the lines says."""
    by_line: dict[str, list[CellKey]] = {}
    for key in claims:
        by_line.setdefault(key.line_id, []).append(key)
    told = [(keys, _said(made, keys)) for keys in by_line.values()]
    believed = " and ".join(said for _, said in told)
    means = all((cell := made.cells.get(key)) is not None and cell.meaning is not None for key in claims)
    offered = [RulingOffered(_ruling(claims, ()), f"Believe {believed}")] if means else []
    return offered + [RulingOffered(_ruling((), keys), f"Set aside {said}") for keys, said in told]


def _sides(made: Index, claims: list[CellKey]) -> list[list[CellKey]]:
    """The claims that agree with each other, side by side: the same field with the same meaning."""
    sides: dict[tuple[str, object], list[CellKey]] = {}
    for key in claims:
        cell = made.cells.get(key)
        known = cell is not None and cell.meaning is not None
        said = cell.meaning if cell and known else made.lines[key.line_id].text(key.field)
        sides.setdefault((key.field, said), []).append(key)
    return list(sides.values())


def _take(made: Index, side: list[CellKey], claims: list[CellKey]) -> RulingOffered:
    """To believe one side and set the others aside; they are named where they speak of something else."""
    others = [key for key in claims if key not in side]
    label = f"Take {_value(made, side[0])} as {_field(side[0])}"
    if any(key.field != side[0].field for key in others):
        label += f", and set aside {' and '.join(dict.fromkeys(_said(made, [key]) for key in others))}"
    elif _value(made, side[0]) in {_value(made, key) for key in others}:
        label += f" ({_where(made, side[0])})"
    return RulingOffered(_ruling(side, others), label)


def _said(made: Index, keys: list[CellKey]) -> str:
    """What a line claims, as part of a sentence: '68,210 as the miles (card 46, line 3)'."""
    if len(keys) > 1:
        return f"what {_where(made, keys[0])}, says"
    return f"{_value(made, keys[0])} as {_field(keys[0])} ({_where(made, keys[0])})"


def _where(made: Index, key: CellKey) -> str:
    return made.matter.citations.locator(made.lines[key.line_id])


def _field(key: CellKey) -> str:
    return FIELDS.get(key.field, f"the {key.field}")


def _value(made: Index, key: CellKey) -> str:
    """What a claim says, in the fewest plain words: miles without their unit, as a sentence names it."""
    cell = made.cells.get(key)
    said = meaning_text(made, cell).removesuffix(" miles").removesuffix(" mile")
    return said or f"‘{made.lines[key.line_id].text(key.field)}’"


def _ruling(held: Iterable[CellKey], dropped: Iterable[CellKey]) -> str:
    return "; ".join([*(f"believe {key}" for key in held), *(f"set aside {key}" for key in dropped)])
