"""Rows of writing held to a real page that others photographed: scikit-image's `data.page()`.

Where its rows stand was measured by us on the picture, to a pixel or two: the page bends, so that a row is
some pixels higher at one end than at the other.
"""

from __future__ import annotations

import numpy as np
import pytest
from skimage import data

from numbertaker.reading.geometry import carry, lay_flat
from numbertaker.reading.ground import survey

ROWS = (24, 56, 75, 93, 111, 129, 181)
"""How high its rows stand at the middle of the page: the heading, five of prose, one of code."""


def test_the_rows_of_a_real_page_are_found_where_they_stand() -> None:
    """Seven rows, none more and none less, each within four pixels of where it was measured."""
    plane = lay_flat(np.repeat(data.page()[..., None], 3, axis=2))
    assert plane is not None
    middle = plane.colour.shape[1] / 2
    places = np.array([[middle, row.level] for row in survey(plane).rows])

    assert carry(plane.to_scan, places)[:, 1] == pytest.approx(ROWS, abs=4)


def test_no_rulings_are_seen_on_a_page_that_has_none() -> None:
    """Two level lines part its text; no table is made of them."""
    plane = lay_flat(np.repeat(data.page()[..., None], 3, axis=2))

    assert plane is not None
    assert not survey(plane).ruled
