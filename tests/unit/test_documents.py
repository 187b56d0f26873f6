"""Documents for word processors and printers: real footnotes, both voices, the same bytes each time."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import docx
import pypandoc
import pypdfium2
import pytest
from odf import text as odf_text
from odf.opendocument import load
from odf.teletype import extractText
from PIL import Image
from tests.small_history import HISTORY, RULED

from numbertaker.publishing.books import book
from numbertaker.publishing.citations import note_text
from numbertaker.publishing.compose import CAUTION, component_document
from numbertaker.publishing.document import Document, Note, NoteRef, Paragraph, Plate, Run, words
from numbertaker.publishing.documents.drawings import drawings
from numbertaker.publishing.documents.glyphs import showable
from numbertaker.publishing.documents.pandoc import (
    to_docx,
    to_latex,
    to_latex_folder,
    to_odt,
    to_plain,
)
from numbertaker.publishing.documents.pictured import WIDEST, at_print_size
from numbertaker.publishing.documents.typeset import to_pdf, to_png
from numbertaker.publishing.engines import engine_document
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.pictures import Picture

MATTER = Matter(HISTORY, RULED)
DOCUMENT = component_document(MATTER, "B7", "sha256:0123")
WRITERS: dict[str, Callable[[Document], bytes | str]] = {
    "docx": to_docx,
    "odt": to_odt,
    "latex": to_latex,
    "plain": to_plain,
    "pdf": to_pdf,
}


def part(made: bytes, name: str) -> str:
    """One part of a zipped document."""
    return zipfile.ZipFile(io.BytesIO(made)).read(name).decode("utf-8")


def unspaced(text: str) -> str:
    """Text without what a typesetter may move: blanks, line ends and hyphens at line ends."""
    return re.sub(r"[\s\u00ad\u2010\u0002\ufffe-]+", "", text)


def pdf_text(made: bytes) -> str:
    """The text of a PDF as a reader's search sees it."""
    pages = pypdfium2.PdfDocument(made)
    return "".join(page.get_textpage().get_text_range() for page in pages)


def slip(line_id: str) -> Picture:
    """A small grey picture."""
    out = io.BytesIO()
    Image.new("L", (120, 24), 200).save(out, "PNG")
    return Picture(out.getvalue(), "image/png", 120, 24)


def test_every_note_is_a_real_footnote_of_the_word_processor() -> None:
    """DOCX has as many footnotes as the document has notes, in order and with their words."""
    xml = part(to_docx(DOCUMENT), "word/footnotes.xml")
    notes = re.findall(r"<w:footnote .*?</w:footnote>", xml, re.DOTALL)
    told = [unspaced("".join(re.findall(r"<w:t[^>]*>(.*?)</w:t>", note, re.DOTALL))) for note in notes]

    assert [text for text in told if text] == [
        unspaced(note_text(note).replace("&", "&amp;").replace('"', "&quot;")) for note in DOCUMENT.notes
    ]


def test_odt_has_the_same_footnotes() -> None:
    """Another library finds as many notes in the OpenDocument file, with the same words."""
    made = load(io.BytesIO(to_odt(DOCUMENT)))
    bodies = made.getElementsByType(odf_text.NoteBody)

    assert [unspaced(extractText(body)) for body in bodies] == [
        unspaced(note_text(note)) for note in DOCUMENT.notes
    ]


def test_the_degrees_and_the_voices_are_styles_of_the_word_processor() -> None:
    """What is doubtful stands over a dotted rule, what is contradicted over a wavy one, in both formats."""
    styles = {style.name: style for style in docx.Document(io.BytesIO(to_docx(DOCUMENT))).styles}
    used = part(to_docx(DOCUMENT), "word/document.xml")

    for name in ("Written", "Probable", "Doubtful", "Contradicted"):
        assert name in styles
    assert 'w:rStyle w:val="Probable"' in used
    assert 'w:rStyle w:val="Written"' in used
    assert 'text:style-name="Probable"' in part(to_odt(DOCUMENT), "content.xml")
    assert styles["Body Text"].font.name == "Times New Roman"


def test_the_page_is_a4_and_notes_are_numbered_through() -> None:
    """210 by 297 mm (ISO 216), and no section begins again at 1."""
    made = docx.Document(io.BytesIO(to_docx(DOCUMENT)))
    section = made.sections[0]

    assert (round(section.page_width.mm), round(section.page_height.mm)) == (210, 297)
    assert 'w:numRestart w:val="eachSect"' not in part(to_docx(DOCUMENT), "word/document.xml")
    assert 'fo:page-width="210mm"' in part(to_odt(DOCUMENT), "styles.xml")


@pytest.mark.parametrize("name", WRITERS)
def test_the_same_document_is_the_same_bytes_and_carries_the_caution(name: str) -> None:
    """Nothing is left to the clock or to chance, and no format leaves the caution out."""
    made, again = WRITERS[name](DOCUMENT), WRITERS[name](DOCUMENT)

    assert made == again
    assert unspaced(CAUTION)[:60] in unspaced(words_of(name, made))


