"""Books, styles, usages and editions: many histories as one, in a house's manner, and what changed since."""

from __future__ import annotations

import io
import json
import re
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from tests.archives import new_archive
from tests.small_history import BOILER, EVIDENCE, FITMENTS, HISTORY, RULED, stated

from numbertaker.archive import Archive
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.evidence.records import RECORDS, Decision, Reading
from numbertaker.publishing.books import bound, chapter, engines_of_class
from numbertaker.publishing.changes import changes_document
from numbertaker.publishing.citations import note_text
from numbertaker.publishing.compose import component_document
from numbertaker.publishing.document import Cross, NoteRef, Paragraph, Plate, Table
from numbertaker.publishing.editions import Edition, changes, edition, edition_from
from numbertaker.publishing.house import STYLES, style_of
from numbertaker.publishing.manner import Manner
from numbertaker.publishing.markdown import to_markdown
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.site import pages
from numbertaker.publishing.usage import Usage, kilometres
from numbertaker.reconciling.history import History
from numbertaker.usecases.asked import Asked, What
from numbertaker.usecases.chapters import chapters_of
from numbertaker.usecases.publish import export, lacking, write_whole

MATTER = Matter(HISTORY, RULED)
TASK = (HISTORY, RULED, Manner())
CHAPTERS = chapters_of(TASK, "component", ("B7", "B8"))


def of(matter: Matter, program: str = "1") -> Edition:
    """The edition of boiler 7 in some state of the evidence."""
    return edition(matter, "Boiler 7", [chapter(matter, "component", "B7", "component-1")], "s", program)


def changed(**parts: object) -> Matter:
    """The matter of a boiler of which something is otherwise."""
    return Matter(History((replace(BOILER, **parts),)), RULED)  # type: ignore[arg-type]


def test_notes_of_a_book_run_on_and_every_chapter_names_its_sources_in_full() -> None:
    """Numbers from 1 without a break; a later chapter can be read by itself."""
    book = bound(MATTER, "Book", CHAPTERS)
    marks = [
        part.number
        for block in book.blocks
        if isinstance(block, Paragraph)
        for part in block.inlines
        if isinstance(part, NoteRef)
    ]

    assert marks == [note.number for note in book.notes] == list(range(1, len(marks) + 1))
    first_of_second = next(n for n in book.notes if n.number == len(CHAPTERS[0].notes) + 1)
    assert note_text(first_of_second).startswith("Ostrey Town Museum, Records of the works, W/3")


def test_numbers_told_in_words_move_with_the_notes() -> None:
    """'The sum of the miles in notes 1 and 2' names other numbers in a second chapter; so do table marks."""
    twice = bound(MATTER, "Book", (CHAPTERS[1], CHAPTERS[0]))
    moved = len(CHAPTERS[1].notes)
    crossed = [part.number for note in twice.notes for part in note.inlines if isinstance(part, Cross)]
    table = [block for block in twice.blocks if isinstance(block, Table)][1]

    assert min(number for number in crossed if number > moved) == moved + 1
    assert [cell.number for cell in table.rows[0].cells[7] if isinstance(cell, NoteRef)] == [moved + 1]


def test_the_plates_of_a_later_chapter_name_the_notes_of_the_book() -> None:
    """Their numbers move on with those of the notes."""
    matter = Matter(HISTORY, RULED, Manner(plates=frozenset(("a1",))))
    one = chapter(matter, "component", "B7", "component-1")
    twice = bound(matter, "Book", (one, replace(one, subject_id="B8")))
    named = [
        part.number
        for block in twice.blocks
        if isinstance(block, Plate)
        for part in block.caption
        if isinstance(part, Cross)
    ]

    assert named == [1, 1 + len(one.notes)]


def test_one_process_and_two_make_the_same_chapters() -> None:
    """The number of processes leaves no trace, and progress counts to the end either way."""
    told: list[tuple[int, int]] = []

    assert chapters_of(TASK, "component", ("B7", "B8"), 2, lambda *done: told.append(done)) == CHAPTERS
    assert told == [(1, 2), (2, 2)]


