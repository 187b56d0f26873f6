"""What the printed words over a table's columns, and over the card, mean.

The list is of headings seen on register forms of the trade (common practice, no source). It can be
extended by whoever calls: a mapping of field to further wordings. Words are compared by rapidfuzz, so
that a worn 'REM0VED' is still understood.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from rapidfuzz import fuzz

WORDINGS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "engine": (
            "engine", "engine no", "engine number", "eng no", "no of engine", "loco", "loco no", "locomotive",
            "locomotive no", "on engine", "fitted to engine", "to engine", "carried by", "engine fitted",
        ),
        "engine_name": ("engine name", "name of engine", "name"),
        "component": (
            "boiler", "boiler no", "boiler number", "no of boiler", "boiler fitted", "tender", "tender no",
            "tender number", "tender attached", "wheelset", "wheelset no",
        ),
        "fitted": (
            "fitted", "date fitted", "fitted on", "put on", "put in", "date on", "date in", "from", "in",
            "on", "date put on", "attached", "date attached", "coupled", "date", "date coupled",
        ),
        "removed": (
            "removed", "date removed", "removed on", "taken off", "taken out", "date off", "date out", "to",
            "out", "off", "date taken off", "detached", "date detached", "uncoupled",
        ),
        "miles": (
            "miles", "mileage", "miles run", "mileage run", "run", "miles in engine", "miles on engine",
            "mls",            "miles since fitted", "mileage on engine",
        ),
        "total_miles": (
            "total miles", "total mileage", "miles to date", "mileage to date", "total", "total to date",
            "aggregate miles", "accumulated miles", "running total", "total run", "cumulative miles",
            "tot miles", "progressive total", "total miles to date",
        ),
        "place": (
            "works", "shop", "shops", "place", "at", "where fitted", "works or shed", "where", "shed",
            "depot",
        ),
        "remarks": (
            "remarks", "remark", "notes", "note", "observations", "particulars", "cause of removal", "cause",
            "reason", "reason for removal", "repairs", "work done", "condition",
        ),
    }
)  # fmt: skip
VOCABULARY: Final = frozenset(
    word for wordings in WORDINGS.values() for wording in wordings for word in wording.split()
) | {"date", "no", "number", "class", "type", "pressure", "press", "built"}
"""Words that stand in the headers of register forms."""
SUBJECTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "boiler": "component", "tender": "component", "wheelset": "component", "component": "component",
        "engine": "engine", "locomotive": "engine", "loco": "engine",
    }
)  # fmt: skip
LABELS: Final = (
    "class", "type", "built", "maker", "builder", "card", "sheet", "diagram", "pressure", "page", "condemned",
    "withdrawn", "works no", "order", "name", "date built",
)  # fmt: skip
"""Words at the head of a card that announce what follows them."""
ALIKE: Final = 0.74
"""Two wordings that match this well are held to be one."""


@dataclass(frozen=True, slots=True)
class Match:
    """The field that a wording means ('' for none) and how well it matches, 0 to 1."""

    field: str
    score: float


NO_MATCH: Final = Match("", 0.0)


def plain(text: str) -> str:
    """Lower case, letters only, figures that worn letters are read as turned back."""
    lowered = text.lower().replace("0", "o").replace("1", "i").replace("5", "s").replace("|", "i")
    return " ".join(re.sub(r"[^a-z]+", " ", lowered).split())


def match_heading(text: str, further: Mapping[str, Sequence[str]] | None = None) -> Match:
    """The field that a column's printed words mean."""
    more = tuple(sorted((field, tuple(words)) for field, words in (further or {}).items()))
    return _match(plain(text), more)


@lru_cache(maxsize=4096)
def _match(words: str, further: tuple[tuple[str, tuple[str, ...]], ...]) -> Match:
    if len(words) < 2:
        return NO_MATCH
    best = NO_MATCH
    for field, wordings in (*WORDINGS.items(), *further):
        for wording in wordings:
            # a small l and a capital I are one stroke: 'Mls.' is read as 'MIs.'
            score = fuzz.ratio(words.replace("l", "i"), wording.lower().replace("l", "i")) / 100
            # of a short word no letter may be wrong
            if score > best.score and (score == 1 or (score >= ALIKE and min(len(words), len(wording)) > 3)):
                best = Match(field, score)
    return best if best.field else _by_subject(words)


