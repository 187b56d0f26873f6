"""The sources of an archive for other people's bibliographies: CSL-JSON, BibTeX and RIS.

Each writer takes the sources in the order of their table and gives a text; the same sources give the same
text. What a format can't hold is said in its module, and is in `custom` of the CSL-JSON.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final, Literal, TypeAlias

from numbertaker.evidence.records import Source
from numbertaker.publishing.bibliography.bibtex import bibtex
from numbertaker.publishing.bibliography.csl import csl_json
from numbertaker.publishing.bibliography.ris import ris

Style: TypeAlias = Literal["csl", "bibtex", "ris"]
WRITERS: Final[Mapping[Style, Callable[[Iterable[Source]], str]]] = {
    "csl": csl_json,
    "bibtex": bibtex,
    "ris": ris,
}
ENDINGS: Final[Mapping[Style, str]] = {"csl": ".csl.json", "bibtex": ".bib", "ris": ".ris"}

__all__ = ["ENDINGS", "WRITERS", "Style", "bibtex", "csl_json", "ris"]