def test_a_class_is_its_engines_those_rebuilt_into_it_too() -> None:
    """By the row of the engine and by its designations; a class that nobody had is not found."""
    evidence = replace(EVIDENCE, engines=tuple(replace(e, class_="K") for e in EVIDENCE.engines[:1]))

    assert engines_of_class(evidence, "k") == ("E1",)
    with pytest.raises(NotFound):
        engines_of_class(evidence, "Z")


def test_a_site_has_a_page_for_each_and_every_link_leads_to_one() -> None:
    """No page is named by what an id holds, and no link leads out of the folder."""
    made = dict(pages(MATTER, CHAPTERS))
    links = {link for text in made.values() for link in re.findall(r'href="([^"#]+)', text)}

    assert list(made) == ["index.html", "component-1.html", "component-2.html"]
    assert links <= set(made)


@pytest.mark.parametrize("name", STYLES)
def test_every_house_style_tells_every_source(name: str) -> None:
    """Full at first, short again, without a gap where something is not stated."""
    document = component_document(Matter(HISTORY, RULED, Manner(style=STYLES[name])), "B7")
    notes = [note_text(note) for note in document.notes]

    assert "Boiler cards" in notes[0]
    assert len(notes[1]) < len(notes[0])
    assert all(not re.search(r"^,|,,|\(\)|, \.", note) for note in notes)
    assert ("61,204" in notes[0]) == STYLES[name].as_written


def test_a_style_of_ones_own_is_data() -> None:
    """A file with other parts gives other notes; a fault in it is named with its place."""
    text = (Path(__file__).parents[2] / "backend/numbertaker/publishing/styles/plain.toml").read_text("utf-8")
    own = style_of(text.replace('"{title}", ", {locator}", ", kept at', '"see {title}", ", kept at'))
    notes = component_document(Matter(HISTORY, RULED, Manner(style=own)), "B7").notes

    assert note_text(notes[0]).startswith("see Boiler cards, kept at Ostrey Town Museum as W/4")
    for broken, told in (
        ("", r"expected a table \[notes\]"),
        (text.replace("{title}", "{titel}"), "titel"),
        (text.replace('name = "plain"', ""), "expected name"),
        ("[", "expected TOML"),
        (text.replace('other = ["", ""]', "other = 3"), "titles.other"),
    ):
        with pytest.raises(BadInput, match=told):
            style_of(broken)


def test_usage_changes_the_programs_words_and_never_the_sources() -> None:
    """Kilometres are exact to the whole one, dates follow their order; what is written stays in miles."""
    manner = Manner(usage=Usage("american", "kilometres"))
    text = to_markdown(component_document(Matter(HISTORY, RULED, manner), "B7"))

    assert kilometres(61_204) == round(61_204 * 1.609344) == 98_498
    assert "having run 98,498 km" in text
    assert "the week ending November 14, 1916" in text
    assert "From November 30, 1914 to November 8, 1916 nothing" in text
    assert "`61,204`" in text
    assert Usage(distance="both").miles(100) == "100 miles (161 km)"
    assert Usage("iso").date_words("1916-11-14") == "1916-11-14"


def test_plates_are_the_lines_behind_the_key_claims() -> None:
    """One for each fitment and for each side of an open question, with its citation; none without a slip."""
    manner = Manner(plates=frozenset(("a1", "b1", "c1")))
    shown = [
        b for b in component_document(Matter(HISTORY, RULED, manner), "B7").blocks if isinstance(b, Plate)
    ]

    assert [plate.line_id for plate in shown] == ["a1", "b1"]
    assert "".join(str(getattr(part, "number", "")) for part in shown[0].caption) == "1"
    assert "".join(getattr(part, "text", "") for part in shown[0].caption).startswith("To note : W/4")
    assert shown[0].alt == "The slip of the scan at card 7, line 1. It reads: 31 · 5.05 · 6.09 · 61,204"


