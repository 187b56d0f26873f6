"""Decisions over HTTP: kept with their reason, followed at once, and taken back without a trace."""

from __future__ import annotations

from typing import Any

import pytest

READ_WRONG = {
    "kind": "cell",
    "target": "S1-46-3/miles",
    "ruling": "68,567",
    "reason": "The clerk's 8 has a broken upper bar.",
    "by": "A. Reader",
}


def decide(client: Any, **changes: str) -> Any:
    return client.post("/api/decisions", json=READ_WRONG | changes)


def miles(client: Any) -> Any:
    lines = client.get("/api/cards/S1-46").json()["lines"]
    return next(line for line in lines if line["line_id"] == "S1-46-3")["cells"]["miles"]


def test_a_corrected_cell_settles_what_hung_on_it(small: Any) -> None:
    """A correction is followed at once: the conflict is gone, and the text as it was stays to be seen."""
    (conflict,) = small.get("/api/findings", params={"kind": "mileage-conflict"}).json()
    answer = decide(small)
    assert answer.status_code == 201, answer.text
    assert answer.json()["changed"]["findings_closed"] == [conflict["id"]]
    assert "B46" in answer.json()["changed"]["components"]
    cell = miles(small)
    assert (cell["text"], cell["read_as"], cell["typed"]) == ("68,567", "63,567", True)
    assert cell["decision"] == answer.json()["decision"]["decision_id"]
    assert small.get("/api/findings", params={"kind": "mileage-conflict"}).json() == []


def test_a_decision_taken_back_leaves_everything_as_it_was(small: Any) -> None:
    """The page of the component is the same as before; both decisions stay in the log."""
    before = small.get("/api/components/B46").json()
    made = decide(small).json()["decision"]
    back = small.post(
        f"/api/decisions/{made['decision_id']}/take-back",
        json={"reason": "The wrong card.", "by": "B. Reader"},
    )
    assert back.status_code == 201, back.text
    assert small.get("/api/components/B46").json() == before
    log = small.get("/api/decisions").json()
    assert [(d["kind"], d["stands"]) for d in log] == [("revoke", True), ("cell", False)]
    assert log[0]["revokes"] == made["decision_id"]


def test_the_log_says_in_plain_words_what_was_decided(small: Any) -> None:
    """A decision on a cell is told with the place of the line and the text."""
    decide(small)
    (told,) = small.get("/api/decisions").json()
    assert told["says"] == "The miles (card 46, line 3) reads ‘68,567’."
    assert told["reason"] == READ_WRONG["reason"]
    assert told["by"] == "A. Reader"


def test_what_means_nothing_is_not_offered_for_belief(small: Any) -> None:
    """A cell that can't be understood may be set aside or left as it stands; there is nothing to believe."""
    decide(small, ruling="M.E. OFF")
    (doubt,) = small.get("/api/findings", params={"kind": "doubtful-reading"}).json()

    assert [offered["ruling"] for offered in doubt["rulings"]] == ["set aside S1-46-3/miles", "stands"]


def test_an_offered_ruling_settles_its_finding(small: Any) -> None:
    """What a button says can be sent as it is; the finding is then settled, with the decision on it."""
    (conflict,) = small.get("/api/findings", params={"kind": "mileage-conflict"}).json()
    offered = next(r for r in conflict["rulings"] if r["label"] == "Take 68,567 as the miles")
    answer = decide(small, kind="finding", target=conflict["id"], ruling=offered["ruling"])
    assert answer.status_code == 201, answer.text
    known = small.get(f"/api/findings/{conflict['id']}").json()
    assert known["state"] == "settled"
    assert known["decision"]["decision_id"] == answer.json()["decision"]["decision_id"]
    assert miles(small)["degree"] != "contradicted"


def test_a_mended_table_row_is_given_back_mended(small: Any) -> None:
    """An authority decision changes what the table shows, and the row's key names it."""
    answer = decide(small, kind="authority", target="engines:E12", ruling='{"note": "Goods engine"}')
    assert answer.status_code == 201, answer.text
    rows = small.get("/api/authority/engines").json()["rows"]
    assert next(row for row in rows if row["key"] == "E12")["values"]["note"] == "Goods engine"


@pytest.mark.parametrize(
    ("changes", "status", "said"),
    [
        ({"reason": "  "}, 422, "reason"),
        ({"by": ""}, 422, "by"),
        ({"target": "S1-46-99/miles"}, 404, "S1-46-99"),
        ({"target": "S1-46-3/colour"}, 422, "colour"),
        ({"kind": "link", "target": "S1-46-3/engine", "ruling": "E999"}, 404, "E999"),
        ({"kind": "finding", "target": "F0", "ruling": "stands"}, 404, "F0"),
        ({"kind": "authority", "target": "lines:L1", "ruling": "{}"}, 422, "lines:L1"),
        ({"kind": "authority", "target": "engines:E12", "ruling": '{"built": "soon"}'}, 422, "built"),
        ({"kind": "opinion"}, 422, "kind"),
        ({"colour": "red"}, 422, "colour"),
    ],
)
def test_a_decision_that_can_not_stand_is_refused(
    small: Any, changes: dict[str, str], status: int, said: str
) -> None:
    """What can't be followed is refused with the part that is wrong, and nothing comes into the log."""
    answer = decide(small, **changes)
    assert answer.status_code == status
    assert said in answer.json()["message"]
    assert small.get("/api/decisions").json() == []


def test_a_decision_is_taken_back_once(small: Any) -> None:
    """Taking back what fell already is a conflict, and one that was never made is not found."""
    decide(small)
    why = {"reason": "The wrong card.", "by": "A. Reader"}
    assert small.post("/api/decisions/D1/take-back", json=why).status_code == 201
    assert small.post("/api/decisions/D1/take-back", json=why).status_code == 409
    assert small.post("/api/decisions/D99/take-back", json=why).status_code == 404
