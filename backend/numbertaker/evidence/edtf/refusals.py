"""Why a text is no EDTF date, and what to write instead.

The 2012 draft of EDTF is still in many files; its spellings are named and the spelling of 2019 is offered.
An offer is made only if it parses.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from numbertaker.evidence.errors import BadDate

_DRAFT: Final = "that is the spelling of the 2012 draft"

# What gives a spelling away, why it is refused, and how it becomes the spelling of 2019.
_SPELLINGS: Final[tuple[tuple[re.Pattern[str], str, Callable[[str], str]], ...]] = (
    (
        re.compile(r"\s"),
        "it has a space in it",
        lambda text: re.sub(r"\s+", "", text),
    ),
    (
        re.compile(r"\d{6}(?:\d\d)?"),
        "the basic format without hyphens is not EDTF",
        lambda text: "-".join(part for part in (text[:4], text[4:6], text[6:]) if part),
    ),
    (
        re.compile(r"\d{1,2}[/.-]\d{1,2}[/.-]\d{4}"),
        "the year comes first, then the month, then the day",
        lambda text: "-".join(part.zfill(2) for part in reversed(re.split(r"[/.-]", text))),
    ),
    (
        re.compile(r".*(?:unknown|open).*"),
        f"{_DRAFT}; an unknown end is left empty and an open one is '..'",
        lambda text: text.replace("unknown", "").replace("open", ".."),
    ),
    (
        re.compile(r".*\([^()]*\)[?~%].*"),
        f"{_DRAFT}; a qualifier on the left of a component now does what parentheses did",
        lambda text: re.sub(r"\(([^()]*)\)([?~%])", r"\2\1", text),
    ),
    (
        re.compile(r".*(?:\?~|~\?).*"),
        f"{_DRAFT}; uncertain and approximate together are now '%'",
        lambda text: text.replace("?~", "%").replace("~?", "%"),
    ),
    (
        re.compile(r"y-?\d+(?:e\d+)?(?:p\d+)?"),
        f"{_DRAFT}; the letters are now Y, E and S",
        lambda text: text.replace("y", "Y").replace("e", "E").replace("p", "S"),
    ),
    (
        re.compile(r"[\d-]*[ux][\dux-]*(?:/.*)?"),
        f"{_DRAFT}; an unspecified digit is now a capital X",
        lambda text: text.replace("u", "X").replace("x", "X"),
    ),
    (
        re.compile(r"Y-?0*\d{1,4}"),
        "Y is for years of more than four digits",
        lambda text: re.sub(r"Y(-?)0*(\d+)", lambda m: m[1] + m[2].zfill(4), text),
    ),
    (
        re.compile(r"\d{4}-\d(?:-\d{1,2})?|\d{4}-\d{2}-\d"),
        "month and day have two digits",
        lambda text: "-".join(part.zfill(2) for part in text.split("-")),
    ),
    (
        re.compile(r".*/.*T.*|.*T.*/.*"),
        "the ends of an interval have no time of day",
        lambda text: re.sub(r"T[^/]*", "", text),
    ),
)
_ELSEWHERE: Final[tuple[tuple[re.Pattern[str], str], ...]] = (
    (re.compile(r"\d{4}-?W\d\d.*"), "week dates are not part of EDTF"),
    (re.compile(r"\d{4}-\d{3}"), "day-of-year dates are not part of EDTF"),
    (re.compile(r"P\d.*"), "durations are not part of EDTF"),
    (re.compile(r"\[.*/.*\]|\{.*/.*\}"), "inside a set a run of dates is written with '..', not with '/'"),
)


def refusal(text: str, reason: str, parses: Callable[[str], bool]) -> BadDate:
    """The error for a text that did not parse for this reason; `parses` says whether an offer would."""
    if not text.strip():
        return BadDate(text, "expected an EDTF text such as 1911-04", offer=None)
    for pattern, why, mend in _SPELLINGS:
        if not (pattern.search(text) if pattern.pattern == r"\s" else pattern.fullmatch(text)):
            continue
        offer = mend(text)
        if parses(offer):
            return BadDate(text, why, offer=offer)
    for pattern, why in _ELSEWHERE:
        if pattern.fullmatch(text):
            return BadDate(text, why)
    return BadDate(text, reason)
