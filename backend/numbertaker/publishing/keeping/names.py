"""The names that an archive's things have in linked data: URLs below one address, safe for any id."""

from __future__ import annotations

import base64
import re
from typing import Final
from urllib.parse import quote

from numbertaker.evidence.records import CellKey

_UTC: Final = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?)(?:Z|\+00:00)", re.ASCII)
_CREATIVE: Final = re.compile(r"CC-BY(?P<more>(?:-NC)?(?:-SA|-ND)?)-(?P<version>\d\.\d)", re.IGNORECASE)
_KNOWN: Final = {
    "CC0-1.0": "http://creativecommons.org/publicdomain/zero/1.0/",
    "PDM-1.0": "http://creativecommons.org/publicdomain/mark/1.0/",
}
_STATED: Final = re.compile(r"https?://(?:www\.)?((?:creativecommons|rightsstatements)\.org/[!-~]+)")


def segment(text: str) -> str:
    """An id as one part of a path; one of dots alone would be taken for 'here' or 'above'."""
    made = quote(text, safe="")
    return made if made.strip(".") else made.replace(".", "%2E")


def fragment_id(kind: str, text: str) -> str:
    """A thing as a fragment of the document that tells of it: `#line=S1-52-3`."""
    return f"#{kind}={quote(text, safe='')}"


def cell_id(kind: str, cell: CellKey) -> str:
    """The same of a cell; the slash between line and column is no part of either."""
    return f"#{kind}={quote(cell.line_id, safe='')}/{quote(cell.field, safe='')}"


def digest_name(sha256: str) -> str:
    """A file by its digest (RFC 6920, Naming Things with Hashes), which names the same file anywhere."""
    coded = base64.urlsafe_b64encode(bytes.fromhex(sha256)).decode("ascii").rstrip("=")
    return f"ni:///sha-256;{coded}"


def utc(at: str) -> str | None:
    """A time as linked data wants it, with a Z; None where it states no second in UTC."""
    match = _UTC.fullmatch(at)
    return f"{match[1]}Z" if match else None


def rights_address(rights: str) -> str | None:
    """The URL of a licence or a rights statement that is named by its SPDX identifier or given as a URL.

    IIIF Presentation 3.0 takes those of Creative Commons and RightsStatements.org alone. None for any other.
    """
    said = rights.strip()
    stated = _STATED.fullmatch(said)
    if stated is not None:
        return f"http://{stated[1]}"
    match = _CREATIVE.fullmatch(said)
    if match is not None:
        return f"http://creativecommons.org/licenses/by{match['more'].lower()}/{match['version']}/"
    return _KNOWN.get(said.upper())
