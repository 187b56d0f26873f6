"""A history told in sentences: what is said, how it is hedged, and what each sentence rests on."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.small_history import BOILER, CONFLICT, EVIDENCE, FITMENTS, HISTORY, RULED, line

from numbertaker.evidence.days import day_of, year_span
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.errors import NotFound
from numbertaker.publishing.books import book
from numbertaker.publishing.citations import Citations, note_text
from numbertaker.publishing.compose import CAUTION, component_document
from numbertaker.publishing.document import Caution, Document, Figure, NoteRef, Paragraph, Run, Table
from numbertaker.publishing.engines import engine_document
from numbertaker.publishing.matter import Matter
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, History, When

MATTER = Matter(HISTORY, RULED)
DOCUMENT = component_document(MATTER, "B7", "digest-1")


def said(paragraph: Paragraph) -> str:
    """The words of a paragraph without its notes."""
    return "".join(part.text for part in paragraph.inlines if not isinstance(part, NoteRef))


def paragraphs(document: Document) -> list[str]:
    """Every paragraph's words."""
    return [said(block) for block in document.blocks if isinstance(block, Paragraph)]


def sentence(document: Document, part: str) -> Paragraph:
    """The one paragraph with some words in it."""
    found = [b for b in document.blocks if isinstance(b, Paragraph) and part in said(b)]
    assert len(found) == 1, [said(b) for b in found] or paragraphs(document)
    return found[0]


def notes_of(document: Document, paragraph: Paragraph) -> list[str]:
    """The notes that a paragraph calls for."""
    numbers = [part.number for part in paragraph.inlines if isinstance(part, NoteRef)]
    return [note_text(note) for note in document.notes if note.number in numbers]


def told(component: ComponentHistory) -> Document:
    """The document of a changed boiler."""
    return component_document(Matter(History((component,)), RULED), component.component_id)


def test_every_sentence_has_its_note_or_is_the_programs_own_remark() -> None:
    """No statement about the past stands without a note; only sums and counts are remarks."""
    documents = [DOCUMENT, book(MATTER), engine_document(MATTER, "E1")]

    for document in documents:
        for block in document.blocks:
            if isinstance(block, Paragraph) and not block.remark:
                assert any(isinstance(part, NoteRef) for part in block.inlines), said(block)


def test_notes_are_numbered_in_the_order_of_their_marks() -> None:
    """The first mark is 1, and every note has exactly one first mark."""
    marks = [
        part.number
        for block in DOCUMENT.blocks
        if isinstance(block, Paragraph)
        for part in block.inlines
        if isinstance(part, NoteRef)
    ]

    assert marks == [note.number for note in DOCUMENT.notes] == list(range(1, len(marks) + 1))


def test_what_is_near_certain_is_said_plainly_with_engine_dates_and_miles() -> None:
    """The first fitment: engine as numbered then, both dates, the figure."""
    assert paragraphs(DOCUMENT)[1] == (
        "Boiler 7 was fitted first to engine 31 in May 1905 and removed in June 1909, "
        "having run 61,204 miles."
    )


def test_an_engine_renumbered_meanwhile_is_the_same_engine() -> None:
    """The second fitment is to the same engine under its new number, and is hedged as probable."""
    assert sentence(DOCUMENT, "by then 38").inlines[0] == Run("It was probably ")
    assert "fitted again to the same engine, by then 38, in August 1909" in said(
        sentence(DOCUMENT, "by then 38")
    )


def test_a_doubtful_fitment_without_a_sure_figure_says_both() -> None:
    """'It seems', the name borne then, a week as a week; an estimate is never told as miles run."""
    words = said(sentence(DOCUMENT, "next heard of, to 40 Fellgate"))

    assert words.startswith(
        "It seems that it was fitted, when it is next heard of, to 40 Fellgate "
        "in the week ending 14 November 1916"
    )
    assert words.endswith("the miles run are in question.")
    assert "50,000" not in words


