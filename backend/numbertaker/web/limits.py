"""How much the server takes and keeps in memory, each limit by its name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Limits:
    """Bytes of an upload and of any other request, files of an upload, and what is kept of drawn scans.

    `drawn_bytes` bounds the encoded pictures that are kept, `decoded_bytes` the decoded pages behind them.
    """

    upload_bytes: int = 500_000_000
    request_bytes: int = 1_000_000
    upload_files: int = 2_000
    drawn_bytes: int = 8_000_000
    decoded_bytes: int = 40_000_000


LIMITS: Final = Limits()
