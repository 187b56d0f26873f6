"""Where to look next: engines for a gap, cards that would show it, what settles a finding."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.railways import MIRROR, OWN, mirror, own, railway

from numbertaker.evidence.decisions import Looked, follow, looked_of
from numbertaker.evidence.records import Card, Decision, Designation, Engine, Line
from numbertaker.reconciling import reconcile
from numbertaker.reconciling.leads import Leads, leads_of, settling

LATE = own(4, "203", "3.1919", "6.1922", "110,876")
OTHERS = (
    # Engine 203 is known to have had boiler 52 all the time; engine 201 has a hole that fits the gap.
    mirror("203", 1, "52", "1.1905", "1.1919", miles="400,000"),
    mirror("203", 2, "51", "3.1919", "6.1922", miles="110,876"),
    mirror("201", 2, "52", "5.1907", "4.1912"),
    mirror("201", 3, "52", "1.1919", "5.1925"),
)


def made(*lines: Line, decisions: tuple[Decision, ...] = (), cards: tuple[Card, ...] = ()):
    """The leads of the small railway with a gap of seven years."""
    evidence = railway(*OWN[:3], LATE, *MIRROR[:3], *OTHERS, *lines)
    one, two, three = evidence.engines
    evidence = replace(evidence, engines=(one, replace(two, withdrawn="1912-03"), three))
    ruled = follow(replace(evidence, decisions=decisions, cards=cards))
    return Leads(reconcile(ruled), ruled), ruled


def looked(covers: str = "1912-02/1919-03") -> Decision:
    """That somebody looked through the card of engine 201."""
    return Decision(
        decision_id="D1", kind="looked", target="E1;B1", reason="Both sides, line by line.", by="A. Reader",
        ruling=f'{{"covers": "{covers}", "source": "S2", "when": "2026-03-14"}}', at="2026-03-14T10:00:00Z",
    )  # fmt: skip


def test_a_gap_has_the_engine_first_whose_own_hole_fits_it():
    """Engine 201 stands without a boiler for just that time; engine 203 is known to have had another."""
    leads, _ = made()
    ((gap, found),) = leads_of(leads, "B1")
    assert 2400 < gap.days < 2700
    assert found[0].engine_id == "E1"
    assert "E3" not in [lead.engine_id for lead in found]
    assert sum(lead.probability for lead in found) <= 1
    assert found[0].reasons[0].startswith("Nothing is known to have been on it from")


def test_what_cannot_carry_it_is_no_lead():
    """A class that the type does not fit, and an engine that was not yet built, are left out."""
    leads, _ = made()
    evidence = leads.ruled.evidence
    more = (
        Engine(engine_id="E8", class_="Z", built="1903", withdrawn="1936"),
        Engine(engine_id="E9", class_="K", built="1925", withdrawn="1950"),
    )
    names = tuple(
        Designation(subject_id=e.engine_id, scheme="number", value=f"9{e.engine_id[1]}") for e in more
    )
    ruled = follow(
        replace(evidence, engines=(*evidence.engines, *more), designations=(*evidence.designations, *names))
    )
    ((_, found),) = leads_of(Leads(reconcile(ruled), ruled), "B1")
    assert not {"E8", "E9"} & {lead.engine_id for lead in found}


def test_looked_there_and_nothing_found_makes_a_lead_less_likely():
    """The decision counts as evidence, is named in the reasons, and taken back is as if it had never been."""
    before = leads_of(made()[0], "B1")[0][1][0]
    after = next(k for k in leads_of(made(decisions=(looked(),))[0], "B1")[0][1] if k.engine_id == "E1")
    assert after.probability < before.probability
    assert any("found nothing" in reason for reason in after.reasons)
    back = Decision(
        decision_id="D2", kind="revoke", target="D1", ruling="", reason="The wrong card.", by="A. Reader",
        at="2026-03-15T10:00:00Z", revokes="D1",
    )  # fmt: skip
    assert leads_of(made(decisions=(looked(), back))[0], "B1")[0][1][0] == before


def test_looking_through_another_time_says_nothing():
    """Who looked at the years before the gap has not looked into it."""
    plain = leads_of(made()[0], "B1")[0][1][0]
    elsewhere = leads_of(made(decisions=(looked("1905/1907"),))[0], "B1")[0][1][0]
    assert elsewhere.probability == plain.probability


def test_a_look_is_a_decision_with_a_time_a_source_and_a_name():
    """What can't be understood says nothing, and is refused where it comes in."""
    told = looked_of(looked("1912/1919"))
    assert isinstance(told, Looked)
    assert (told.engine_id, told.component_id, told.source, told.when) == ("E1", "B1", "S2", "2026-03-14")
    assert looked_of(replace(looked(), ruling="somewhere")) is None
    assert looked_of(replace(looked(), target="E1")) is None
    assert looked_of(looked("often")) is None


@pytest.mark.parametrize(
    ("state", "says"), [("known", "not seen yet"), ("seen", "look at its lines"), ("lost", "is lost")]
)
def test_the_cards_that_would_show_it_are_named_with_their_state(state: str, says: str):
    """A card that is known and was not seen is the place to ask for."""
    cards = (Card(card_id="S9-201", source_id="S2", subject_id="E1", covers="1903/1936", state=state),)
    lead = leads_of(made(cards=cards)[0], "B1")[0][1][0]
    place = next(p for p in lead.places if p.card_id == "S9-201")
    assert place.state == state
    assert says in place.says


def test_an_engine_without_any_card_says_that_none_is_listed():
    """What nobody knows of is said too."""
    lines = tuple(line for line in (*OWN[:3], LATE))
    ruled = follow(railway(*lines))
    ((_, found),) = leads_of(Leads(reconcile(ruled), ruled), "B1")
    assert found[0].places[0].state == "unknown"


def test_what_would_settle_a_finding_is_what_it_does_not_name_yet():
    """Two cards differ on the miles: the total on the line below is the next to ask."""
    wrong = replace(OWN[1], miles="82,177")
    below = replace(OWN[2], total_miles="252,840")
    ruled = follow(railway(OWN[0], wrong, below, OWN[3], *MIRROR))
    history = reconcile(ruled)
    finding = next(f for f in history.all_findings() if f.kind == "mileage-conflict")
    places = settling(history, ruled, Leads(history, ruled).slots, finding)
    assert any("do the sum with its total" in place.says for place in places)
    assert all(place.card_id not in {None, ""} or place.state == "unknown" for place in places)