def words_of(name: str, made: bytes | str) -> str:
    """The text of a document of any kind."""
    if isinstance(made, str):
        return made
    if name == "docx":
        return "".join(re.findall(r"<w:t[^>]*>(.*?)</w:t>", part(made, "word/document.xml"), re.DOTALL))
    if name == "odt":
        return re.sub(r"<[^>]*>", "", part(made, "content.xml"))
    return pdf_text(made)


def test_a_pdf_is_tagged_named_and_made_for_keeping() -> None:
    """The compiler has checked PDF/UA-1 and PDF/A-2a; the file says so itself, with title and language."""
    made = to_pdf(DOCUMENT)

    assert made.startswith(b"%PDF-1.7")
    assert b"pdfuaid:part" in made
    assert b"pdfaid:part>2<" in made
    assert b"/MarkInfo" in made or b"/StructTreeRoot" in made
    assert pypdfium2.PdfDocument(made).get_metadata_value("Title") == "Boiler 7"


def test_the_text_of_a_pdf_is_the_text_given() -> None:
    """Every sentence and every note can be read out of the pages again."""
    shown = unspaced(pdf_text(to_pdf(DOCUMENT)))

    for note in DOCUMENT.notes:
        assert unspaced(note_text(note)) in shown
    for block in DOCUMENT.blocks:
        if isinstance(block, Paragraph):
            for run in block.inlines:
                if isinstance(run, Run):
                    assert unspaced(run.text) in shown


def test_the_evidence_can_be_attached() -> None:
    """On demand the PDF carries the data it was made from, as PDF/A-3a."""
    made = to_pdf(DOCUMENT, attached={"history.json": b"{}"})

    assert b"pdfaid:part>3<" in made
    pdf = pypdfium2.PdfDocument(made)
    assert [pdf.get_attachment(n).get_name() for n in range(pdf.count_attachments())] == ["history.json"]


def test_figures_for_print_never_draw_the_unknown_as_known() -> None:
    """A stay without a figure and a silence are hatched in the chart of miles, and no line crosses them."""
    drawn = drawings(DOCUMENT)
    chart = drawn["thread-miles"]

    assert set(drawn) == {"thread-lanes", "thread-miles"}
    assert chart.count('fill="url(#m-h)"') == 2
    assert chart.count('class="run"') == 2
    assert chart.count('class="band"') == 1
    assert "var(" not in "".join(drawn.values())


def test_a_drawing_becomes_a_picture_for_the_word_processor() -> None:
    """PNG at print resolution, and the same each time."""
    svg = drawings(DOCUMENT)["thread-lanes"]
    made = to_png(svg)

    assert Image.open(io.BytesIO(made)).width > 1000
    assert made == to_png(svg)


@pytest.mark.parametrize("write", [to_docx, to_odt, to_pdf])
def test_a_picture_says_what_it_shows(write: Callable[..., bytes]) -> None:
    """Figures and plates have their words for those who can't see them, in each format's own place."""
    plate = Plate("a1", words("Card 7, line 1."), "The line as it stands: 31, 5.05")
    made = write(Document("Plates", (plate,), ()), slip)
    without = write(Document("Plates", (plate,), ()), lambda line_id: None)

    if write is to_docx:
        assert 'descr="The line as it stands: 31, 5.05"' in part(made, "word/document.xml")
    elif write is to_odt:
        assert "<svg:desc>The line as it stands: 31, 5.05</svg:desc>" in part(made, "content.xml")
    else:
        assert len(made) > len(without)
    assert len(zipped(made)) > len(zipped(without)) or write is to_pdf


def zipped(made: bytes) -> list[str]:
    """The names of the parts of a document; none for what is no zip."""
    return zipfile.ZipFile(io.BytesIO(made)).namelist() if made.startswith(b"PK") else []


def test_a_document_of_thousands_of_notes_numbers_them_the_same() -> None:
    """Where notes are so many that each says its number by itself, marks and notes go by the same numbers."""
    count = 2_001
    blocks = tuple(
        Paragraph(words(f"Said{n}", NoteRef(n), "."), follows=n % 9 > 0) for n in range(1, count + 1)
    )
    notes = tuple(Note(n, words(f"card {n}.")) for n in range(1, count + 1))
    few, many = (
        unspaced(pdf_text(to_pdf(Document("t", blocks[:some], notes[:some])))) for some in (40, count)
    )

    for n in (1, 17, 40):
        for shown in (few, many):
            assert f"Said{n}{n}." in shown
            assert f"{n}card{n}." in shown
    assert f"Said{count}{count}." in many


def test_what_no_font_has_is_named_in_a_pdf() -> None:
    """A character that could not be shown is given by its code point, never left out."""
    assert showable("Å Ω Ж a") == "Å Ω Ж a"
    assert showable("\u4e2d") == "[U+4E2D]"
    assert "[U+4E2D]" in pdf_text(to_pdf(Document("t", (Paragraph(words("x \u4e2d y")),), ())))


