"""Leads, what settles a finding, and what a ruling would change, over HTTP and from the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from numbertaker.cli.main import app

LOOKED = {
    "kind": "looked",
    "target": "E11;B52",
    "ruling": '{"covers": "1940-07/1944-11", "source": "S2", "when": "2026-03-14"}',
    "reason": "Both sides of the card, line by line.",
    "by": "A. Reader",
}


def test_the_demo_s_gap_has_the_engine_first_whose_card_was_not_seen(demo: Any) -> None:
    """Boiler 52 was on engine 212 while nothing tells of it: its card is known to exist."""
    told = demo.get("/api/components/B52/leads").json()
    assert told["label"] == "Boiler 52"
    (gap,) = told["gaps"]
    assert gap["leads"][0]["engine_id"] == "E11"
    assert gap["leads"][0]["places"][0]["state"] == "known"
    assert all(lead["reasons"] for lead in gap["leads"])
    probabilities = [lead["probability"] for lead in gap["leads"]]
    assert probabilities == sorted(probabilities, reverse=True)


def test_a_component_that_is_not_there_has_no_leads(demo: Any) -> None:
    """The answer is the one shape that every failure has."""
    answer = demo.get("/api/components/B9999/leads")
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


def test_every_ruling_offered_comes_with_what_it_would_change(demo: Any) -> None:
    """Taking the one figure or the other moves the miles; nothing is stored by asking."""
    found = demo.get("/api/findings", params={"kind": "mileage-conflict"}).json()[0]
    told = demo.get(f"/api/findings/{found['id']}/what-if").json()
    assert [o["ruling"] for o in told["outcomes"]] == [r["ruling"] for r in found["rulings"]]
    says = [change["says"] for outcome in told["outcomes"] for change in outcome["changes"]]
    assert any("miles" in text for text in says)
    assert told["outcomes"][-1]["changes"] == []
    assert demo.get("/api/findings", params={"kind": "mileage-conflict"}).json()[0] == found
    assert demo.get("/api/findings/F0/what-if").status_code == 404


def test_what_settles_a_gap_is_the_card_of_the_likeliest_engine(demo: Any) -> None:
    """The places begin with a card that is known and was not seen."""
    gap = demo.get("/api/findings", params={"kind": "gap"}).json()[0]
    places = demo.get(f"/api/findings/{gap['id']}/what-if").json()["places"]
    assert (places[0]["card_id"], places[0]["state"]) == ("S2-212", "known")


def test_looked_there_and_found_nothing_is_kept_and_taken_back(small: Any) -> None:
    """It stands in the log as a decision, lowers the lead, and can be taken back."""
    before = small.get("/api/components/B52/leads").json()
    made = small.post("/api/decisions", json=LOOKED)
    assert made.status_code == 201, made.text
    assert "was looked for on" in made.json()["decision"]["says"]
    after = small.get("/api/components/B52/leads").json()
    assert share(after, "E11") < share(before, "E11")
    decision = made.json()["decision"]["decision_id"]
    small.post(f"/api/decisions/{decision}/take-back", json={"reason": "The wrong card.", "by": "A. Reader"})
    assert small.get("/api/components/B52/leads").json() == before


def share(told: dict[str, Any], engine: str) -> float:
    """How likely one engine is in the first gap."""
    return next(lead["probability"] for lead in told["gaps"][0]["leads"] if lead["engine_id"] == engine)


def test_a_look_at_what_is_not_there_is_refused(small: Any) -> None:
    """An engine, a component or a source that nobody knows, or no time, and nothing is kept."""
    for wrong in (
        {"target": "E999;B52"},
        {"target": "E11;B999"},
        {"target": "E11"},
        {"ruling": '{"source": "S2"}'},
        {"ruling": '{"covers": "1940/1944", "source": "S99"}'},
    ):
        assert small.post("/api/decisions", json=LOOKED | wrong).status_code in {404, 422}


def test_leads_and_what_if_from_the_command_line(demo_folder: Path) -> None:
    """By the number of a component, and by the id of a finding."""
    run = CliRunner()
    told = run.invoke(app, ["leads", "52", "--archive", str(demo_folder)])
    assert told.exit_code == 0
    assert "(E11)" in told.stdout
    assert "known to exist and was not seen yet" in told.stdout
    found = run.invoke(app, ["findings", "--kind", "overlap", "--archive", str(demo_folder)]).stdout
    finding = found.splitlines()[1].split()[0]
    supposed = run.invoke(app, ["what-if", finding, "--archive", str(demo_folder)])
    assert supposed.exit_code == 0
    assert "Leave it as it stands:" in supposed.stdout
