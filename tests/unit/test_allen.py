"""How two fitments lie to each other."""

from __future__ import annotations

import pytest

from numbertaker.evidence.allen import NAMES, ORDER, canonical, converse, relation
from numbertaker.evidence.days import Span

# The second span is days 10 to 19; the picture is drawn from day 0 on, one sign a day.
PICTURES = """
    p  |####      |
    m  |##########|
    o  |     ##########     |
    F  |     ###############|
    D  |     ####################|
    s  |          #####     |
    e  |          ##########|
    S  |          ###############|
    d  |            #####   |
    f  |               #####|
    O  |               ##########|
    M  |                    #####|
    P  |                       ###|
"""


@pytest.mark.parametrize(
    ("letter", "picture"), [line.split("|")[:2] for line in PICTURES.strip().splitlines()]
)
def test_each_relation_as_drawn(letter: str, picture: str) -> None:
    """The thirteen ways in which a span can lie to the days 10 to 19."""
    drawn = Span(picture.index("#"), picture.rindex("#"))

    assert relation(drawn, Span(10, 19)) == letter.strip()


def test_days_are_intervals_and_not_points() -> None:
    """Ending on the 14th meets beginning on the 15th; beginning on the 14th overlaps by a day."""
    assert relation(Span(1, 14), Span(15, 20)) == "m"
    assert relation(Span(1, 14), Span(14, 20)) == "o"
    assert relation(Span(14, 14), Span(14, 14)) == "e"


def test_no_bound_lies_at_infinity() -> None:
    """A fitment that goes on still contains whatever began later and ended."""
    assert relation(Span(1, None), Span(5, 9)) == "D"
    assert relation(Span(None, 4), Span(5, None)) == "m"
    assert relation(Span(None, None), Span(None, None)) == "e"


def test_every_relation_has_a_name_and_a_converse() -> None:
    """A capital is the converse of its small letter; equal is its own."""
    assert "".join(NAMES) == ORDER
    assert converse("pmo") == "OMP"
    assert converse("e") == "e"


def test_letters_are_put_in_order_and_strangers_refused() -> None:
    """One text for one relation, whatever the order in which it was found."""
    assert canonical("Ppe") == "peP"
    with pytest.raises(ValueError, match="'x' is no relation"):
        canonical("px")
