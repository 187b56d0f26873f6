"""A stamp in the ink of the writing, ticks, long texts and titles in one stroke leave a table as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
import pytest

from numbertaker.reading.body import runs_over
from numbertaker.reading.columns import Column, without_ticks
from numbertaker.reading.geometry import Array, Picture
from numbertaker.reading.ground import Ground, beside_stamps, words_of_block
from numbertaker.reading.header import Reader, _belongs
from numbertaker.reading.marks import Box
from numbertaker.reading.rows import Row
from numbertaker.reading.stamped import stamped_places
from numbertaker.reading.titles import Word

CAP = 20.0


def oblong(turned: float, *, words: bool = False) -> Picture:
    """A frame of thin strokes on a sheet, turned by so many degrees, with rows of letters around it."""
    sheet = np.zeros((400, 700), np.uint8)
    corners = cv2.boxPoints(((350.0, 200.0), (240.0, 90.0), turned)).astype(np.int32)
    cv2.polylines(sheet, [corners.reshape(-1, 1, 2)], True, 1, 3)
    for y in (30, 80, 310, 360):
        for x in range(40, 640, 24):
            cv2.rectangle(sheet, (x, y), (x + 13, y + 19), 1, 3)
    if words:
        cv2.putText(sheet, "SEEN", (300, 215), cv2.FONT_HERSHEY_SIMPLEX, 1.2, 1, 5)
    return sheet


@pytest.mark.parametrize("turned", [-11.0, 4.0, 9.0])
def test_a_stamp_is_known_by_its_crooked_frame(turned: float) -> None:
    """Its corners are found, whatever is written in and around it."""
    (corners,) = stamped_places(oblong(turned, words=True), CAP)

    assert corners.mean(axis=0) == pytest.approx((350, 200), abs=4)
    assert cv2.contourArea(corners) == pytest.approx(240 * 90, rel=0.1)


def test_an_upright_box_and_plain_rows_are_no_stamp() -> None:
    """What is ruled stands straight; letters make no frame."""
    assert stamped_places(oblong(0.0), CAP) == ()


def test_a_ring_is_no_stamp() -> None:
    """The rim of a cup has no sides."""
    sheet = np.zeros((400, 700), np.uint8)
    cv2.circle(sheet, (350, 200), 80, 1, 3)

    assert stamped_places(sheet, CAP) == ()


def test_what_a_stamp_covers_tells_nothing_of_columns() -> None:
    """Marks within its corners are left out of account, with their depths, and no others."""
    marks = np.array([[100.0, 100, 10, 20, 99], [340.0, 190, 10, 20, 99]])
    corners = np.array(((230.0, 155.0), (470.0, 155.0), (470.0, 245.0), (230.0, 245.0)))
    card = ground(marks, (corners,))

    assert beside_stamps(card).marks[:, 0].tolist() == [100.0]
    assert len(beside_stamps(card).depth) == 1


def test_ticks_in_the_margin_are_no_part_of_the_first_column() -> None:
    """A clear strip lies between them and what is written under the first title."""
    columns = [Column(20, 200, "Engine", "engine", 0.9), Column(200, 400, "Fitted", "fitted", 0.9)]
    words = [Word(Box(90, 0, 150, 20), "Engine", 0.9), Word(Box(220, 0, 280, 20), "Fitted", 0.9)]
    ticked = [[Box(30, y, 45, y + 20), Box(85, y, 130, y + 20), Box(220, y, 300, y + 20)] for y in (40, 80)]
    plain = [[b for b in row if b.left > 50] for row in ticked]

    assert 45 < without_ticks(columns, ticked, words, CAP)[0].left < 85
    assert without_ticks(columns, plain, words, CAP) == columns


def test_a_title_in_one_stroke_with_a_tail_is_a_word() -> None:
    """It is taller than any letter, and much wider: a hand writes 'Engine' so."""
    marks = np.array([[100.0, 60, 120, 46, 1500], [260.0, 62, 30, 24, 300]])

    assert [box.left for box in words_of_block(ground(marks), 40, 120)] == [100.0, 260.0]


def test_what_is_left_of_rulings_is_no_word_of_a_title() -> None:
    """A line of titles stays one though the rulings between them were read as figures."""
    said = enumerate(("TENDER", "DATE", "1", "4", "1"))
    lines = [tuple(Word(Box(150 * i, 20, 150 * i + 80, 40), text, 0.9) for i, text in said), ()]
    rows = (Row(20, 40), Row(44, 64))
    card = replace(ground(np.zeros((0, 5))), rows=rows)

    assert _belongs(card, lines, Reader(lambda boxes: []), 0, 1)


def ground(marks: Array, stamped: tuple[Array, ...] = ()) -> Ground:
    return Ground(marks, CAP, (), (), (), (700, 400), False, np.full(len(marks), 90.0), stamped)


def typed(text: str) -> tuple[Ground, Reader]:
    """A row of typed letters that stand apart, and a reader that knows what they say."""
    places = [(20.0 + 20 * i, c) for i, c in enumerate(text)]
    marks = np.array([[x, 40.0, 11, 20, 150] for x, c in places if c != " "])

    def read(boxes: Sequence[Box]) -> list[tuple[str, float]]:
        held = ("".join(c for x, c in places if b.left - 1 <= x < b.right) for b in boxes)
        return [(said.strip(), 0.9) for said in held]

    return ground(marks), Reader(read)


COLUMNS = [Column(0, 150, "", "engine", 0.9), Column(150, 310, "", "fitted", 0.9),
           Column(310, 450, "", "removed", 0.9), Column(450, 700, "", "remarks", 0.9)]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "over", "further"),
    [
        ("sent away for examination at works", True, True),
        ("for five years", False, True),
        ("do.   4.11.13  6.12.17   Stays", False, False),
        ("Spare", False, False),
    ],
)
def test_typed_sentences_run_over_the_columns(text: str, over: bool, further: bool) -> None:
    """A typewriter's letters stand apart, so that no letter is cut: words are; their rest may be short."""
    card, reader = typed(text)
    row = Row(30, 70)

    assert runs_over(card, row, COLUMNS, reader) is over
    assert runs_over(card, row, COLUMNS, reader, goes_on=True) is further
