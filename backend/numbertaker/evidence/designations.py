"""Numbers and names as written, without what clerks put around them.

'Boiler 3001', 'No. 3001', 'Engine No 0103' and '103' differ in nothing that tells one component from
another. What could (a letter before or after the digits, a stroke, a point) stays: 'A103' is not '103'.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from numbertaker.evidence.signs import is_dash, read_signs

# Words before a number that say what it is a number of, in any order; common practice, no source.
_LEAD_WORDS: Final = re.compile(
    r"(?:the\s+)?(?:(?:boiler|blr|engine|eng|loco(?:motive)?|tender|tdr|component|wheelset|no|nos|nr|number|num|№|#)"
    r"(?:[.:\s]+|(?=\d)|$)|[№#]\s*)",
    re.IGNORECASE,
)
_QUOTES: Final = re.compile(r"^[\"'“”‘’«»]+|[\"'“”‘’«»]+$")
_NUMBER_AND_NAME: Final = re.compile(
    r"(?P<number>[A-Za-z]{0,3}\s?\d[\dA-Za-z/.\-]*)[\s,;:(\"'“‘]+(?P<name>[^\W\d].*)"
)
_NUMBER: Final = re.compile(r"[A-Za-z]{0,3}[\s.\-]?\d[\dA-Za-z/.\-]*")
_STATES: Final = re.compile(
    r"(?P<stock>(?:in |to |works |general )?(?:stock|store|stored|spare|reserve|spare pool|pool))"
    r"|(?P<scrap>(?:to )?scrap(?:ped)?|broken up|cut up|condemned)"
    r"|(?P<new>new)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class WrittenNumber:
    """What a cell that should name something says.

    `number` is the bare number as compared (capitals, no leading zeros, no spaces), `name` the name as
    written without quotation marks; either may be empty. `state` is set where the cell says what became of
    the component ('stock', 'scrap', 'new') instead of naming an engine. A cell that names nothing has all
    three empty.
    """

    text: str
    number: str = ""
    name: str = ""
    state: str = ""
    uncertain: bool = False
    is_ditto: bool = False
    is_blank: bool = False
    illegible: bool = False

    @property
    def bare(self) -> str:
        """The number, else the name."""
        return self.number or self.name


@lru_cache(maxsize=65_536)
def read_number(text: str) -> WrittenNumber:
    """Read a number, a name, or a number followed by a name ('103 Mount Vartam'); never raises.

    >>> read_number("Boiler No. 0052").number
    '52'
    """
    signs = read_signs(text)
    if signs.ditto:
        return WrittenNumber(text, is_ditto=True, uncertain=signs.uncertain)
    if signs.blank or is_dash(signs.text):
        return WrittenNumber(text, is_blank=True)
    state = _STATES.fullmatch(signs.text.rstrip(" ."))
    if state is not None:
        return WrittenNumber(text, state=str(state.lastgroup), uncertain=signs.uncertain)
    number, name = _parts(signs.text)
    return WrittenNumber(text, number, name, uncertain=signs.uncertain, illegible=signs.illegible)


def _parts(text: str) -> tuple[str, str]:
    plain = _without_lead(text)
    if _NUMBER.fullmatch(plain):
        return bare_number(plain), ""
    both = _NUMBER_AND_NAME.fullmatch(plain)
    if both is not None:
        name = bare_name(both["name"])
        return bare_number(both["number"]), "" if _LEAD_WORDS.fullmatch(name) else name
    return "", bare_name(plain or text)


def _without_lead(text: str) -> str:
    plain = _QUOTES.sub("", re.sub(r"\s+", " ", text).strip(" .,;:"))
    while (match := _LEAD_WORDS.match(plain)) is not None and match.end() < len(plain):
        plain = plain[match.end() :].lstrip(" .,:")
    return plain


def bare_number(text: str) -> str:
    """A number as compared: capitals, nothing between letters and digits, no leading zeros.

    >>> bare_number("b. 0052")
    'B52'
    """
    plain = re.sub(r"\s+", "", text).upper().strip(".,;:-")
    return re.sub(r"^([A-Z]*)[.-]?0*(?=\d)", r"\1", plain)


def bare_name(text: str) -> str:
    """A name without quotation marks and brackets around it, its spaces single; its spelling stays."""
    return _QUOTES.sub("", re.sub(r"\s+", " ", text).strip(" .,;:()"))
