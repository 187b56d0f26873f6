"""The page that stands beside what is kept and says what each file is, for whoever opens it first."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from numbertaker.publishing.compose import CAUTION
from numbertaker.publishing.keeping.values import Holding

_TEXT: Final = Path(__file__).with_name("readme.md")


def readme(holding: Holding) -> str:
    """The page in Markdown, which reads well as plain text too."""
    silent = [s for s in holding.ruled.evidence.sources if not s.rights.strip()]
    rights = (
        "\n".join(f"- {s.source_id}: {_line(s.title)}" for s in silent)
        if silent
        else "Every source states them."
    )
    return _TEXT.read_text(encoding="utf-8").format(
        program=holding.program,
        state=holding.state,
        caution=CAUTION,
        scans=len(holding.scans),
        lines=len(holding.evidence.lines),
        components=len(holding.history.components),
        decisions=len(holding.evidence.decisions),
        address=holding.address,
        rights=rights,
    )


def _line(text: str) -> str:
    return " ".join(text.split())
