"""From a written date to what it says."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from typing import Final

from numbertaker.evidence.clerkdates.atoms import (
    FIRST_PLAUSIBLE_YEAR,
    LAST_PLAUSIBLE_YEAR,
    NotUnderstoodError,
    read_atom,
)
from numbertaker.evidence.clerkdates.phrases import Alternative, Member, Phrase, read_phrase
from numbertaker.evidence.clerkdates.suggestions import mendings
from numbertaker.evidence.clerkdates.values import Era, OtherReading, WrittenDate
from numbertaker.evidence.days import Span, merged, year_span
from numbertaker.evidence.edtf import Edtf, one_day, parse_edtf, span_edtf, widened
from numbertaker.evidence.errors import BadDate
from numbertaker.evidence.signs import Signs, is_dash, read_signs

_EDTF_LIKE: Final = re.compile(r"[\[{?~%./]*-?(?:Y|[\dX]{4})[-\dXYES?~%./,\[\]{}T:Z+]*", re.ASCII)
_DAY_LOST: Final = re.compile(r"\s*\[\s*illegible\s*\](?:st|nd|rd|th)?[\s./,-]*(?=\S)", re.IGNORECASE)
_PLAUSIBLE: Final = Span(year_span(FIRST_PLAUSIBLE_YEAR).first, year_span(LAST_PLAUSIBLE_YEAR).last)
_YEAR_MONTH_OR_YEARS: Final = re.compile(r"(\d{2})(\d{2})-(\d{2})", re.ASCII)

_QUALIFIERS: Final = {(False, False): "", (True, False): "~", (False, True): "?", (True, True): "%"}


@lru_cache(maxsize=65_536)
def read_date(text: str, era: Era | None = None) -> WrittenDate:
    """Read a date as a clerk wrote it, or EDTF; never raises, and fills nothing in that is not written.

    `era` is the span of the card itself, from which a two-digit year takes its century.
    """
    signs, known = _in_any_era(text)
    if known is not None:
        return known
    if signs.illegible:
        return _partly_illegible(text, era)
    try:
        phrase = read_phrase(squeezed(signs.text), era)
    except NotUnderstoodError as error:
        return WrittenDate(
            text,
            uncertain=signs.uncertain,
            problem=str(error),
            suggestions=_suggestions(signs.text, era),
        )
    return _from_phrase(text, phrase, signs, era if len(phrase.alternatives) > 1 else None)


def forget_dates() -> None:
    """Let go of the texts that were read so far: what was read of many is much."""
    for known in (read_date, _in_any_era, _from_phrase, read_atom, parse_edtf):
        known.cache_clear()


@lru_cache(maxsize=65_536)
def _in_any_era(text: str) -> tuple[Signs, WrittenDate | None]:
    """The signs of a text, and what it says whichever years its card covers, if it can be told without."""
    signs = read_signs(text)
    if signs.ditto:
        return signs, WrittenDate(text, is_ditto=True, uncertain=signs.uncertain)
    if signs.illegible:
        return signs, None
    if signs.blank or is_dash(signs.text):
        return signs, WrittenDate(text, is_blank=True, uncertain=signs.uncertain)
    plain = _standard(signs.text)
    return signs, None if plain is None else _from_edtf(text, plain, signs)


def _partly_illegible(text: str, era: Era | None) -> WrittenDate:
    """Where only the day can't be read, the month and year are still known: `1925-11-XX`."""
    rest = read_date(_DAY_LOST.sub("", text), era) if _DAY_LOST.match(text) else None
    if rest is None or rest.precision != "month" or re.fullmatch(r"\d{4}-\d\d", rest.edtf or "") is None:
        return WrittenDate(text, illegible=True, problem="A part of the date is illegible.")
    return replace(rest, text=text, edtf=f"{rest.edtf}-XX", precision="day", illegible=True)


def _standard(text: str) -> Edtf | None:
    """The text as EDTF, if it is that; an interval is doubt about the one day of the cell."""
    if _EDTF_LIKE.fullmatch(text) is None or _reads_as_years(text):
        return None
    try:
        date = one_day(text)
    except BadDate:
        return None
    return date if _PLAUSIBLE.contains(date.hull) or date.kind != "date" else None


def _reads_as_years(text: str) -> bool:
    """Whether a clerk's '1933-34' wears the dress of a season or quarter, which no clerk writes as a code."""
    match = _YEAR_MONTH_OR_YEARS.fullmatch(text)
    return match is not None and int(match[3]) > max(int(match[2]), 12)


_ONE_KIND: Final = str.maketrans(dict.fromkeys("‐‑‒–—−", "-") | dict.fromkeys("’‘`´′", "'") | {"½": "half "})
_AROUND: Final = re.compile(r" ?([./,-]) ?")


def squeezed(text: str) -> str:
    """The text in lower case, with one kind of dash and apostrophe and no space around separators."""
    text = " ".join(text.strip().lower().translate(_ONE_KIND).split())
    return (_AROUND.sub(r"\1", text) if " " in text else text).rstrip(".,; ")


