"""The style sheet of the page, for screen and print, light and dark.

The contrast of every pair of text and ground is above 4.5 to 1 (WCAG 2.2, 1.4.3), and that of the rules which
set a claim apart from what is near certain above 3 to 1 (1.4.11): the tests compute both from these values.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

LIGHT: Final = {
    "paper": "#faf8f4",
    "ink": "#22211f",
    "soft": "#57534c",
    "line": "#8b857a",
    "rule": "#c9c2b5",
    "faint": "#ddd7cb",
    "accent": "#1d4f86",
    "warn": "#8a3d0c",
    "warnground": "#fbefe2",
}
DARK: Final = {
    "paper": "#1d2228",
    "ink": "#e9e6e0",
    "soft": "#b4b3ae",
    "line": "#83888d",
    "rule": "#4e555d",
    "faint": "#3a4149",
    "accent": "#9cc4f2",
    "warn": "#f0b27c",
    "warnground": "#33291f",
}


def _properties(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{value};" for name, value in colours.items())


_RULES: Final = Path(__file__).with_name("page.css").read_text(encoding="utf-8")

SHEET: Final = (
    f":root{{color-scheme:light dark;{_properties(LIGHT)}}}"
    f"@media screen and (prefers-color-scheme:dark){{:root{{{_properties(DARK)}}}}}{_RULES}"
)
"""The whole sheet; print is always on paper, so dark colours are for the screen alone."""
