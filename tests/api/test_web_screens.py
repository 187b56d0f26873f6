"""What the screens are given: every figure with its meaning in plain words and with what it rests on."""

from __future__ import annotations

from typing import Any

import pytest


def got(client: Any, path: str, **query: str) -> Any:
    answer = client.get(path, params=query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_overview_counts_what_the_archive_holds(demo: Any) -> None:
    """The first screen counts rows as the package has them, and the scans that were taken in."""
    counts = got(demo, "/api/overview")["counts"]
    assert counts["sources"] == 8
    assert counts["components"] == 29
    assert counts["engines"] == 40
    assert counts["lines"] == 787
    assert counts["scans"] == 6
    assert counts["findings_open"] == len(got(demo, "/api/findings", state="open"))


def test_a_component_is_told_with_the_designation_that_its_engine_bore_then(demo: Any) -> None:
    """Engine E12 was 31 until July 1923 and 238 from then: fitments say which of the two it was."""
    page = got(demo, "/api/components/B46")
    then = {f["fitted"]["text"]: f["engine_then"] for f in page["fitments"] if f["engine_id"] == "E12"}
    assert then["May 1905"] == "31"
    assert then["December 1923"] == "238"


def test_supported_miles_are_the_sum_of_the_fitments_with_a_figure(demo: Any) -> None:
    """The total of a component is the sum of stated and derived miles, and the running figure ends in it."""
    page = got(demo, "/api/components/B46")
    with_figure = [f for f in page["fitments"] if f["running_miles"] is not None]
    assert sum(f["miles"]["value"] for f in with_figure) == page["miles"]["supported"]
    assert with_figure[-1]["running_miles"] == page["miles"]["supported"]


def test_every_line_that_a_component_rests_on_is_given_with_its_place(demo: Any) -> None:
    """Evidence, footnotes and findings name lines that the page has, each with citation, scan and box."""
    for one in ("B46", "B52"):
        page = got(demo, f"/api/components/{one}")
        assert {note["line_id"] for note in page["notes"]} <= {line["line_id"] for line in page["lines"]}
    page = got(demo, "/api/components/B46")
    lines = {line["line_id"]: line for line in page["lines"]}
    assert {i for f in page["fitments"] for i in f["evidence"]} <= set(lines)
    own = lines["S1-46-3"]
    assert "card 46, line 3" in own["citation"]
    assert "MOR/CME/4" in own["citation"]
    assert own["scan"]["page"] == 1
    assert own["box"] == [232, 649, 1552, 56]


def test_footnotes_have_the_numbers_of_the_document(demo: Any) -> None:
    """A note on the screen and the note of the exported history with the same number cite the same line."""
    page = got(demo, "/api/components/B46")
    text = demo.get("/api/components/B46/history.md").text
    note = next(note for note in page["notes"] if note["line_id"] == "S1-46-3")
    told = next(line for line in text.splitlines() if line.startswith(f"[^{note['number']}]:"))
    assert "card 46, line 3" in told


def test_a_claim_that_an_open_finding_names_is_contradicted(demo: Any) -> None:
    """The miles on which two cards differ are contradicted on both, whatever their figures."""
    every = got(demo, "/api/findings", kind="mileage-conflict")
    found = [finding for finding in every if "S1-46-3" in {line["line_id"] for line in finding["lines"]}]
    assert len(found) == 1
    assert len(every) == 2
    assert {claim["cell"] for claim in found[0]["claims"]} == {"S1-46-3/miles", "S2-238-3/miles"}
    for claim in found[0]["claims"]:
        assert claim["degree"] == "contradicted"
    cell = next(line for line in found[0]["lines"] if line["line_id"] == "S1-46-3")["cells"]["miles"]
    assert cell["text"] == "63,567"
    assert cell["meaning_text"] == "63,567 miles"
    assert cell["findings"] == [found[0]["id"]]


def test_a_conflict_of_miles_offers_each_figure_as_a_sentence(demo: Any) -> None:
    """A button says what will be believed; its ruling sets the other side aside."""
    rulings = got(demo, "/api/findings", kind="mileage-conflict")[0]["rulings"]
    assert {r["label"]: r["ruling"] for r in rulings} == {
        "Take 63,567 as the miles": "believe S1-46-3/miles; set aside S2-238-3/miles",
        "Take 68,567 as the miles": "believe S2-238-3/miles; set aside S1-46-3/miles",
        "Leave it as it stands": "stands",
    }


def test_an_overlap_offers_either_date(demo: Any) -> None:
    """Of a removal after the next fitting, either date can be taken, and the sentence names the other."""
    found = next(f for f in got(demo, "/api/findings", kind="overlap", component="B58"))
    labels = [ruling["label"] for ruling in found["rulings"]]
    assert any(
        label.startswith("Take 6 February 1953 as the date fitted, and set aside ") for label in labels
    )
    assert labels[-1] == "Leave it as it stands"


def test_a_gap_can_only_be_left_as_it_stands(demo: Any) -> None:
    """Nothing that is written is at fault in a gap, so no claim is offered for belief."""
    (found,) = got(demo, "/api/findings", kind="gap")
    assert [ruling["ruling"] for ruling in found["rulings"]] == ["stands"]
    assert found["earliest"] < found["latest"]


def test_a_ditto_is_shown_as_written_and_as_meant(demo: Any) -> None:
    """The mark stays in the source's voice; the meaning beside it is the engine as it was called then."""
    page = got(demo, "/api/cards/S1-46")
    cell = page["lines"][2]["cells"]["engine"]
    assert (cell["text"], cell["mark"], cell["meaning"], cell["meaning_text"]) == ('"', "ditto", "E12", "31")
    assert cell["candidates"][0]["subject_id"] == "E12"


def test_dates_and_miles_of_a_card_are_said_in_plain_words(demo: Any) -> None:
    """A cell gives the date in words beside the text as written, with its degree of evidence."""
    cells = got(demo, "/api/cards/S1-46")["lines"][2]["cells"]
    assert (cells["fitted"]["text"], cells["fitted"]["meaning_text"]) == ("28.2.13", "28 February 1913")
    assert cells["fitted"]["degree"] == "near certain"
    assert cells["fitted"]["typed"] is True


def test_the_heading_stands_once_on_a_card(demo: Any) -> None:
    """The heading's cells are those of the card and of its first line; other lines do not repeat them."""
    page = got(demo, "/api/cards/S1-46")
    assert page["heading"]["heading"]["meaning_text"] == "Boiler 46"
    assert ["heading" in line["cells"] for line in page["lines"][:3]] == [True, False, False]


def test_a_card_names_its_neighbours_in_the_source(demo: Any) -> None:
    """One can leaf through the cards of a source in their order."""
    page = got(demo, "/api/cards/S1-46")
    assert (page["previous"], page["next"]) == ("S1-45", "S1-47")
    assert got(demo, "/api/cards/S1-43")["previous"] is None


def test_a_card_that_was_not_read_is_said_to_be_unread(small: Any) -> None:
    """A card with a scan and no line counts as unread in its source and on the overview."""
    assert got(small, "/api/overview")["unread"] == ["S1-51"]
    by_id = {source["source_id"]: source for source in got(small, "/api/sources")}
    assert by_id["S1"]["unread"] == 1
    assert [c["read"] for c in got(small, "/api/cards", source="S1")] == [True, False, True]


def test_an_engine_shows_everything_that_it_carried(demo: Any) -> None:
    """The page of an engine has its designations, its boilers in order, its events and its findings."""
    page = got(demo, "/api/engines/E12")
    assert [d["value"] for d in page["engine"]["designations"]] == ["31", "238"]
    assert page["carried"][0]["component"]["label"] == "Boiler 46"
    assert page["events"][0]["date_text"] == "August 1923"
    assert [f["kind"] for f in page["findings"]] == ["mileage-conflict"]


def test_an_authority_table_names_the_key_of_each_row(demo: Any) -> None:
    """The key is what a decision names, so that a row of three key columns can be mended too."""
    table = got(demo, "/api/authority/designations")
    assert table["key"] == ["subject_id", "scheme", "value"]
    assert table["rows"][0]["key"] == "E01/number/201"
    assert table["columns"] == ["subject_id", "scheme", "value", "from", "to"]


def test_a_source_is_cited_in_full(demo: Any) -> None:
    """The page of a source says how it is cited and lists its cards."""
    page = got(demo, "/api/sources/S1")
    assert "‘Boiler record cards, Brackwith Works’" in page["citation"]
    assert len(page["cards"]) == 24


@pytest.mark.parametrize("fmt", ["json", "md", "html"])
def test_a_history_is_given_as_a_document(demo: Any, fmt: str) -> None:
    """Each format comes with its media type, and says when it was the number that named the component."""
    answer = demo.get(f"/api/components/B46/history.{fmt}")
    assert answer.status_code == 200
    assert {"json": "application/json", "md": "text/markdown", "html": "text/html"}[fmt] in answer.headers[
        "content-type"
    ]
    assert demo.get(f"/api/components/46/history.{fmt}").text == answer.text


@pytest.mark.parametrize(
    ("path", "what"),
    [
        ("components/B999", "component"),
        ("components/B999/history.json", "component"),
        ("engines/E999", "engine"),
        ("cards/S9-1", "card"),
        ("sources/S9", "source"),
        ("findings/F0", "finding"),
        ("jobs/99", "job"),
        ("jobs/99/events", "job"),
        ("authority/lines", "table"),
        (f"scans/{'0' * 64}", "scan"),
        (f"scans/{'0' * 64}/1/picture", "scan"),
    ],
)
def test_what_is_not_there_is_said_not_to_be(demo: Any, path: str, what: str) -> None:
    """An id that nothing has gives 404 and a sentence with the id in it."""
    answer = demo.get(f"/api/{path}")
    assert answer.status_code == 404
    assert answer.json()["code"] == "not-found"
    assert answer.json()["message"].startswith(f"There is no {what} '")
