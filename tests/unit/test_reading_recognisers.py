"""The readers of single cells: what ours says of writing, strokes and nothing, and how two readers are
joined."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest
from PIL import Image, ImageDraw, ImageFont

from numbertaker.reading.confidence import of_cell, of_heading, weights
from numbertaker.reading.recognisers import Crop, Reading, choose
from numbertaker.reading.recognisers.ctc import best_texts
from numbertaker.reading.recognisers.joined import JoinedRecogniser, pooled
from numbertaker.reading.recognisers.lines import LineRecogniser
from numbertaker.reading.strikes import told, unmarked

FACES = Path(__file__).resolve().parents[2] / "scripts" / "corpus" / "fonts"
Picture = npt.NDArray[np.uint8]


def typed(text: str, *, struck: bool = False) -> Crop:
    """A cell as a typewriter leaves it, at times with a stroke through it."""
    face = ImageFont.truetype(str(FACES / "CourierPrime-Regular.ttf"), 44)
    page = Image.new("L", (round(face.getlength(text)) + 36, 62), 235)
    draw = ImageDraw.Draw(page)
    draw.text((18, 44), text, fill=40, font=face, anchor="ls")
    if struck:
        draw.line(((8, 31), (page.width - 8, 29)), fill=30, width=4)
    return Crop(cv2.cvtColor(np.asarray(page), cv2.COLOR_GRAY2BGR))


@pytest.fixture(scope="module")
def ours() -> LineRecogniser:
    """Our recogniser alone."""
    reader = choose("own")
    assert isinstance(reader, LineRecogniser)
    return reader


@pytest.mark.parametrize(
    "text", ["102,804", "w/e 14.11.25", "Nov 1913", "Brackwith", "208", "c/f", "½ tubes"]
)
def test_ours_reads_what_clerks_type(ours: LineRecogniser, text: str) -> None:
    """Figures, dates, names and signs of the trade are read as they stand, and surely."""
    (reading,) = ours.read([typed(text)])
    assert reading.text == text
    assert reading.confidence > 0.9


def test_ours_sees_a_stroke(ours: LineRecogniser) -> None:
    """A figure that is struck out is read with the mark that says so."""
    (reading,) = ours.read([typed("68,310", struck=True)])
    parts = told(reading)
    assert parts.share > 0.9
    assert (parts.struck.text, parts.standing.text) == ("68,310", "")


def test_ours_reads_nothing_where_nothing_is(ours: LineRecogniser) -> None:
    """Bare paper has no text, and a crop of no size does no harm."""
    bare, none = Crop(np.full((40, 160, 3), 230, np.uint8)), Crop(np.zeros((0, 5, 3), np.uint8))
    assert [reading.text for reading in ours.read([bare, none])] == ["", ""]


def test_a_reading_does_not_depend_on_its_company(ours: LineRecogniser) -> None:
    """Each crop is read by itself: alone or among others, the answer is the same."""
    crops = [typed(text) for text in ("201", "14.4.16", "77,024", "Brackwith", "8")]
    together, alone = ours.read(crops), [ours.read([crop])[0] for crop in crops]
    assert [r.text for r in together] == [r.text for r in alone]
    assert [r.confidence for r in together] == pytest.approx([r.confidence for r in alone], abs=1e-5)


def test_agreement_raises_and_difference_lowers() -> None:
    """A second reader who sees the same makes a text surer; one who sees another makes it less sure, and is
    kept."""
    seen = Reading("68,310", 0.8, (("68,810", 0.2),))
    same, other = pooled(seen, Reading("68,310", 0.9)), pooled(seen, Reading("68,810", 0.9))
    assert same.confidence > seen.confidence > other.confidence
    assert "68,810" in {other.text, *(text for text, _ in other.alternatives)}


def test_only_doubtful_crops_are_read_twice() -> None:
    """What ours is sure of is not asked again."""

    class Fixed:
        name = "fixed"

        def __init__(self, *readings: Reading) -> None:
            self.readings, self.asked = readings, 0

        def read(self, crops: Sequence[Crop]) -> list[Reading]:
            self.asked += len(crops)
            return list(self.readings[: len(crops)])

    crop = typed("1")
    second = Fixed(Reading("71", 0.9))
    joined = JoinedRecogniser(Fixed(Reading("11", 0.999), Reading("71", 0.6)), second)
    first_reading, second_reading = joined.read([crop, crop])
    assert second.asked == 1
    assert (first_reading.text, second_reading.text) == ("11", "71")


def test_no_heading_repeats_another() -> None:
    """Clogged figures of a heading look like ditto marks; there the second reader is believed."""

    class Fixed:
        name = "fixed"

        def __init__(self, text: str) -> None:
            self.text = text

        def read(self, crops: Sequence[Crop]) -> list[Reading]:
            return [Reading(self.text, 0.99) for _ in crops]

    joined = JoinedRecogniser(Fixed('"'), Fixed("44"))
    cell, heading = Crop(typed("44").picture), Crop(typed("44").picture, repeats=False)
    assert [reading.text for reading in joined.read([cell, heading])] == ['"', "44"]


def test_strokes_are_taken_apart() -> None:
    """A struck figure with its replacement beside it gives both, and how sure the stroke is."""
    parts = told(Reading("~68,210 68,310", 0.7, (("68,210 68,310", 0.1),), strikes=True))
    assert parts.share == pytest.approx(0.875)
    assert (parts.struck.text, parts.standing.text, parts.plain.text) == ("68,210", "68,310", "68,210 68,310")
    assert unmarked(Reading("~Tender ~12", 0.9)).text == "Tender 12"


def test_signs_of_another_script_do_not_end_the_search() -> None:
    """Where the network is sure of a sign that is none of ours, the likeliest of ours stands in."""
    steps = np.full((4, 3), 1e-6)
    steps[0, 1] = steps[3, 2] = 0.9
    assert best_texts(steps, "ab")[0][0] in {"ab", "a", "b"}


def test_shipped_weights_rise() -> None:
    """A likelier reading is never less sure, nor is one in a table that is trusted more; all are
    probabilities."""
    grid = [-6.0, -1.0, 0.0, 1.0, 3.0, 5.0, 7.0, 8.9]
    usual = dict.fromkeys(weights().traits, 0.5) | {"values": 1.0, "seen": 6.0, "margin": 6.0, "fits": 1.0}
    for trait, values in (("seen", grid), ("margin", grid), ("table", [p / 10 for p in range(11)])):
        told = [of_cell(usual | {trait: value}) for value in values]
        assert told == sorted(told)
        assert all(0 <= p <= 1 for p in told)
        assert told[0] < told[-1]
    assert of_heading("number", 0.5) <= of_heading("number", 0.999)
