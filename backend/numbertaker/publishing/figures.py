"""Figures and counts in British words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

_SMALL: Final = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def grouped(value: int) -> str:
    """A whole number with a comma between groups of three; a true minus sign before one below nought.

    >>> grouped(61204)
    '61,204'
    """
    return f"{value:,}".replace("-", "\u2212")


def miles(value: int) -> str:
    """A figure of miles with its unit: '61,204 miles', '1 mile'."""
    return f"{grouped(value)} {'mile' if value == 1 else 'miles'}"


def mile_range(low: int | None, high: int | None) -> str:
    """The range that some miles lie in, as the end of a sentence; empty where neither end is known."""
    if low is not None and high is not None:
        return miles(low) if low == high else f"between {grouped(low)} and {miles(high)}"
    if low is not None:
        return f"at least {miles(low)}"
    return "" if high is None else f"at most {miles(high)}"


def counted(number: int, thing: str, things: str | None = None) -> str:
    """A count with its noun: in words up to twelve, in figures from there: 'two engines', '13 engines'.

    >>> counted(1, "fitment")
    'one fitment'
    """
    said = _SMALL[number] if 0 <= number < len(_SMALL) else grouped(number)
    return f"{said} {thing if number == 1 else things or thing + 's'}"


def listed(parts: Sequence[str], last: str = "and") -> str:
    """Parts in a row as prose has them: 'a', 'a and b', 'a, b and c'."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"
