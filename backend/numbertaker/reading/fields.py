"""What each field of a register line may look like, and how that weighs between a recogniser's readings.

The grammar never invents a text: it only chooses among what the recogniser saw. A reading that fits its field
is held to be `FITS` times likelier than one that doesn't, all else being equal.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from numbertaker.reading.recognisers import Kind, Reading

KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {
        "heading": "number", "engine": "number", "component": "number", "fitted": "date", "removed": "date",
        "miles": "figure", "total_miles": "figure", "place": "name", "engine_name": "name",
        "heading_name": "name",
    }
)  # fmt: skip
"""The kind of each field; every other is words."""
FITS: Final = 40.0

_MONTH = r"(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]{0,6}\.?"
_YEAR = r"(?:1[89]\d\d|\d\d)"
_DAY = r"(?:[0-3]?\d)"
_NUMERIC = rf"(?:{_DAY}[./-])?(?:0?[1-9]|1[0-2])[./-]{_YEAR}"
_WORDED = rf"(?:{_DAY}(?:st|nd|rd|th)?\s?)?{_MONTH}\s?,?\s?'?{_YEAR}"
_BEFORE = r"(?:w/e\.?\s?|c\.?\s?|ca\.?\s?|circa\s|before\s|after\s|by\s|New\s)?"
PATTERNS: Final[Mapping[Kind, re.Pattern[str]]] = MappingProxyType(
    {
        "number": re.compile(r"[A-Z]{0,2}\d{1,5}[A-Za-z]?|\d{1,2}/\d{1,4}"),
        "date": re.compile(rf"{_BEFORE}(?:{_NUMERIC}|{_WORDED}|1[89]\d\d)(?:\s?[-/]\s?\d\d(?:\d\d)?)?\??"),
        "figure": re.compile(r"\d{1,3}(?:[, .]\d{3})+|\d{1,6}"),
        "name": re.compile(r"(?:[A-Z][A-Za-z'.&-]*\s?)+(?:of|the|and|[A-Z][A-Za-z'.&-]*|\s)*"),
        "words": re.compile(
            r"(?:[A-Z][A-Za-z'-]*|[a-z'-]+|[\d,./½¼]+|[\d]+(?:st|nd|rd|th|in|lb|cwt)?|No|[^\w\s]|\s)+[.,;:]?"
        ),
    }
)
_GROUPED: Final = re.compile(r"\d{1,3}(?:, ?\d{3})+")
_TIDY: Final = ((re.compile(r"\s+([,.;:])"), r"\1"), (re.compile(r"\s{2,}"), " "))


def kind_of(field: str) -> Kind:
    """What a field holds."""
    return KINDS.get(field, "words")


def tidy(text: str, kind: Kind) -> str:
    """Undo what spacing alone does: no blank before a comma, none within a date or figure that needs none."""
    for pattern, instead in _TIDY:
        text = pattern.sub(instead, text)
    if kind == "figure" and re.fullmatch(r"[\d, ]+", text):
        text = re.sub(r"\s*,\s*", ",", text)
    if kind == "date" and re.fullmatch(r"[\d./ -]+", text):
        text = re.sub(r"\s*([./-])\s*", r"\1", text)
    return text.strip()


_FIGURES: Final = str.maketrans("lIiOoSBZz|", "1110058221")


def as_figures(text: str, kind: Kind) -> str:
    """The text with letters that worn figures are read as turned back, and a stray stop at its end left out.

    Only where every sign but those is a figure or a point: 'll.11.25' becomes '11.11.25', 'w/e' stays.
    """
    if kind not in ("number", "date", "figure") or not re.search(r"\d", text):
        return text
    head, tail = (text[:4], text[4:]) if text.lower().startswith("w/e ") else ("", text)
    if kind == "figure" and re.fullmatch(r"\d{1,3}(?:\.\d{3})+", text):
        return text.replace(".", ",")  # a worn comma has lost its tail: miles are written in thousands
    return (
        head + tail.translate(_FIGURES).rstrip(".,") if re.fullmatch(r"[\dlIiOoSBZz|.,/ -]+", tail) else text
    )


def fits(text: str, kind: Kind) -> float:
    """1 where a text fits its kind, 0 where not; a figure written with its comma fits a little better."""
    if not PATTERNS[kind].fullmatch(text):
        return 0.0
    if kind == "figure" and len(text) > 4 and not _GROUPED.fullmatch(text):
        return 0.4 if "." in text else 0.7
    return 1.0


def weigh(reading: Reading, kind: Kind) -> Reading:
    """The same reading with its alternatives weighed by what the field may hold."""
    seen: dict[str, float] = {}
    for text, p in ((reading.text, reading.confidence), *reading.alternatives):
        clean = tidy(text, kind)
        seen[clean] = seen.get(clean, 0.0) + p
        figures = as_figures(clean, kind)
        if figures != clean:
            seen[figures] = seen.get(figures, 0.0) + 0.3 * p
    whole = sum(seen.values())
    if whole <= 0:
        ranked = sorted(seen.items(), key=lambda item: -item[1])
        return _ranked(ranked, reading)
    weighed = {text: p * FITS ** fits(text, kind) for text, p in seen.items() if text}
    if not weighed:
        return Reading("", reading.confidence)
    total = sum(weighed.values())
    ranked = sorted(((t, w / total * min(1.0, whole)) for t, w in weighed.items()), key=lambda item: -item[1])
    return _ranked(ranked, reading)


def _ranked(ranked: list[tuple[str, float]], seen: Reading) -> Reading:
    """The first of ranked texts as the text; where signs stand is known only of the text that was seen."""
    text, p = ranked[0]
    return Reading(text, p, tuple(ranked[1:]), seen.places if text == seen.text else ())