def test_a_mark_that_is_made_again_refers_to_the_same_note() -> None:
    """The second mark of a note adds no note of its own."""
    blocks = (Paragraph(words("One", NoteRef(1))), Paragraph(words("Two", NoteRef(1, again=True))))
    document = Document("t", blocks, (Note(1, words("Card.")),))

    assert part(to_docx(document), "word/document.xml").count("<w:footnoteReference ") == 1
    assert pdf_text(to_pdf(document)).count("Card.") == 1


def test_latex_and_plain_text_have_their_notes_and_say_the_degrees() -> None:
    """Where there is no rule under the words, the degree is a word in brackets."""
    latex, text = to_latex(DOCUMENT), to_plain(DOCUMENT)

    assert latex.count("\\footnote{") == len(DOCUMENT.notes)
    assert "(probable)" in text
    assert len(re.findall(r"^\[\d+\] ", text, re.MULTILINE)) == len(DOCUMENT.notes)


def test_latex_comes_with_its_figures_and_plates() -> None:
    """The text names each picture that lies beside it, with its words; any words stay words."""
    says = "At 100% {open, #1 & \\end{document}"
    plate = Plate("a1", words("Card 7, line 1."), says)
    made = to_latex_folder(replace(DOCUMENT, blocks=(*DOCUMENT.blocks, plate)), slip)
    text = part(made, "history.tex")
    named = re.findall(r"\\includegraphics\[[^\n]*\]\{(pictures/[^}]*)\}", text)
    images = sought(pandoc_reads(text), "Image")

    assert zipped(made) == ["history.tex", *named]
    assert [Path(name).suffix for name in named] == [".pdf", ".pdf", ".png"]
    assert "alt={Three fitments on two engines" in text
    assert len(images) == 3
    assert text.count("\\end{document}") == 1
    assert made == to_latex_folder(replace(DOCUMENT, blocks=(*DOCUMENT.blocks, plate)), slip)


def pandoc_reads(text: str) -> Any:
    """LaTeX as pandoc reads it."""
    words_ = [pypandoc.get_pandoc_path(), "--from=latex", "--to=json"]
    read = subprocess.run(words_, input=text.encode(), capture_output=True, check=True)
    return json.loads(read.stdout)


def sought(node: Any, kind: str) -> list[Any]:
    """Every node of a kind in a tree."""
    if isinstance(node, list):
        return [found for item in node for found in sought(item, kind)]
    if not isinstance(node, dict):
        return []
    here = [node] if node.get("t") == kind else []
    return here + [found for item in node.values() for found in sought(item, kind)]


def test_a_plate_is_no_larger_than_print_can_show() -> None:
    """A slip wider than 300 pixels an inch over the page is made smaller in proportion; others stay."""
    out = io.BytesIO()
    Image.new("RGB", (3 * WIDEST, 300), "white").save(out, "JPEG")
    large = Picture(out.getvalue(), "image/jpeg", 3 * WIDEST, 300)
    small = at_print_size(large)

    assert (small.width, small.height, small.ending) == (WIDEST, 100, "jpg")
    assert Image.open(io.BytesIO(small.data)).size == (WIDEST, 100)
    assert at_print_size(slip("a1")) == slip("a1")


def test_pages_are_set_in_a_process_of_its_own() -> None:
    """What the typesetter holds goes back when it ends: it is never loaded here; its failure is told."""
    asked = "import sys; from tests.unit.test_documents import DOCUMENT, to_docx, to_pdf; "
    asked += "to_pdf(DOCUMENT), to_docx(DOCUMENT); print('typst' in sys.modules)"
    root = Path(__file__).parents[2]
    told = subprocess.run([sys.executable, "-c", asked], cwd=root, capture_output=True, check=True)

    assert told.stdout.decode().strip() == "False"
    with pytest.raises(RuntimeError, match=r"The typesetter could not set it\. It ended with 1"):
        to_png("no drawing")


def test_engines_and_books_are_documents_too() -> None:
    """An engine's history and a book of every component can be printed."""
    for document in (engine_document(MATTER, "E1"), book(MATTER)):
        assert unspaced(document.title) in unspaced(pdf_text(to_pdf(document)))
        assert part(to_docx(document), "word/footnotes.xml")


def test_the_fonts_have_their_licences_beside_them() -> None:
    """Each family that travels with the program is there with its licence."""
    fonts = Path(__file__).parents[2] / "backend" / "numbertaker" / "publishing" / "documents" / "fonts"
    families = {file.stem.partition("-")[0] for file in fonts.glob("*.ttf")}

    assert families == {"EBGaramond", "CourierPrime"}
    assert {file.stem for file in fonts.glob("*.txt")} == families


def test_two_notes_side_by_side_are_parted() -> None:
    """Notes 1 and 2 at one place read as 1,2 and not as 12."""
    told = Document(
        title="-",
        blocks=(Paragraph(words("So it was.", NoteRef(1), NoteRef(2))),),
        notes=(Note(1, words("One.")), Note(2, words("Two."))),
    )
    document = docx.Document(io.BytesIO(to_docx(told)))
    raised = [run.text for p in document.paragraphs for run in p.runs if run.font.superscript]
    assert raised.count(",") == 1
    pages = pypdfium2.PdfDocument(to_pdf(told))
    assert "1,2" in pages[0].get_textpage().get_text_range().replace(" ", "")
