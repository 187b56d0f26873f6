"""What the server keeps of scans and names of files, within bounds."""

from __future__ import annotations

import pytest

from numbertaker.evidence.errors import BadInput
from numbertaker.usecases.look.drawing import Kept
from numbertaker.web.uploads import safe_name


def test_what_was_used_least_lately_goes_first() -> None:
    """Beyond the bound, things go in the order of their last use, and never more than is needed."""
    kept: Kept[str] = Kept(6, len)
    for name in ("one", "two"):
        kept.put(name, name)
    assert kept.get("one") == "one"
    kept.put("three", "six")
    assert (kept.get("one"), kept.get("two"), kept.get("three")) == ("one", None, "six")


def test_what_is_larger_than_the_bound_is_not_kept() -> None:
    """A huge page is drawn and let go, and what is kept stays."""
    kept: Kept[str] = Kept(6, len)
    kept.put("small", "ink")
    kept.put("huge", "more than six")
    assert (kept.get("small"), kept.get("huge")) == ("ink", None)


def test_the_same_thing_again_takes_no_more_room() -> None:
    """Putting a thing twice counts it once."""
    kept: Kept[str] = Kept(6, len)
    for _ in range(5):
        kept.put("one", "ink")
    kept.put("two", "pen")
    assert (kept.get("one"), kept.get("two")) == ("ink", "pen")


@pytest.mark.parametrize(
    ("told", "name"),
    [
        ("card 52.jpg", "card 52.jpg"),
        ("/etc/cards/card 52.jpg", "card 52.jpg"),
        ("C:\\cards\\card 52.jpg", "card 52.jpg"),
        ("..\\..\\card.jpg", "card.jpg"),
        ("a\0b\n.jpg", "a_b_.jpg"),
        ("Kessel-Ä.tif", "Kessel-Ä.tif"),
        ("c" * 400 + ".jpeg", "c" * 145 + ".jpeg"),
    ],
)
def test_a_file_s_name_is_its_last_part(told: str, name: str) -> None:
    """Browsers may give whole paths of any system; what no system allows in a name is replaced."""
    assert safe_name(told) == name


@pytest.mark.parametrize("told", ["", "..", "/", "..\\", " . "])
def test_a_file_without_a_name_is_refused(told: str) -> None:
    """A name of which nothing is left is bad input."""
    with pytest.raises(BadInput, match="names"):
        safe_name(told)
