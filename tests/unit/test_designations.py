"""Numbers and names as written."""

from __future__ import annotations

import pytest

from numbertaker.evidence.designations import bare_number, read_number


@pytest.mark.parametrize(
    "text",
    [
        "52",
        "0052",
        "No. 52",
        "No.52",
        "Boiler 52",
        "Boiler No. 0052.",
        "boiler no 52",
        "Blr. 52",
        "№ 52",
        "#52",
        "52 boiler",
        "The boiler 52",
    ],
)
def test_what_stands_around_a_number_does_not_matter(text: str) -> None:
    """Words that say what it is a number of, and leading zeros, tell nothing apart."""
    assert read_number(text).number == "52"
    assert read_number(text).name == ""


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("A103", "A103"),
        ("a 103", "A103"),
        ("B.52", "B52"),
        ("B-052", "B52"),
        ("52A", "52A"),
        ("52/1", "52/1"),
        ("0", "0"),
        ("00", "0"),
    ],
)
def test_what_tells_numbers_apart_stays(text: str, number: str) -> None:
    """A letter or a stroke is part of the number."""
    assert read_number(text).number == number


@pytest.mark.parametrize(
    ("text", "number", "name"),
    [
        ("Mount Vartam", "", "Mount Vartam"),
        ('"Mount Vartam"', "", "Mount Vartam"),
        ("103 Mount Vartam", "103", "Mount Vartam"),
        ("103 (Mount  Vartam)", "103", "Mount Vartam"),
        ("Engine 208 'Nettle'", "208", "Nettle"),
        ("Nora", "", "Nora"),
        ("Northgate", "", "Northgate"),
        ("No", "", "No"),
    ],
)
def test_a_number_and_a_name_are_told_apart(text: str, number: str, name: str) -> None:
    """Either may stand alone, and a name that begins like 'No' is a name."""
    written = read_number(text)

    assert (written.number, written.name) == (number, name)
    assert written.bare == (number or name)


@pytest.mark.parametrize(
    ("text", "state"),
    [("stock", "stock"), ("In stock", "stock"), ("spare", "stock"), ("Scrapped", "scrap"), ("New", "new")],
)
def test_a_state_is_no_name(text: str, state: str) -> None:
    """Where a card has 'stock' in the engine's column, no engine is meant."""
    written = read_number(text)

    assert (written.state, written.bare) == (state, "")


def test_signs_are_no_part_of_a_number() -> None:
    """Ditto marks, blanks and doubts are known for what they are."""
    assert read_number('"').is_ditto
    assert read_number("do.").is_ditto
    assert read_number("").is_blank
    assert read_number("-").is_blank
    assert (read_number("103[?]").number, read_number("103[?]").uncertain) == ("103", True)
    assert read_number("1[illegible]3").illegible


def test_a_number_is_compared_bare() -> None:
    """Comparing twice changes nothing."""
    assert bare_number("b. 0052") == "B52"
    assert bare_number(bare_number("b. 0052")) == "B52"
