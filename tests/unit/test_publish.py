"""The use case: whose history is meant, in which format, and a file that is whole or not there."""

from __future__ import annotations

import base64
import io
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from tests.archives import new_archive, picture
from tests.small_history import EVIDENCE

from numbertaker.archive import Archive
from numbertaker.evidence.errors import Ambiguous, BadInput, NotFound
from numbertaker.evidence.records import RECORDS, Component, Designation, Evidence, Reading
from numbertaker.usecases.asked import Asked
from numbertaker.usecases.naming import component_id_of, engine_id_of
from numbertaker.usecases.publish import publish, write_history, write_text_whole
from numbertaker.usecases.take_in import take_in


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Archive:
    """An archive that holds the small world."""
    made = new_archive(tmp_path_factory.mktemp("publish") / "archive")
    with made.writing() as writer:
        for record in RECORDS:
            if record is not Reading and record.TABLE != "decisions":
                writer.add(record.TABLE, getattr(EVIDENCE, record.TABLE))
        for decision in EVIDENCE.decisions:
            writer.append(decision)
    return made


def test_a_component_is_named_by_id_or_by_number() -> None:
    """The id first, then the number however it is written."""
    assert [component_id_of(EVIDENCE, wanted) for wanted in ("B7", "7", "Boiler No. 7", "007")] == ["B7"] * 4


def test_an_engine_is_named_by_id_number_or_name() -> None:
    """A name will do for an engine, and a number it bore at any time."""
    assert [engine_id_of(EVIDENCE, wanted) for wanted in ("E2", "40", "fellgate", "40 Fellgate")] == [
        "E2"
    ] * 4
    assert engine_id_of(EVIDENCE, "38") == "E1"


def test_a_number_given_twice_is_ambiguous_and_lists_both() -> None:
    """Two engines bore 31: the person is given both to choose from."""
    with pytest.raises(Ambiguous) as raised:
        engine_id_of(EVIDENCE, "31")

    assert raised.value.candidates == ("E1 (31, later 38)", "E3 (31 (second of that number))")


def test_engines_and_components_are_separate_name_spaces() -> None:
    """Boiler 7 is no engine 7, and engine 40 no boiler 40."""
    with pytest.raises(NotFound, match="engine '7'"):
        engine_id_of(EVIDENCE, "7")
    with pytest.raises(NotFound, match="component '40'"):
        component_id_of(EVIDENCE, "40")


def test_a_boiler_and_a_tender_of_one_number_are_ambiguous() -> None:
    """A number names a component only where one alone bears it."""
    evidence = Evidence(
        components=(Component(component_id="B7", kind="boiler"), Component(component_id="T7", kind="tender")),
        designations=(
            Designation(subject_id="B7", scheme="number", value="7"),
            Designation(subject_id="T7", scheme="number", value="7"),
        ),
    )

    with pytest.raises(Ambiguous) as raised:
        component_id_of(evidence, "7")
    assert raised.value.candidates == ("B7 (Boiler 7)", "T7 (Tender 7)")


def test_each_format_is_made_from_the_archive(archive: Archive) -> None:
    """JSON, Markdown and HTML of one component, of an engine and of everything, the same each time."""
    wholes: tuple[dict[str, Any], ...] = ({"component": "7"}, {"engine": "38"}, {"everything": True})
    for what in wholes:
        for fmt, start in (("json", "{"), ("md", "# "), ("html", "<!DOCTYPE html>")):
            made = publish(archive, fmt=fmt, **what)  # type: ignore[arg-type]
            assert made.startswith(start)
            assert made == publish(archive, fmt=fmt, **what)  # type: ignore[arg-type]
    assert [c["component_id"] for c in json.loads(publish(archive, component="7"))["components"]] == ["B7"]


def test_a_document_names_the_state_it_rests_on(archive: Archive) -> None:
    """The digest of evidence and decisions is printed in what is not JSON."""
    assert "sha256:" in publish(archive, component="B7", fmt="md")


def test_exactly_one_thing_is_published(archive: Archive) -> None:
    """Nothing named, two things named or an unknown format are refused."""
    with pytest.raises(BadInput):
        publish(archive)
    with pytest.raises(BadInput):
        publish(archive, component="7", everything=True)
    with pytest.raises(BadInput, match="edition, html, json, md"):
        publish(archive, component="7", fmt="docx")


def test_a_history_is_written_whole(archive: Archive, tmp_path: Path) -> None:
    """The file has the text, in a folder made for it, and nothing lies beside it."""
    out = write_history(archive, "7", "md", tmp_path / "new" / "boiler.md")

    assert out.read_bytes().decode() == publish(archive, component="7", fmt="md")
    assert [file.name for file in out.parent.iterdir()] == ["boiler.md"]


def test_a_failure_leaves_what_was_there(tmp_path: Path) -> None:
    """A text that can't be written leaves the earlier file and no half one."""
    out = tmp_path / "boiler.md"
    out.write_text("earlier", encoding="utf-8")

    with pytest.raises(UnicodeEncodeError):
        write_text_whole(out, "half \ud800")

    assert [(file.name, file.read_text(encoding="utf-8")) for file in tmp_path.iterdir()] == [
        ("boiler.md", "earlier")
    ]


def test_notes_hold_the_slips_of_their_scans(tmp_path: Path) -> None:
    """A line whose region is known is shown as a picture in its note; one without is cited alone."""
    archive = new_archive(tmp_path / "archive")
    boxed = replace(EVIDENCE.lines[0], card_id="S1-7", region="card.png#xywh=4,5,20,10")
    astray = replace(EVIDENCE.lines[1], card_id="S1-7", region="card.png#xywh=400,500,20,10")
    with archive.writing() as writer:
        for table in ("sources", "cards", "engines", "components", "designations"):
            writer.add(table, getattr(EVIDENCE, table))
        writer.add("lines", [replace(line, heading="7") for line in (boxed, astray, *EVIDENCE.lines[2:4])])
    take_in(archive, [picture(tmp_path / "card.png", size=(60, 40))], card_id="S1-7")

    page = publish(archive, component="7", fmt="html", asked=Asked(slips=True))

    shown = re.findall(r'src="data:image/jpeg;base64,([^"]+)"', page)
    assert len(shown) == 1
    assert Image.open(io.BytesIO(base64.b64decode(shown[0]))).size == (30, 21)
    assert publish(archive, component="7", fmt="html").count("<img") == 0


def test_a_folder_is_no_file_to_write_to(tmp_path: Path) -> None:
    """The message names the folder that was asked for, and nothing is left in it or beside it."""
    folder = tmp_path / "histories"
    folder.mkdir()
    with pytest.raises(BadInput, match="histories is a folder"):
        write_text_whole(folder, "text")
    assert list(tmp_path.rglob("*")) == [folder]
