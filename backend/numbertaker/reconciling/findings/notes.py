"""Where the families write down what they found, and what a finding is called."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256

from numbertaker.evidence.days import Day
from numbertaker.evidence.records import CellKey
from numbertaker.reconciling.confidence import held
from numbertaker.reconciling.entries import Draft, Entry
from numbertaker.reconciling.history import Finding


def finding_id(kind: str, claims: Iterable[CellKey], lines: Iterable[str], authority: Iterable[str]) -> str:
    """'F' and ten hexadecimal digits of a SHA-256 over what the finding is about, in a fixed order."""
    parts = [kind, *sorted(map(str, claims)), *sorted(lines), *sorted(authority)]
    return "F" + sha256("\n".join(parts).encode()).hexdigest()[:10]


class Notes:
    """The findings so far, and the cells that they explain."""

    def __init__(self, draft: Draft) -> None:
        """Start with none."""
        self._draft = draft
        self.explained: set[CellKey] = set()

    def add(
        self,
        kind: str,
        message: str,
        *,
        entries: Sequence[Entry] = (),
        claims: Sequence[CellKey] = (),
        components: Iterable[str | None] = (),
        confidence: float = 0.8,
        span: tuple[Day | None, Day | None] = (None, None),
        authority: Sequence[str] = (),
        more_lines: Sequence[str] = (),
    ) -> None:
        """Write one finding down, unless it only repeats what a person has ruled out."""
        lines = dict.fromkeys([claim.line_id for claim in claims])
        lines |= dict.fromkeys(entry.id for entry in entries)
        lines |= dict.fromkeys(more_lines)
        name = finding_id(kind, claims, lines, authority)
        settled = self._draft.ruled.settled.get(name)
        if settled is None and any(self._draft.refused(claim) for claim in claims):
            return
        self.explained.update(claims)
        self._draft.findings[name] = (
            Finding(
                id=name,
                kind=kind,
                confidence=held(confidence),
                lines=tuple(lines),
                message=message,
                earliest=span[0],
                latest=span[1],
                authority=tuple(authority),
                claims=tuple(claims),
                settled_by=settled,
            ),
            tuple(sorted({c for c in components if c})),
        )
