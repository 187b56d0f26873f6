"""What the fonts of the PDF can show; a character that none of them has is named by its code point.

A PDF that left such a character out would say something else than the source does, and PDF/UA-1 forbids it.
The ranges in `coverage.txt` are the compiler's own answer (`scripts/make_coverage`).
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).parent
FONTS: Final = HERE / "fonts"


def showable(text: str) -> str:
    """The text with every character that no font has given by its code point.

    >>> showable("boiler \\u4e2d")
    'boiler [U+4E2D]'
    """
    return _unshown().sub(lambda match: f"[U+{ord(match[0]):04X}]", text)


@cache
def _unshown() -> re.Pattern[str]:
    lines = (HERE / "coverage.txt").read_text(encoding="ascii").split()
    ranges = (line.split("-") for line in lines)
    shown = "".join(f"\\U{int(first, 16):08x}-\\U{int(last, 16):08x}" for first, last in ranges)
    return re.compile(f"[^\\n\\t{shown}]")
