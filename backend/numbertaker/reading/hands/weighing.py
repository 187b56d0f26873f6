"""The readings of a cell weighed anew by what is known of the hand that wrote it.

A text is held against what was seen, sign by sign (`Hand.shift`): a text that this hand's known slips would
turn into what was seen gains. Beside the readings of the recogniser, texts are tried that known slips or one
known word make of what was seen: with the little probability of what no reader named, or as often as what was
read was truly that in the cells looked over, whichever is more.
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
from numbertaker.reading.hands.values import NEVER, Confusion, Hand
from numbertaker.reading.meaning.values import Proposal, surely
from numbertaker.reading.values import CellReading

UNNAMED: Final = 5e-4
"""The probability of a given text near what was seen, that no reader named."""
FURTHEST: Final = 4.6
"""So far at most the known slips of a hand move the weight of one text, as a natural log."""
GAIN: Final = 1.4
"""A text is proposed that is likelier than what was seen by so much, as a natural log."""
MOST: Final = 12
TRIED: Final = 24
"""So many texts are tried that known slips may have made into what was seen."""
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


def why_by_hand(cell: CellReading, field: str, text: str, hand: Hand) -> str:
    """What the hand says for a text in a cell, as a part of a sentence; '' where it says nothing for it."""
    return next((t.why for t in _weighed(cell, field, hand) if t.text == text and t.moved > 0), "")


def _weighed(cell: CellReading, field: str, hand: Hand) -> list[_Weighed]:
    """What was seen and every other text that may stand there; nothing for a cell that is no text."""
    if cell.mark or not cell.text.strip() or not _speaks(hand, cell.text, field):
        return []
    named = {text: log(max(p, UNNAMED)) for text, p in cell.alternatives if text.strip()}
    slips, words = _slips(cell.text, field, hand), dict(_other_words(cell.text, field, hand))
    seen, own = log(min(0.9999, max(cell.confidence, UNNAMED))), _shift(cell.text, cell.text, hand)[0]
    found = [_Weighed(cell.text, seen, 0.0)]
    for text in {**named, **slips, **words}:
        if text == cell.text:
            continue
        weight = named.get(text, log(UNNAMED))
        if _unspells(text, cell.text, field, hand):
            found.append(_Weighed(text, weight, 0.0))
            continue
        by_signs, confusion = _shift(text, cell.text, hand)
        by_words, because = words.get(text, (0.0, ""))
        moved = max(-FURTHEST, min(FURTHEST, by_signs - own)) + by_words
        moved = max(moved, seen + slips.get(text, NEVER) - weight)
        why = because or (confusion.says() if confusion and moved > 0 else "")
        found.append(_Weighed(text, weight + moved, moved, why))
    return found


def _speaks(hand: Hand, seen: str, field: str) -> bool:
    """Whether anything is known of the hand that could make another text of what was seen."""
    if any(confusion.read in seen for confusion in hand.confusions):
        return True
    sort = kind_of(field)
    return sort in SPELT and sort in hand.new and any(not hand.words.get((sort, w)) for w in seen.split())


def _shift(text: str, seen: str, hand: Hand) -> tuple[float, Confusion | None]:
    """How much likelier than any other this hand would be read so, and the confusion that says most."""
    whole, most, chief = 0.0, 0.0, None
    for sign, read in aligned(text, seen):
        shift = hand.shift(sign, read)
        whole += shift
        if sign != read and shift > most:
            most, chief = shift, hand.confusion(sign, read)
    return whole, chief


def _slips(seen: str, field: str, hand: Hand) -> dict[str, float]:
    """What stands there if signs of what was seen are known slips of this hand, with the natural log of the
    odds that it is so, as often as that was so elsewhere; the likeliest only."""
    kind = kind_of(field)
    fit = fits(seen, kind)
    found = {seen: 0.0}
    for at, sign in enumerate(seen):
        for confusion in hand.confusions:
            if confusion.read != sign or not confusion.sign:
                continue
            odds = hand.odds(confusion.sign, sign)
            more = {t[:at] + confusion.sign + t[at + 1 :]: weight + odds for t, weight in found.items()}
            found = dict(sorted({**more, **found}.items(), key=lambda kept: (-kept[1], kept[0]))[:TRIED])
    del found[seen]
    return {text: odds for text, odds in found.items() if fits(text, kind) >= fit}


def _unspells(text: str, seen: str, field: str, hand: Hand) -> bool:
    """Whether a word of this clerk's own would give way to one that he never wrote."""
    sort = kind_of(field)
    if sort not in SPELT:
        return False
    known = [bool(hand.words.get((sort, word))) for word in seen.split()]
    now = [bool(hand.words.get((sort, word))) for word in text.split()]
    return len(now) == len(known) and any(was and not is_ for was, is_ in zip(known, now, strict=True))


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
