"""Reading held to things that others made: real digits, real pages, and libraries that measure the same.

| what | source |
| --- | --- |
| handwritten digits | E. Alpaydin and C. Kaynak, *Optical Recognition of Handwritten Digits*, UCI, 1998, as in `sklearn.datasets.load_digits` |
| a photographed printed page, a photographed written one | `skimage.data.page` and `skimage.data.text` |
| character error rate | `jiwer.cer` |
| isotonic regression | `sklearn.isotonic.IsotonicRegression` |
| bounds of a share | `scipy.stats` (E. B. Wilson, 1927) |
"""  # noqa: E501 - a table has long rows

from __future__ import annotations

from random import Random
from typing import Any

import cv2
import jiwer
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest
from skimage import data
from sklearn.datasets import load_digits
from sklearn.isotonic import IsotonicRegression

from numbertaker.reading.card import read_picture
from numbertaker.reading.fields import weigh
from numbertaker.reading.hands.aligning import aligned, errors_between
from numbertaker.reading.recognisers import Crop, Recogniser, choose
from numbertaker.reading.reliability import GRID, PRIOR, curve_of_checked, wilson
from numbertaker.reading.strikes import told

PAGE = (
    (13, 34, "Region-based segmentation"),
    (50, 63, "Let us first determine markers of the coins and the"),
    (67, 83, "background. These markers are pixels that we can label"),
)
"""Rows of the printed page and what stands there, typed by us from the picture."""


@pytest.fixture(scope="module")
def recogniser() -> Recogniser:
    """The recogniser that cards are read with."""
    return choose()


def figure(digits: list[int], images: Any) -> Crop:
    """Real digits side by side on white paper, 32 pixels tall; the data has them 8 by 8 in 17 shades."""
    parts = []
    for digit in digits:
        small = (255 - np.clip(images[digit] / 16 * 215, 0, 255)).astype(np.uint8)
        parts.append(cv2.resize(small, (32, 32), interpolation=cv2.INTER_CUBIC)[:, 3:-3])
    row = cv2.copyMakeBorder(np.concatenate(parts, 1), 8, 8, 10, 10, cv2.BORDER_CONSTANT, value=255.0)
    return Crop(np.asarray(cv2.cvtColor(row, cv2.COLOR_GRAY2BGR), np.uint8), "number")


def test_real_digits_put_together_to_figures_are_read(recogniser: Recogniser) -> None:
    """Of 100 figures of 3 to 5 digits, each digit of another writer's, at least 80 are read whole, and at
    most 5 digits in a hundred are wrong."""
    known, rng = load_digits(), Random(1998)
    chosen = [[rng.randrange(len(known.images)) for _ in range(rng.randint(3, 5))] for _ in range(100)]
    true = ["".join(str(known.target[i]) for i in digits) for digits in chosen]
    read = recogniser.read([figure(digits, known.images) for digits in chosen])
    seen = [weigh(told(reading).plain, "number").text for reading in read]
    assert sum(one == other for one, other in zip(true, seen, strict=True)) >= 80
    assert jiwer.cer(true, seen) <= 0.05


def test_lines_of_a_real_page_are_read(recogniser: Recogniser) -> None:
    """Three straight lines of the photographed page, letters 8 pixels tall, without a wrong sign."""
    page = data.page()
    crops = []
    for top, bottom, _ in PAGE:
        row = cv2.cvtColor(page[top - 3 : bottom + 3], cv2.COLOR_GRAY2BGR)
        twice = cv2.resize(row, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
        crops.append(Crop(np.asarray(twice, np.uint8)))
    assert [reading.text for reading in recogniser.read(crops)] == [text for *_, text in PAGE]


@pytest.mark.parametrize("name", ["page", "text"])
def test_a_page_that_is_no_card_gives_no_lines(recogniser: Recogniser, name: str) -> None:
    """Print and handwriting that are no register become no register lines, and the reason is said."""
    grey = getattr(data, name)()
    picture = cv2.resize(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR), None, fx=3, fy=3)
    (card,) = read_picture(np.asarray(picture, np.uint8), None, recogniser)
    assert card.lines == ()
    assert card.problems


texts = st.text("0123456789,. abcdefgE", min_size=1, max_size=14).map(str.strip).filter(bool)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(texts, texts), min_size=1, max_size=6))
def test_the_errors_that_we_count_are_those_of_the_character_error_rate(pairs: list[tuple[str, str]]) -> None:
    """Signs read otherwise, lost and made up, by the signs that stand there, are what jiwer says."""
    true, read = (list(column) for column in zip(*pairs, strict=True))
    ours = sum(errors_between(one, other) for one, other in pairs) / sum(len(one) for one in true)
    assert ours == pytest.approx(jiwer.cer(true, read))


@settings(max_examples=100, deadline=None)
@given(texts, texts)
def test_an_alignment_tells_both_texts(true: str, read: str) -> None:
    """Its first signs spell what stands there, its second what was read."""
    pairs = list(aligned(true, read))
    assert "".join(sign for sign, _ in pairs) == true
    assert "".join(sign for _, sign in pairs) == read


checked = st.lists(
    st.tuples(st.sampled_from((0.3, 0.6, 0.75, 0.91, 0.97, 0.985)), st.booleans()), min_size=60
)


@settings(max_examples=40, deadline=None)
@given(checked)
def test_the_curve_of_checked_cells_is_the_isotonic_one(pairs: list[tuple[float, bool]]) -> None:
    """Its steps are those that scikit-learn fits to the same cells and weights."""
    x = [*GRID, *(p for p, _ in pairs)]
    y = [*GRID, *(float(right) for _, right in pairs)]
    weight = [PRIOR / len(GRID)] * len(GRID) + [1.0] * len(pairs)
    fitted = np.unique(np.round(IsotonicRegression().fit_transform(x, y, sample_weight=weight), 5))
    ours = [share for _, share in curve_of_checked(pairs).points]
    kept = np.clip(fitted, 0.0005, 0.9995)
    assert ours == sorted(ours)
    assert all(min(abs(kept - share)) < 2e-5 for share in ours)
    assert len(ours) >= len(set(kept)) - 2


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 400), st.floats(0, 1))
def test_the_bounds_of_a_share_are_wilson_s(cells: int, share: float) -> None:
    """As scipy gives them for .95."""
    right = round(cells * share)
    theirs = binomtest(right, cells).proportion_ci(0.95, method="wilson")
    assert wilson(right, cells) == pytest.approx((theirs.low, theirs.high), abs=1e-4)
