"""What is asked of every pixel: the quick ways give what the plain ones give."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from numbertaker.reading import pixels


def mask(seed: int, share: float, size: tuple[int, int] = (40, 90)) -> pixels.Picture:
    """A mask with this share of ink."""
    return (np.random.default_rng(seed).random(size) < share).astype(np.uint8)


@pytest.mark.parametrize("least", [1, 2, 7, 12, 31])
@pytest.mark.parametrize("share", [0.5, 0.9, 1.0])
def test_long_runs_are_what_an_opening_leaves(least: int, share: float) -> None:
    """Runs of ink are kept as an opening by a level line keeps them, at the edges too."""
    ink = mask(least, share)
    opened = cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((1, least), np.uint8))
    assert np.array_equal(pixels.long_runs(ink, least), opened)


def test_whole_numbers_spread_as_broken_ones_do() -> None:
    """The median and the deviation of counted values are those of sorted ones."""
    grey = np.random.default_rng(3).integers(-40, 300, (61, 74)).astype(np.int16)
    assert pixels.spread(grey) == pytest.approx(pixels.spread(grey.astype(np.float64)))


def test_more_marks_than_two_bytes_can_number_are_kept_apart() -> None:
    """A picture of nothing but specks has each of them, numbered in four bytes."""
    specks = np.zeros((600, 600), np.uint8)
    specks[::2, ::2] = 1
    names, stats = pixels.components(specks)
    assert len(stats) == 1 + 300 * 300
    assert names.max() == 300 * 300


@pytest.mark.parametrize("kind", [np.uint16, np.int32])
def test_chosen_marks_are_masked(kind: type) -> None:
    """The mask of chosen marks has their pixels and no others, however marks are numbered."""
    names = np.arange(12, dtype=kind).reshape(3, 4)
    chosen = np.arange(12) % 5 == 0
    assert np.array_equal(pixels.marked(names, chosen), chosen.reshape(3, 4))


def test_a_ruling_stands_out_from_both_its_sides_and_an_edge_does_not() -> None:
    """A thin dark line is a ridge; where paper ends in shadow there is none."""
    grey = np.random.default_rng(5).integers(238, 247, (80, 120)).astype(np.uint8)
    grey[:, 40] = 190
    grey[:, 90:] = 150
    strength = pixels.ridges(grey)
    assert strength[40, 40] > 5 * np.abs(strength[40, 10:30]).max()
    assert np.abs(strength[40, 86:100]).max() < 3
