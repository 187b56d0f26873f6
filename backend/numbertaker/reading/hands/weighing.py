"""The readings of a cell weighed anew by what is known of the hand that wrote it.

A text is held against what was seen, sign by sign (`Hand.shift`): a text that this hand's known slips would
turn into what was seen gains. Beside the readings of the recogniser, texts are tried that one known slip or
one known word makes of what was seen, with the little probability of what no reader named.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import exp, log
from typing import Final

from rapidfuzz.distance import Levenshtein

from numbertaker.reading.fields import fits, kind_of
from numbertaker.reading.hands.aligning import aligned
from numbertaker.reading.hands.learning import SPELT
from numbertaker.reading.hands.values import Confusion, Hand
from numbertaker.reading.meaning.values import Proposal, surely
from numbertaker.reading.values import CellReading

UNNAMED: Final = 5e-4
"""The probability of a given text one slip from what was seen, that no reader named."""
FURTHEST: Final = 4.6
"""So far at most the known slips of a hand move the weight of one text, as a natural log."""
GAIN: Final = 1.5
"""A text is proposed that is likelier than what was seen by so much, as a natural log."""
MOST: Final = 8
NEW: Final = 0.03
"""However often a clerk's words come again, so many of them are new."""


@dataclass(frozen=True, slots=True)
class _Weighed:
    """A text that may stand in a cell: its weight as a natural log, how far that was moved, and why."""

    text: str
    weight: float
    moved: float
    why: str = ""


def reweighed(cell: CellReading, field: str, hand: Hand) -> CellReading:
    """The cell with the probabilities of its readings weighed anew; its text is what it was.

    The whole of its probabilities stays: what the text loses, its alternatives gain.
    """
    texts = _weighed(cell, field, hand)
    if not any(t.moved for t in texts):
        return cell
    before = cell.confidence + sum(p for _, p in cell.alternatives)
    top = max(t.weight for t in texts)
    shares = {t.text: exp(t.weight - top) for t in texts}
    whole = sum(shares.values())
    seen = min(1.0, before) * shares[cell.text] / whole
    others = sorted(
        ((text, min(1.0, before) * share / whole) for text, share in shares.items() if text != cell.text),
        key=lambda other: (-other[1], other[0]),
    )
    return replace(cell, confidence=seen, alternatives=tuple(others[:MOST]))


def propose_by_hand(cell: CellReading, field: str, hand: Hand) -> Proposal | None:
    """The text that the hand makes clearly likelier than what was seen, with its reason; else None."""
    texts = _weighed(cell, field, hand)
    seen = next((t for t in texts if t.text == cell.text), None)
    best = max(texts, key=lambda t: (t.weight, t.text), default=None)
    if seen is None or best is None or best.text == cell.text or not best.why:
        return None
    rivals = [t.weight for t in texts if t.text != best.text]
    gain = best.weight - log(sum(exp(weight) for weight in rivals))
    return Proposal(best.text, surely(gain), best.why) if gain >= GAIN else None


def _weighed(cell: CellReading, field: str, hand: Hand) -> list[_Weighed]:
    """What was seen and every other text that may stand there; nothing for a cell that is no text."""
    if cell.mark or not cell.text.strip() or not hand.corrected:
        return []
    base = {text: log(max(p, UNNAMED)) for text, p in cell.alternatives if text.strip()}
    for text in _one_slip_away(cell.text, field, hand):
        base.setdefault(text, log(UNNAMED))
    words = dict(_other_words(cell.text, field, hand))
    for text in words:
        base.setdefault(text, log(UNNAMED))
    base[cell.text] = log(min(0.9999, max(cell.confidence, UNNAMED)))
    own = _shift(cell.text, cell.text, hand)[0]
    found = []
    for text, weight in base.items():
        by_signs, confusion = _shift(text, cell.text, hand)
        by_words, because = words.get(text, (0.0, ""))
        moved = max(-FURTHEST, min(FURTHEST, by_signs - own)) + by_words
        why = because or (confusion.says() if confusion and by_signs > own else "")
        found.append(_Weighed(text, weight + moved, moved, why))
    return found


def _shift(text: str, seen: str, hand: Hand) -> tuple[float, Confusion | None]:
    """How much likelier than any other this hand would be read so, and the confusion that says most."""
    whole, most, chief = 0.0, 0.0, None
    for sign, read in aligned(text, seen):
        shift = hand.shift(sign, read)
        whole += shift
        if sign != read and shift > most:
            most, chief = shift, hand.confusion(sign, read)
    return whole, chief


def _one_slip_away(seen: str, field: str, hand: Hand) -> Iterator[str]:
    """What stands there if one sign of what was seen is a known slip of this hand."""
    kind = kind_of(field)
    fit = fits(seen, kind)
    for confusion in hand.confusions:
        for at, sign in enumerate(seen):
            if confusion.read == sign:
                text = seen[:at] + confusion.sign + seen[at + 1 :]
                if text.strip() and fits(text, kind) >= fit:
                    yield text


def _other_words(seen: str, field: str, hand: Hand) -> Iterator[tuple[str, tuple[float, str]]]:
    """Texts in which one word gives way to one of this clerk's, with what speaks for it."""
    sort = kind_of(field)
    if sort not in SPELT or sort not in hand.new:
        return
    words = seen.split()
    for at, word in enumerate(words):
        for other, weight, why in _for_word(word, sort, hand):
            yield " ".join((*words[:at], other, *words[at + 1 :])), (weight, why)


def _for_word(word: str, sort: str, hand: Hand) -> Iterator[tuple[str, float, str]]:
    """Words of this clerk that a word as read may be, each with its weight and why.

    A word that stands in a cell looked over is the clerk's own, and is left alone.
    """
    if hand.words.get((sort, word)):
        return
    mended = hand.mended.get((sort, word), {})
    new = max(hand.new[sort], NEW)
    for (other_sort, other), cells in hand.words.items():
        if other_sort != sort or other == word:
            continue
        if other in mended:
            weight = log((mended[other] + 0.5) / new) - log(UNNAMED)
            yield (
                other,
                weight,
                f"'{word}' was corrected to '{other}' in {_cells(mended[other])} of this source",
            )
        elif _near(word, other):
            why = f"'{other}' stands in {_cells(cells)} looked over in this source, and '{word}' in none"
            yield other, log(cells / new), why


def _near(word: str, other: str) -> bool:
    """Whether two words differ so little for their length that one may be the other misread."""
    most = 1 if min(len(word), len(other)) < 8 else 2
    return min(len(word), len(other)) >= 4 and Levenshtein.distance(word, other, score_cutoff=most) <= most


def _cells(count: int) -> str:
    return "one cell" if count == 1 else f"{count} cells"
