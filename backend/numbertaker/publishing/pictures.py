"""Pictures that a document shows: slips of scans and drawings, as bytes with their size."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as bytes: JPEG or PNG, its width and height in pixels."""

    data: bytes
    media_type: str
    width: int
    height: int

    @property
    def uri(self) -> str:
        """The picture as an address that holds it, for a page that asks for nothing."""
        return f"data:{self.media_type};base64,{base64.b64encode(self.data).decode('ascii')}"

    @property
    def ending(self) -> str:
        """The ending of a file that holds it."""
        return "png" if self.media_type == "image/png" else "jpg"


Slips: TypeAlias = Callable[[str], Picture | None]
"""From the id of a line to its slip of the scan; None where there is none."""
