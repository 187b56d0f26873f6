"""Two offices kept a card of one engine or component: the second is a further witness, no new fitment."""

from __future__ import annotations

from dataclasses import replace

from tests.railways import MIRROR, OWN, SOURCES, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Evidence, Line, Source
from numbertaker.reconciling import reconcile
from numbertaker.reconciling.history import History

SHED = Source(source_id="S6", kind="engine-card", title="Engine cards of the sheds")
LEDGER = Source(source_id="S7", kind="ledger", title="Boiler ledger", compiled_from="S1")


def told(*lines: Line) -> History:
    """The history of the small railway, with both further sources."""
    evidence: Evidence = replace(railway(*lines), sources=(*SOURCES, SHED, LEDGER))
    return reconcile(follow(evidence))


def of(source: str, line: Line, **otherwise: str) -> Line:
    """The same line on another office's card."""
    at = f"{source}-{line.heading}"
    return replace(line, line_id=f"{at}-{line.row_}", card_id=at, source_id=source, **otherwise)


def test_a_shed_s_card_is_a_further_witness() -> None:
    """A shed's card that says what the works' cards say adds its lines as evidence, and no finding."""
    shed = [of("S6", line) for line in MIRROR[1:3]]
    history = told(*OWN, *MIRROR, *shed)
    fitments = next(c for c in history.components if c.component_id == "B1").fitments
    cited = {line for fitment in fitments for line in fitment.evidence}
    assert history.all_findings() == told(*OWN, *MIRROR).all_findings()
    assert len(fitments) == 4
    assert {line.line_id for line in shed} <= cited


def test_a_shed_s_card_that_has_other_miles_is_one_finding() -> None:
    """Where the shed's figure differs, the finding names its line, and the works' figure stands."""
    history = told(*OWN, *MIRROR, of("S6", MIRROR[1], miles="82,177"))
    found = [f for f in history.all_findings() if "S6-202-1" in f.lines]
    fitment = next(c for c in history.components if c.component_id == "B1").fitments[1]
    assert [f.kind for f in found] == ["mileage-conflict"]
    assert fitment.miles.value == 87_177


def test_one_misread_date_does_not_make_another_fitment() -> None:
    """A removal read thirty years off, with the very miles beside it, is a wrong date of the same fitment."""
    history = told(*OWN, *MIRROR, of("S6", MIRROR[2], removed="2.1982"))
    fitments = next(c for c in history.components if c.component_id == "B1").fitments
    assert len(fitments) == 4
    assert "S6-202-2" in fitments[2].evidence


def test_a_removal_before_anything_was_built_is_wrong_and_not_exchanged() -> None:
    """A century misread on one card doesn't move the day that both others have: one finding, on its line."""
    history = told(*OWN, *MIRROR, of("S6", MIRROR[2], removed="2.1882"))
    fitment = next(c for c in history.components if c.component_id == "B1").fitments[2]
    assert fitment.removed.edtf == "1912-02"
    assert [(f.kind, f.lines) for f in history.all_findings()] == [("overlap", ("S6-202-2",))]


def test_what_only_the_shed_has_is_a_fitment_of_its_own() -> None:
    """A line that the works' card of the engine lacks is paired with the component's card."""
    history = told(*OWN, MIRROR[0], MIRROR[1], MIRROR[3], of("S6", MIRROR[1]), of("S6", MIRROR[2]))
    fitments = next(c for c in history.components if c.component_id == "B1").fitments
    assert len(fitments) == 4
    assert "S6-202-2" in fitments[2].evidence


def ledger(*rows: tuple[int, str]) -> list[Line]:
    """A leaf that begins with so many miles brought forward, and goes on with lines of the boiler's card."""
    (_, brought), *rest = rows
    first = Line(
        line_id="S7-51-1", source_id="S7", card_id="S7-51", side="component", heading="51", row_="1",
        says="total", total_miles=brought, locator="leaf 51, line 1",
    )  # fmt: skip
    lines = [
        of(
            "S7",
            OWN[n],
            row_=str(k),
            total_miles=total,
            engine="202" if OWN[n].engine == '"' else OWN[n].engine,
        )
        for k, (n, total) in enumerate(rest, start=2)
    ]
    return [first, *(replace(line, line_id=f"S7-51-{line.row_}") for line in lines)]


def test_a_total_brought_forward_is_held_to_what_others_tell_of_the_time_before() -> None:
    """A ledger opened later begins with a total: right where the earlier fitments add up to it, else not."""
    right = ledger((0, "182,331"), (2, "252,840"), (3, "363,716"))
    wrong = ledger((0, "182,831"), (2, "253,340"), (3, "364,216"))
    assert told(*OWN, *MIRROR, *right).all_findings() == told(*OWN, *MIRROR).all_findings()
    assert "total-mismatch" in {f.kind for f in told(*OWN, *MIRROR, *wrong).all_findings()}


def test_a_total_brought_forward_from_nowhere_is_taken_as_it_stands() -> None:
    """Where nothing tells of the time before, the column counts on from what was brought forward."""
    alone = ledger((0, "182,331"), (2, "252,840"), (3, "363,716"))
    found = {f.kind for f in told(*alone, MIRROR[2], MIRROR[3]).all_findings()}
    assert "total-mismatch" not in found
