"""Text that is safe in XML and HTML. What XML 1.0 can't hold (section 2.2) becomes U+FFFD."""

from __future__ import annotations

import re
from typing import Final
from xml.sax.saxutils import escape

_NO_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# A parser makes blanks of these in an attribute and line feeds of CR anywhere, unless they are references.
_BLANKS: Final = {"\t": "&#9;", "\n": "&#10;", "\r": "&#13;"}


def shown(text: str) -> str:
    """The text with every character that XML can't hold replaced by U+FFFD."""
    return _NO_XML.sub("\ufffd", text)


def content(text: str) -> str:
    """The text between two tags."""
    return escape(shown(text), {"\r": "&#13;"})


def attribute(text: str) -> str:
    """The text as an attribute with its quotation marks."""
    return '"' + escape(shown(text), {'"': "&quot;", **_BLANKS}) + '"'
