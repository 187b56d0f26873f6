"""What a text that can't be read as a date may have meant: offers for a person, never followed unasked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from numbertaker.evidence.clerkdates.atoms import FIRST_PLAUSIBLE_YEAR, LAST_PLAUSIBLE_YEAR, MONTHS
from numbertaker.evidence.edtf import parse_edtf

if TYPE_CHECKING:
    from dateparser.date import DateDataParser

# Letters that recognisers and typists give for digits; the pairs of standards on human-facing codes
# (Crockford's Base 32 reads O as 0, I and L as 1) and of proofreaders' lists.
_LOOKALIKES: Final = str.maketrans(
    {"o": "0", "l": "1", "i": "1", "|": "1", "!": "1", "z": "2", "s": "5", "b": "8"}
)
# A fixed day stands for 'today', so that nothing depends on the clock; what it fills in is dropped anyway.
_SETTINGS: Final = {"DATE_ORDER": "DMY", "RELATIVE_BASE": datetime(2000, 1, 1)}  # noqa: DTZ001 - a day has no zone
_LETTERS: Final = str.maketrans("01258", "olzsb")
_TOKEN: Final = re.compile(r"[^\s./,-]+")
_WITH_DIGIT: Final = re.compile(r"[\dolizsb|!]*\d[\dolizsb|!]*")
_DAY_MONTH_YEAR: Final = re.compile(r"(.*?)(\d{1,2})([./ -])(\d{1,2})([./ -])(\d{4}|\d{2})", re.ASCII)
_YEAR_IN_FULL: Final = re.compile(r"(?<!\d)\d{4}(?!\d)", re.ASCII)


def mendings(text: str) -> Iterator[tuple[str, str]]:
    """Ways to mend squeezed text, each with the reason as the end of a sentence."""
    with_digits = _TOKEN.sub(lambda match: _digits_for_letters(match[0]), text)
    if with_digits != text:
        yield with_digits, f"letters may stand for digits: '{with_digits}'"
    with_letters = _TOKEN.sub(lambda match: _letters_for_digits(match[0]), text)
    if with_letters != text:
        yield with_letters, f"digits may stand for letters: '{with_letters}'"
    match = _DAY_MONTH_YEAR.fullmatch(with_digits)
    if match is None:
        return
    before, day, sep, month, again, year = match.groups()
    if 1 <= int(month) <= 12:
        yield f"{month}.{year}", "the month may be right and the day wrong"
    elif 1 <= int(day) <= 12:
        yield f"{before}{month}{sep}{day}{again}{year}", "the month may stand before the day"
    yield year, "the year may be right and the rest wrong"


def _digits_for_letters(token: str) -> str:
    return token.translate(_LOOKALIKES) if _WITH_DIGIT.fullmatch(token) or token in ("o", "l") else token


def _letters_for_digits(token: str) -> str:
    """The token as the name of a month, where that is what it then is."""
    named = token.translate(_LETTERS)
    return named if named in MONTHS else token


@lru_cache(maxsize=1)
def _parser() -> DateDataParser:
    # Imported here because it takes long, and most of the program never asks.
    from dateparser.date import DateDataParser

    return DateDataParser(languages=["en"], settings=_SETTINGS)


def suggest_date(text: str) -> str | None:
    """What a general-purpose date reader makes of a text, as EDTF with only the parts that are written.

    It is offered for free text that the register grammar does not know, in English, day before month. The
    reader fills missing parts from today and guesses centuries; so a part that it does not report as written
    is dropped, and without a year in four digits there is no suggestion at all.
    """
    years = {
        year
        for year in _YEAR_IN_FULL.findall(text)
        if FIRST_PLAUSIBLE_YEAR <= int(year) <= LAST_PLAUSIBLE_YEAR
    }
    data = _parser().get_date_data(text)
    if data.date_obj is None or f"{data.date_obj.year:04d}" not in years:
        return None
    parts = set(data.parts or ())
    day = data.date_obj.date().isoformat()
    for wanted, length in (({"year", "month", "day"}, 10), ({"year", "month"}, 7), ({"year"}, 4)):
        if wanted <= parts:
            return parse_edtf(day[:length]).text
    return None