def _from_edtf(text: str, date: Edtf, signs: Signs) -> WrittenDate:
    if signs.uncertain:
        date = parse_edtf(_doubted(date))
    spans = widened(date)
    return WrittenDate(
        text,
        edtf=date.text,
        candidates=spans,
        hull=Span(spans[0].first, spans[-1].last),
        precision=date.precision,
        uncertain=date.uncertain or signs.uncertain,
        approximate=date.approximate,
        ambiguity=_years_instead(signs.text),
    )


def _doubted(date: Edtf) -> str:
    """The date with a question mark; a set, or a date that has one already, keeps its text."""
    if date.kind != "date" or date.text[-1] in "?%":
        return date.text
    return f"{date.text[:-1]}%" if date.text.endswith("~") else f"{date.text}?"


def _years_instead(text: str) -> tuple[OtherReading, ...]:
    """'1911-12' is December 1911 by the standard, and may be the years 1911 to 1912 to a clerk."""
    match = _YEAR_MONTH_OR_YEARS.fullmatch(text)
    if match is None or int(match[3]) <= int(match[2]):
        return ()
    last = f"{match[1]}{match[3]}"
    return (OtherReading(f"[{text[:4]}..{last}]", f"it may be the years {text[:4]} to {last}"),)


@lru_cache(maxsize=65_536)
def _from_phrase(text: str, phrase: Phrase, signs: Signs, era: Era | None) -> WrittenDate:
    uncertain = phrase.uncertain or signs.uncertain
    qualifier = _QUALIFIERS[phrase.approximate, uncertain]
    date = parse_edtf(written_set(phrase.alternatives, qualifier))
    spans = widened(date)
    return WrittenDate(
        text,
        edtf=date.text,
        candidates=spans,
        hull=Span(spans[0].first, spans[-1].last),
        precision=date.precision,
        uncertain=uncertain,
        approximate=phrase.approximate,
        ambiguity=(*_centuries(phrase, qualifier, era), *_month_instead(signs.text), *_winter_before(date)),
    )


def _centuries(phrase: Phrase, qualifier: str, era: Era | None) -> Iterable[OtherReading]:
    if len(phrase.alternatives) == 1:
        return
    years = "no years of a card" if era is None else f"the years {era.first_year} to {era.last_year} do not"
    why = f"the century is not written, and {years} settle it"
    for alternative in phrase.alternatives:
        yield OtherReading(written_set((alternative,), qualifier), why)


def _month_instead(text: str) -> tuple[OtherReading, ...]:
    """'1911/12' is two years to a clerk, and may be December 1911."""
    match = re.fullmatch(r"(\d{4})/(0[1-9]|1[0-2])", squeezed(text), re.ASCII) if "/" in text else None
    if match is None or int(match[2]) <= int(match[1][2:]):
        return ()
    return (OtherReading(f"{match[1]}-{match[2]}", "it may be a year and a month"),)


def _winter_before(date: Edtf) -> tuple[OtherReading, ...]:
    """'Winter 1925' begins in 1925 as read here, and may be the one that ended in it."""
    match = re.fullmatch(r"(\d{4})-24[?~%]?", date.text, re.ASCII) if "-24" in date.text else None
    if match is None:
        return ()
    return (OtherReading(f"{int(match[1]) - 1:04d}-24", "it may be the winter that ended in that year"),)


def written_set(alternatives: Iterable[Alternative], qualifier: str) -> str:
    """The EDTF text of one of several alternatives: a bare date where there is only one, else a set."""
    members = list(dict.fromkeys(member for alternative in alternatives for member in alternative))
    if len(members) > 1 and any("" in member for member in members):
        members = [_as_member(span) for span in merged(_member_span(member) for member in members)]
    texts = [_member_text(member, qualifier) for member in sorted(members)]
    if len(texts) == 1 and ".." not in texts[0]:
        return texts[0]
    return f"[{','.join(texts)}]"


def _member_text(member: Member, qualifier: str) -> str:
    first, last = (f"{end}{qualifier}" if end else "" for end in member)
    return first if first == last else f"{first}..{last}"


def _member_span(member: Member) -> Span:
    first, last = member
    return Span(parse_edtf(first).hull.first if first else None, parse_edtf(last).hull.last if last else None)


def _as_member(span: Span) -> Member:
    text = span_edtf(span, one_of=True)
    first, dots, last = text.strip("[]").partition("..")
    return (first, last) if dots else (text, text)


def _suggestions(text: str, era: Era | None) -> tuple[OtherReading, ...]:
    """What the text says once it is mended; each mending that can be read is offered."""
    offers: dict[str, OtherReading] = {}
    for mended, why in mendings(squeezed(text)):
        try:
            phrase = read_phrase(mended, era)
        except NotUnderstoodError:
            continue
        edtf = written_set(phrase.alternatives, "")
        offers.setdefault(edtf, OtherReading(edtf, why))
    return tuple(offers.values())