def test_an_edition_comes_back_as_it_was_written() -> None:
    """Text and back without loss; what is no edition is refused."""
    made = of(MATTER)

    assert edition_from(made.to_json()) == made
    assert changes(made, edition_from(made.to_json())) == ()
    for text in ("[]", "{", '{"format": "numbertaker-edition/1"}'):
        with pytest.raises(BadInput):
            edition_from(text)


def test_what_changed_is_told_with_why() -> None:
    """Another figure on a line, a decision with its reason, a fitment gone, the program itself."""
    line = next(line for line in EVIDENCE.lines if line.line_id == "a1")
    mended = tuple(replace(i, miles="61,304") if i is line else i for i in EVIDENCE.lines)
    ruling = Decision(
        decision_id="D9",
        kind="cell",
        target="a1/miles",
        ruling="61,304",
        reason="The 3 is plain.",
        by="B. Reader",
        at="2026-05-01T00:00:00Z",
    )
    ruled = follow(replace(EVIDENCE, lines=mended, decisions=(*EVIDENCE.decisions, ruling)))
    fitments = (replace(FITMENTS[0], miles=stated(61_304)), FITMENTS[1])
    now = Matter(History((replace(BOILER, fitments=fitments),)), ruled)
    text = to_markdown(changes_document(now, of(MATTER), of(now)))

    assert "## Changed" in text
    assert "## No longer stated" in text
    assert "having run 61,304 miles" in text
    assert "B. Reader decided (The 3 is plain)" in text
    assert "card 7, line 1 read ‘31 · 5.05 · 6.09 · 61,204’" in text
    doubtful = changed(fitments=(replace(FITMENTS[0], confidence=0.6), *FITMENTS[1:]))
    told = to_markdown(changes_document(doubtful, of(MATTER), of(doubtful, "2")))
    assert "the program weighs the same evidence otherwise" in told


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Archive:
    """An archive that holds the small world."""
    made = new_archive(tmp_path_factory.mktemp("editions") / "archive")
    with made.writing() as writer:
        for record in RECORDS:
            if record is not Reading and record.TABLE not in ("decisions", "lines"):
                writer.add(record.TABLE, getattr(EVIDENCE, record.TABLE))
        writer.add("lines", [replace(line, heading="7") for line in EVIDENCE.lines if line.source_id == "S1"])
    return made


def test_a_site_is_a_zip_that_is_the_same_each_time(archive: Archive) -> None:
    """Pages of components and engines, whole, by one process or two."""
    one, two = (export(archive, What(everything=True), "site", workers=n) for n in (1, 2))

    assert one == two
    names = zipfile.ZipFile(io.BytesIO(one)).namelist()
    assert names[0] == "index.html"
    assert {name.partition("-")[0] for name in names[1:]} == {"component", "engine"}


def test_what_is_lacking_is_named_before_the_export(archive: Archive) -> None:
    """No scan for a line and no rights for a source: each is a sentence of its own."""
    told = lacking(archive, What(component="7"), Asked(plates=True))

    assert "No slip of a scan is to be had for line a1." in told
    assert "No rights are stated for source S1, ‘Boiler cards’." in told
    assert not [text for text in lacking(archive, What(component="7")) if "slip" in text]


def test_the_evidence_in_a_pdf_is_the_public_format(archive: Archive) -> None:
    """What is attached is the history of what the document tells, and nothing more."""
    import pypdfium2

    made = export(archive, What(component="7"), "pdf", Asked(evidence=True))
    attached = pypdfium2.PdfDocument(made).get_attachment(0).get_data()

    assert [c["component_id"] for c in json.loads(bytes(attached))["components"]] == ["B7"]


def test_a_full_disk_leaves_no_half_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the bytes can't be kept, what was there before is there still, and nothing besides."""
    out = tmp_path / "history.docx"
    out.write_bytes(b"earlier")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("numbertaker.usecases.publish.os.fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_whole(out, b"later")
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == {"history.docx": b"earlier"}
