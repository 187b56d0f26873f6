"""Holdings for tests: the small world with a scan of each kind, and texts put wherever a text can stand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.small_history import EVIDENCE, HISTORY

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Card, Decision, Evidence
from numbertaker.publishing.keeping.values import Holding, PageReading, ScanFile, ShownPage
from numbertaker.reconciling.history import CellMeaning

JPEG = "ab" * 32
PDF = "cd" * 32
SIZE = (400, 300)


def cell(text: str, box: list[int], confidence: float = 0.97) -> dict[str, Any]:
    """A cell of 'cards as read'."""
    return {"text": text, "confidence": confidence, "box": box, "alternatives": []}


def body(text: str = "31") -> dict[str, Any]:
    """A card as read: its heading, a line with a ditto, and one that reaches off the page."""
    return {
        "heading": {"heading": cell("7", [20, 10, 30, 20])},
        "lines": [
            {
                "line_id": "a1",
                "row": 1,
                "cells": {
                    "engine": cell(text, [20, 60, 60, 20]),
                    "fitted": cell("w/e 5.05", [100, 60, 80, 20]),
                },
                "marks": {"engine": "ditto"},
            },
            {"line_id": "a2", "row": 2, "cells": {"engine": cell('"', [380, 100, 90, 20], 0.5)}, "marks": {}},
        ],
    }


def holding(text: str = "31", name: str = "card.jpg", *, hostile: str | None = None) -> Holding:
    """The small world, with two pages that were read; `hostile` stands in every cell that says something."""
    evidence = replace(
        EVIDENCE,
        cards=(
            Card(card_id="S1-7", source_id="S1", locator="card 7", scans=name, state="seen"),
            Card(card_id="S3-9", source_id="S3", locator="page 9", scans="book.pdf", state="seen"),
        ),
        lines=tuple(
            replace(line, card_id="S1-7", reading="0.97")
            if line.line_id in ("a1", "a2")
            else replace(line, card_id="S3-9", region="book.pdf#page=2&xywh=10,20,500,30")
            if line.line_id == "c1"
            else line
            for line in EVIDENCE.lines
        ),
        decisions=(
            *EVIDENCE.decisions,
            decision("D2", "cell", "a2/engine", text, reason=text),
            decision("D3", "cell", "a3/miles", "68,310"),
            decision("D4", "revoke", "D3", "", revokes="D3"),
            decision("D5", "finding", "F2", "believe b1/miles; set aside a3/miles"),
        ),
    )
    if hostile is not None:
        evidence = with_text(evidence, hostile)
    linked = CellMeaning("a2", "engine", "E1", 0.9, True)
    history = replace(
        HISTORY, components=(replace(HISTORY.components[0], cells=(linked, *HISTORY.components[0].cells)),)
    )
    return Holding(
        evidence=evidence,
        ruled=follow(evidence),
        history=history,
        scans=(
            ScanFile(JPEG, name, "image/jpeg", 1, 1000, "A. Reader", "2026-03-01T09:00:00Z"),
            ScanFile(PDF, "book.pdf", "application/pdf", 2, 2000),
        ),
        pages=(ShownPage("S1-7", JPEG, 1, 1, SIZE), ShownPage("S3-9", PDF, 2, 1, (600, 800))),
        readings=(PageReading("S1-7", JPEG, 1, "reader-1", "2026-03-01T10:00:00Z", body(text)),),
        program="Numbertaker test",
        state="sha256:0123456789abcdef",
    )


def decision(decision_id: str, kind: str, target: str, ruling: str, **more: str) -> Decision:
    """A decision of one reader."""
    plain = {"reason": "As it stands.", "by": "A. Reader", "at": "2026-03-02T10:00:00Z"} | more
    return Decision(decision_id=decision_id, kind=kind, target=target, ruling=ruling, **plain)


def with_text(evidence: Evidence, text: str) -> Evidence:
    """The same with a text in every cell that is not a key or a date."""
    sources = tuple(
        replace(s, title=text, author=text, publisher=text, repository=text, collection=text,
                reference=text, item=text, rights=text, note=text)
        for s in evidence.sources
    )  # fmt: skip
    lines = tuple(
        replace(one, engine=text, engine_name=text, place=text, remarks=text, locator=text)
        for one in evidence.lines
    )
    cards = tuple(replace(card, locator=text, note=text) for card in evidence.cards)
    return replace(evidence, sources=sources, lines=lines, cards=cards)
