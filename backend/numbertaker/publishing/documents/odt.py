"""What pandoc leaves out of OpenDocument: the words that say what a picture shows, and the rules of tables.

Pandoc gives a picture's words as its title at best; OpenDocument 1.3 (part 3, 19.10) has `svg:desc` for those
who can't see it. The file is written anew with a fixed day, so that it stays the same each time.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from html import escape
from typing import Final

from numbertaker.publishing.plain import plain

_DAY: Final = (1980, 1, 1, 0, 0, 0)
_CELL: Final = re.compile(r'(<style:style style:name="TableRowCell".*?)fo:border="none"', re.DOTALL)
_HEAD: Final = re.compile(r'(<style:style style:name="TableHeaderRowCell".*?)fo:border="none"', re.DOTALL)
_HAIR: Final = "#8b857a"
_FRAME: Final = re.compile(r"(<draw:image\b[^>]*?/>)\s*</draw:frame>")


def with_descriptions(odt: bytes, words: Sequence[str]) -> bytes:
    """The file with what each picture shows, in the order of the pictures."""
    with zipfile.ZipFile(io.BytesIO(odt)) as made:
        parts = [(name, made.read(name)) for name in made.namelist()]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as zipped:
        for name, data in parts:
            kept = _described(data, words) if name == "content.xml" else data
            info = zipfile.ZipInfo(name, _DAY)
            info.compress_type = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            zipped.writestr(info, kept)
    return out.getvalue()


def _described(content: bytes, words: Sequence[str]) -> bytes:
    said = iter(words)

    def described(match: re.Match[str]) -> str:
        return f"{match[1]}<svg:desc>{escape(plain(next(said, '')))}</svg:desc></draw:frame>"

    text = _FRAME.sub(described, content.decode("utf-8"))
    text = _CELL.sub(rf'\1fo:padding="0.7mm" fo:border-bottom="0.25pt solid {_HAIR}"', text, count=1)
    both = (
        rf'\1fo:padding="0.7mm" fo:border-top="0.75pt solid {_HAIR}" fo:border-bottom="0.75pt solid {_HAIR}"'
    )
    return _HEAD.sub(both, text, count=1).encode("utf-8")
