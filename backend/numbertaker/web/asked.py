"""The bodies that requests carry, with examples."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field

Kind: TypeAlias = Literal["cell", "link", "finding", "authority", "looked", "checked"]
Who: TypeAlias = Annotated[str, Field(max_length=200, description="Who says so.")]
Why: TypeAlias = Annotated[str, Field(max_length=10_000, description="The reason; never empty.")]


class NewDecision(BaseModel):
    """A ruling with its reason."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "kind": "cell",
                    "target": "S1-52-3/miles",
                    "ruling": "68,310",
                    "reason": "The upper bar of the 8 is faint on the scan.",
                    "by": "A. Reader",
                },
                {
                    "kind": "link",
                    "target": "S1-52-4/engine",
                    "ruling": "E08",
                    "reason": "Only this engine bore the number then.",
                    "by": "A. Reader",
                },
                {
                    "kind": "finding",
                    "target": "F31",
                    "ruling": "believe S2-238-3/miles; set aside S1-46-3/miles",
                    "reason": "The total on the engine's card needs it.",
                    "by": "A. Reader",
                },
                {
                    "kind": "authority",
                    "target": "engines:E08",
                    "ruling": '{"withdrawn": "1938-04"}',
                    "reason": "Minute 209 gives the month.",
                    "by": "A. Reader",
                },
                {
                    "kind": "looked",
                    "target": "E08;B52",
                    "ruling": '{"covers": "1912-02/1919-03", "source": "S2", "when": "2026-03-14"}',
                    "reason": "Both sides of the card, line by line.",
                    "by": "A. Reader",
                },
                {
                    "kind": "checked",
                    "target": "S1-52",
                    "ruling": "stands",
                    "reason": "Every cell was held to the scan.",
                    "by": "A. Reader",
                },
            ]
        },
    )

    kind: Kind
    target: Annotated[str, Field(max_length=1_000, description="What is ruled on; depends on the kind.")]
    ruling: Annotated[str, Field(max_length=100_000, description="The ruling; its form depends on the kind.")]
    reason: Why
    by: Who


class TakingBack(BaseModel):
    """Why a decision is taken back, and by whom."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={"examples": [{"reason": "I had the wrong card before me.", "by": "A. Reader"}]},
    )

    reason: Why
    by: Who


class WhatToRead(BaseModel):
    """Which cards to read: those named, else all that are unread; `again` reads what was read before, too."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={"examples": [{"by": "A. Reader"}, {"card_ids": ["S1-52"], "again": True}]},
    )

    card_ids: Annotated[list[str] | None, Field(max_length=100_000)] = None
    again: bool = False
    by: Who = ""


class WhoLearns(BaseModel):
    """Who has the archive learnt from anew."""

    model_config = ConfigDict(extra="forbid", json_schema_extra={"examples": [{"by": "A. Reader"}]})

    by: Who = ""