@pytest.mark.parametrize(
    ("confidence", "opening"),
    [
        (0.99, "Boiler 7 was fitted"),
        (0.9, "Boiler 7 was probably fitted"),
        (0.6, "It seems that Boiler 7 was fitted"),
        (0.3, "It is written, though improbably, that Boiler 7 was fitted"),
    ],
)
def test_the_hedge_follows_the_confidence(confidence: float, opening: str) -> None:
    """Plainly, probably, it seems, improbably."""
    fitment = replace(FITMENTS[0], confidence=confidence)

    assert paragraphs(told(replace(BOILER, fitments=(fitment,), findings=())))[1].startswith(opening)


def test_a_fitment_with_nothing_stated_says_so() -> None:
    """No date and no figure anywhere: each is said to be unstated, none is made up."""
    bare = replace(FITMENTS[0], fitted=None, removed=None, miles=None, evidence=("a9",), copies=())
    words = paragraphs(told(replace(BOILER, fitments=(bare,), findings=())))[1]

    assert words.endswith(
        ", at a date that is not stated; no removal is stated; the miles run are not stated."
    )


def test_a_copy_is_named_as_a_copy_in_the_note() -> None:
    """The book that copied the card is in the note, and said to be no separate witness."""
    note = notes_of(DOCUMENT, sentence(DOCUMENT, "fitted first"))[0]

    assert note.startswith(
        "Ostrey Town Museum, Records of the works, W/4, ‘Boiler cards’, card 7, line 1, seen May 2024: "
    )
    assert "repeated, as a copy and no separate witness, in Oram, T. H., Boilers: a list (Thrunby" in note
    assert "Press, 1964), page 9, line 3: " in note


def test_a_gap_is_told_as_a_gap_with_what_its_engines_carried() -> None:
    """The silence, the lines on either side, and the other boiler on the engine that it had left."""
    gap = sentence(DOCUMENT, "nothing that has been read")

    assert said(gap).startswith(
        "From 30 November 1914 to 8 November 1916 nothing that has been read says where the boiler was."
    )
    assert "Meanwhile 38 took boiler 8 in February 1915." in said(gap)
    assert "No other boiler is recorded on 40 Fellgate in that time." in said(gap)
    assert notes_of(DOCUMENT, gap)[0].startswith("The lines on either side: W/4, card 7, line 2")


def test_an_open_question_has_both_claims_as_written() -> None:
    """Each side of the contradiction stands in the source's voice with a note of its own."""
    question = sentence(DOCUMENT, "Two mileages for one fitment.")
    written = [part.text for part in question.inlines if isinstance(part, Run) and part.voice == "written"]

    assert written == ["63,310", "68,310", "63,310", "68,310"]
    assert "At card 7, line 3, the miles are written 63,310. " in said(question)
    assert len(notes_of(DOCUMENT, question)) == 2


def test_an_open_question_says_once_what_is_as_plain_as_it_can_be() -> None:
    """One claim that the message quotes has its note at once; what the program says is set as in print."""
    message = "On the card of boiler 7 the miles '63,310' can't be read: only 30%, of 'two' at most."
    lone = replace(CONFLICT, message=message, claims=CONFLICT.claims[:1], lines=CONFLICT.lines[:1])
    question = next(
        block
        for block in told(replace(BOILER, findings=(lone,))).blocks
        if isinstance(block, Paragraph) and block.key == f"question:{lone.id}"
    )

    assert said(question).endswith(
        "On the card of boiler 7 the miles 63,310 can’t be read: only 30 per cent, of ‘two’ at most."
    )
    assert [part.text for part in question.inlines if getattr(part, "voice", "") == "written"] == ["63,310"]
    assert len(notes_of(told(replace(BOILER, findings=(lone,))), question)) == 1


def test_a_date_is_told_as_the_most_exact_claim_has_it() -> None:
    """A day that one card states is told before the month of the other; a narrowing that is none's is not."""
    day = day_of(1905, 5, 16)
    cells = (
        CellMeaning("a1", "fitted", "1905-05", 0.99, used=True),
        CellMeaning("b1", "fitted", "1905-05-16", 0.97, used=True),
    )
    both = replace(FITMENTS[0], fitted=When("1905-05", day, day), evidence=("a1", "b1"), claims=(), copies=())
    narrowed = replace(both, fitted=When("[1905-05-01..1905-05-20]", day - 15, day + 4), evidence=("a1",))
    exact = paragraphs(told(replace(BOILER, fitments=(both,), cells=cells, findings=())))[1]
    plain = paragraphs(told(replace(BOILER, fitments=(narrowed,), cells=cells[:1], findings=())))[1]

    assert "fitted first to engine 31 on 16 May 1905 and" in exact
    assert "fitted first to engine 31 in May 1905 and" in plain


