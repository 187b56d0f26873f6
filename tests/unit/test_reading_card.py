"""A card is read as it was written: texts, dittos, blanks, strokes, whose it is, what each line says."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.drawn import BOILER_CARD, PRINTED_LIST, STRUCK, Drawing, as_bytes, draw

from numbertaker.reading.card import read_card
from numbertaker.reading.recognisers import Recogniser, choose
from numbertaker.reading.values import CardReading

FIELDS = {"ENGINE": "engine", "FITTED": "fitted", "REMOVED": "removed", "MILES": "miles", "WORKS": "place"}
FIELDS |= {"REMARKS": "remarks", "BOILER": "component"}


@pytest.fixture(scope="module")
def recogniser() -> Recogniser:
    """One session for all tests of this module: making it costs more than a cell."""
    return choose("onnx")


@pytest.fixture(scope="module")
def boiler_card(recogniser: Recogniser) -> CardReading:
    """The drawn card, read once."""
    return read_card(as_bytes(draw(BOILER_CARD)), 1, None, recogniser)


def texts(card: CardReading) -> list[dict[str, str]]:
    """The plain cells of each line."""
    return [{name: cell.text for name, cell in line.cells.items()} for line in card.lines]


def expected(drawing: Drawing) -> list[dict[str, str]]:
    """What stands on a drawing, a struck figure by its replacement."""
    names = [FIELDS[title.upper()] for title in drawing.titles]
    shown = [[t.partition("|")[2] if t.startswith(STRUCK) else t for t in row] for row in drawing.rows]
    return [dict(zip(names, row, strict=True)) for row in shown]


def test_every_cell_is_read_as_written(boiler_card: CardReading) -> None:
    """On a clean card every cell has the text that was written in it."""
    assert texts(boiler_card) == expected(BOILER_CARD)


def test_the_heading_says_whose_card_it_is(boiler_card: CardReading) -> None:
    """'BOILER No. 52' over the table makes it the component card of 52."""
    assert (boiler_card.form, boiler_card.side) == ("component-card", "component")
    assert boiler_card.heading["heading"].text == "52"


def test_dittos_are_told_by_their_shape(boiler_card: CardReading) -> None:
    """Quotation marks are marked as dittos and read as no figure."""
    assert boiler_card.lines[1].marks == {"engine": "ditto", "place": "ditto"}


def test_a_struck_figure_keeps_both_readings(boiler_card: CardReading) -> None:
    """The replacement is the text, and what was struck out stays beside it."""
    cell = boiler_card.lines[3].cells["miles"]

    assert (cell.mark, cell.text) == ("struck", "64,001")
    assert cell.struck
    assert cell.confidence > 0.9


def test_lines_say_what_their_words_say(boiler_card: CardReading) -> None:
    """'Condemned' beside a date is no fitment."""
    assert [line.says for line in boiler_card.lines] == ["fitment"] * 4 + ["condemned"]


def test_boxes_lie_on_the_ink(boiler_card: CardReading) -> None:
    """A cell's box holds the ink of its writing on the scan."""
    x, y, w, h = boiler_card.lines[0].cells["miles"].box
    picture = np.asarray(draw(BOILER_CARD).convert("L"))

    assert picture[y : y + h, x : x + w].min() < 80
    assert (w, h) < (170, 45)


def test_json_is_what_the_interchange_asks_for(boiler_card: CardReading) -> None:
    """The card's JSON has the keys of 'cards as read', and only plain values."""
    body: dict[str, Any] = boiler_card.to_json()

    assert {"form", "turned", "outline", "heading", "lines"} <= body.keys()
    cell = body["lines"][0]["cells"]["fitted"]
    assert cell["text"] == "4.11"
    assert set(cell) == {"text", "confidence", "box", "alternatives"}
    assert body["lines"][3]["cells"]["miles"]["struck"]


@pytest.mark.parametrize("turn", [-3.0, 2.5])
def test_a_crooked_card_reads_the_same(recogniser: Recogniser, turn: float) -> None:
    """A card that lies askew on a dark desk is read as if it lay straight, and its turn is told."""
    card = read_card(as_bytes(draw(BOILER_CARD, turn)), 1, None, recogniser)

    assert texts(card) == expected(BOILER_CARD)
    assert card.turned == pytest.approx(turn, abs=0.3)


def test_an_unruled_list_names_both_sides(recogniser: Recogniser) -> None:
    """A list without rulings is cut at its gaps; both its numbers are read, and it has no heading."""
    card = read_card(as_bytes(draw(PRINTED_LIST)), 1, None, recogniser)

    assert (card.form, card.side, dict(card.heading)) == ("printed-list", "statement", {})
    assert texts(card) == expected(PRINTED_LIST)


def test_a_stamp_is_taken_off_the_writing(recogniser: Recogniser) -> None:
    """Red stamping across a cell leaves what was typed under it to be read."""
    image = draw(BOILER_CARD)
    stamp = draw(BOILER_CARD)
    for y in range(240, 300):
        for x in range(660, 880):
            r, g, b = stamp.getpixel((x, y))  # type: ignore[misc]
            if (x - y) % 24 < 9:
                image.putpixel((x, y), (r * 225 // 238, g * 90 // 228, b * 90 // 205))
    card = read_card(as_bytes(image), 1, None, recogniser)

    assert card.lines[0].cells["miles"].text == "68,310"