BY_SUBJECT, MOST_AFTER = 0.9, 2
"""How well a title matches that begins with what the column counts, and how many words may follow: 'Boiler
put in'.
"""


def _by_subject(words: str) -> Match:
    """What a longer title means by its first word, if none of the others names something else."""
    first, *others = words.split()
    field = SUBJECTS.get(first, "")
    if not field or not 0 < len(others) <= MOST_AFTER:
        return NO_MATCH
    elsewhere = {w for f, wordings in WORDINGS.items() if f != field for w in wordings if len(w) > 3}
    strange = any(fuzz.ratio(one, w) >= 80 for one in elsewhere for w in others)
    return NO_MATCH if strange else Match(field, BY_SUBJECT)


@lru_cache(maxsize=4096)
def is_vocabulary(text: str) -> bool:
    """Whether most of a text's words are such as stand over columns, whatever they mean together."""
    words = [w for w in plain(text).split() if len(w) > 1]
    known = sum(any(fuzz.ratio(word, one) >= 80 for one in VOCABULARY) for word in words)
    return bool(words) and known >= 0.6 * len(words)


@dataclass(frozen=True, slots=True)
class HeadingLine:
    """Whose card it is: the side, and which words (by their place) are what: `heading`, `heading_name`,
    'class', …
    """

    side: str
    parts: tuple[tuple[str, tuple[int, ...]], ...]


def subject_of(word: str) -> str:
    """The side that a word such as 'BOILER' stands for; '' for other words."""
    for part in plain(word).split()[:2]:
        for subject, side in SUBJECTS.items():
            if fuzz.ratio(part, subject) >= 80:
                return side
    return ""


def label_of(word: str) -> str:
    """The label that a word is; '' for other words."""
    words = plain(word)
    best = max(LABELS, key=lambda label: fuzz.ratio(words, label))
    return best if fuzz.ratio(words, best) >= 80 and not any(c.isdigit() for c in word) else ""


NUMBER: Final = re.compile(r"[A-Za-z]{0,2}\.?\d[\dA-Za-z]{0,6}")


def read_heading(words: Sequence[str]) -> HeadingLine | None:
    """Find 'BOILER No. 52' or 'ENGINE No. 208  LADY OSTREY' in the words of one line, left to right.

    >>> read_heading(["ENGINE", "No.", "208", "CLASS", "K", "NAME", "Corvane"]).parts
    (('heading', (2,)), ('class', (4,)), ('heading_name', (6,)))
    """
    for i, word in enumerate(words):
        side = subject_of(word)
        if not side:
            continue
        for j in range(i, min(i + 4, len(words))):
            digits = re.sub(r"^.*?[Nn][°oO0]?[.,:]?\s*(?=\d)", "", words[j]) if j == i else words[j]
            # a worn 'No.' may have come apart into 'N' and '0.'
            if any(c in "123456789" for c in digits) and NUMBER.fullmatch(digits.strip(" .,:-_")):
                return HeadingLine(side, (("heading", (j,)), *_rest(words, j + 1)))
    return None


def _rest(words: Sequence[str], start: int) -> list[tuple[str, tuple[int, ...]]]:
    """What follows the number: what each label announces; unlabelled words without figures are a name."""
    parts: list[tuple[str, list[int]]] = [("heading_name", [])]
    for k in range(start, len(words)):
        label = label_of(words[k])
        if label:
            parts.append(("heading_name" if label == "name" else label, []))
        elif parts[-1][0] != "heading_name" or (
            len(plain(words[k])) >= 2 and not any(c.isdigit() for c in words[k])
        ):
            parts[-1][1].append(k)
    return [(label, tuple(places)) for label, places in parts if places]