def test_a_settled_finding_is_no_open_question() -> None:
    """What a researcher ruled on is told among the decisions only."""
    settled = replace(BOILER, findings=(replace(CONFLICT, settled_by="D1"),))

    assert not [words for words in paragraphs(told(settled)) if words.startswith("Two mileages")]


def test_a_decision_is_told_with_its_reason_and_its_line() -> None:
    """Who ruled, when, what, why, and the line it is about."""
    decision = sentence(DOCUMENT, "A. Reader")

    assert said(decision) == (
        "A. Reader ruled on 2 March 2026 that the engine means 31, later 38. "
        "The reason given: ‘The ditto stands under 31.’"
    )
    assert notes_of(DOCUMENT, decision)[0].startswith("W/4, card 7, line 2")


def test_events_of_the_engines_say_whether_the_boiler_was_there() -> None:
    """An event within the certain part of a fitment is told as such; one between fitments is not."""
    assert said(sentence(DOCUMENT, "In collision")).endswith("It was then carrying this boiler.")
    assert said(sentence(DOCUMENT, "In collision")).startswith("February 1911, engine 38: ")
    assert "certain" not in said(sentence(DOCUMENT, "Renumbered 38."))


def test_condemned_comes_from_its_own_line() -> None:
    """The end of the boiler, with the card's line as its note."""
    end = sentence(DOCUMENT, "condemned")

    assert said(end) == "It was condemned in March 1921."
    assert notes_of(DOCUMENT, end) == ["W/4, card 7, line 4: 3.21."]


def test_the_table_never_adds_an_estimate_to_stated_miles() -> None:
    """Running miles stop growing and become 'at least' where a figure is missing."""
    table = next(block for block in DOCUMENT.blocks if isinstance(block, Table))
    column = ["".join(part.text for part in row.cells[5] if isinstance(part, Run)) for row in table.rows]

    assert column == ["61,204", "151,204", "", "at least 151,204"]
    assert [row.silent for row in table.rows] == [False, False, True, False]
    assert "estimated between 50,000 and 70,000" in "".join(
        p.text for p in table.rows[3].cells[4] if isinstance(p, Run)
    )


def test_the_table_refers_to_the_notes_of_the_sentences() -> None:
    """A row repeats the mark of its sentence instead of a new note."""
    table = next(block for block in DOCUMENT.blocks if isinstance(block, Table))
    first = sentence(DOCUMENT, "fitted first").inlines[-1]

    assert isinstance(first, NoteRef)
    assert table.rows[0].cells[7] == (NoteRef(first.number, again=True),)


def test_the_timeline_has_the_same_data_as_the_table() -> None:
    """One lane an engine, one stretch a fitment, one silence a gap."""
    figure = next(block for block in DOCUMENT.blocks if isinstance(block, Figure))

    assert figure.timeline.lanes == ("31, later 38", "40 Fellgate")
    assert [stretch.lane for stretch in figure.timeline.stretches] == [0, 0, 1]
    assert [stretch.miles for stretch in figure.timeline.stretches] == [61_204, 90_000, None]
    assert len(figure.timeline.silences) == 1


def test_supported_miles_are_the_sum_that_the_note_says() -> None:
    """The note to the total names the very notes whose miles it adds up."""
    total = sentence(DOCUMENT, "The evidence supports")

    assert said(total).startswith(
        "The evidence supports 151,204 miles, stated or derived, in 2 of 3 fitments."
    )
    assert "between 201,204 and 260,000 miles (with a probability of 95 per cent)" in said(total)
    assert notes_of(DOCUMENT, total) == ["The sum of the miles in notes 1 and 2."]


def test_every_document_carries_the_caution_and_its_state() -> None:
    """Boiler, engine and book alike."""
    for document in (DOCUMENT, book(MATTER, "digest-1"), engine_document(MATTER, "E1", "digest-1")):
        assert Caution(CAUTION) in document.blocks
        assert any("digest-1" in said(block) for block in document.after if isinstance(block, Paragraph))


