"""Text that any format can hold: what has no visible form is made visible, and nothing else is touched.

A title or a cell may hold control characters, half of a surrogate pair, or a code point that Unicode
reserves. Neither HTML nor Markdown can carry these, so the C0 controls become their Unicode *control
pictures* (U+2400 and on, Unicode Standard, chapter 22.7) and the rest the replacement character.
"""

from __future__ import annotations

import re
from typing import Final

_PICTURES: Final = {n: 0x2400 + n for n in range(0x20) if n not in (0x09, 0x0A)} | {0x7F: 0x2421}
_UNHELD: Final = re.compile("[\x80-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
_PLANE_ENDS: Final = re.compile(
    "["
    + "".join(chr(plane * 0x10000 + 0xFFFE) + chr(plane * 0x10000 + 0xFFFF) for plane in range(1, 17))
    + "]"
)
DIRECTING: Final = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
"""Marks and overrides that steer the direction of writing: text with one has to be isolated."""


def plain(text: str) -> str:
    """The text as every format can hold it; a carriage return before a line feed goes, being one end of line.

    >>> plain("a\\x07b")
    'a␇b'
    """
    joined = text.replace("\r\n", "\n").translate(_PICTURES)
    return _PLANE_ENDS.sub("\ufffd", _UNHELD.sub("\ufffd", joined))