def test_an_engines_history_names_every_component_in_order() -> None:
    """Both boilers that engine 31 carried, in the order of time."""
    words = [text for text in paragraphs(engine_document(MATTER, "E1")) if "fitted" in text]

    assert [text.split(" was ")[0] for text in words] == ["Boiler 7", "Boiler 7", "Boiler 8"]


def test_what_is_not_there_is_not_found() -> None:
    """An unknown component or engine is an error that names it."""
    with pytest.raises(NotFound, match="B99"):
        component_document(MATTER, "B99")
    with pytest.raises(NotFound, match="E99"):
        engine_document(MATTER, "E99")


def test_a_component_that_nothing_puts_on_an_engine_has_a_document() -> None:
    """An empty history is told in one remark, without table or timeline."""
    empty = replace(BOILER, fitments=(), findings=(), cells=(), decisions=())

    assert paragraphs(told(empty))[0] == "Type A. Nothing that has been read puts it on any engine."


def test_notes_are_full_first_and_short_from_then_on() -> None:
    """Repository and title once, then the reference; 'ibid.' never."""
    citations = Citations(EVIDENCE)
    first = citations.line("a1")
    assert first is not None

    assert (
        citations.first(first)
        == "Ostrey Town Museum, Records of the works, W/4, ‘Boiler cards’, card 7, line 1, seen May 2024"
    )
    assert citations.later(first) == "W/4, card 7, line 1"
    assert not any("ibid" in note_text(note).casefold() for note in DOCUMENT.notes)


def test_a_reference_that_two_sources_share_is_not_enough() -> None:
    """The short note adds the title where the reference alone would not tell."""
    twice = replace(
        EVIDENCE, sources=(*EVIDENCE.sources, replace(EVIDENCE.sources[0], source_id="S9", title="Ledger"))
    )
    cited = Citations(twice).line("a1")
    assert cited is not None

    assert Citations(twice).later(cited) == "W/4, ‘Boiler cards’, card 7, line 1"


def test_a_line_without_a_locator_is_cited_by_its_card_and_row() -> None:
    """The card's own locator and the row stand in."""
    changed = replace(EVIDENCE, lines=(replace(EVIDENCE.lines[0], locator="", card_id="S1-7", row_="4"),))
    cited = Citations(changed).line("a1")
    assert cited is not None

    assert Citations(changed).locator(cited) == "card 7, line 4"


def test_a_source_that_the_tables_lack_is_said_to_be_lacking() -> None:
    """A dangling source is named by its id rather than dropped."""
    changed = replace(EVIDENCE, sources=())
    document = component_document(Matter(HISTORY, follow(changed)), "B7")

    assert "source S1, of which nothing is stated, card 7, line 1" in note_text(document.notes[0])


def test_a_time_in_stock_is_told_in_its_place() -> None:
    """A line that says it lay spare stands before the fitment that came after it."""
    spare = line("a5", "S1", "card 7, line 5", says="spare", fitted="12.14", removed="10.16")
    cells = (
        *BOILER.cells,
        CellMeaning("a5", "fitted", "1914-12", 0.99, True),
        CellMeaning("a5", "removed", "1916-10", 0.99, True),
    )
    ruled = follow(replace(EVIDENCE, lines=(*EVIDENCE.lines, spare)))
    boiler = replace(BOILER, cells=cells, findings=())
    text = paragraphs(component_document(Matter(History((boiler,)), ruled), "B7"))

    lay = text.index(
        "It is written to have lain spare, off any engine, from December 1914 until October 1916."
    )
    assert "by then 38" in text[lay - 1]
    assert "40 Fellgate" in text[lay + 1]


def test_an_engine_met_after_its_last_number_goes_by_that() -> None:
    """Where a fitment lies outside the time of every designation, the last one is used, not the id."""
    assert str(MATTER.names.then("E1", year_span(1900))) == "38"


def test_a_claim_that_another_line_contradicts_is_contradicted() -> None:
    """The card's own figure is at odds with the engine's, though the history rests on neither."""
    assert MATTER.degree_of(FITMENTS[2], "miles") == "contradicted"
