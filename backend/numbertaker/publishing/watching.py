"""How far the making of a document is, told to whoever waits for it, who may also call it off."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, TypeAlias

Stage: TypeAlias = Literal["chapters", "pictures", "setting"]
"""What is being done: chapters told, pictures drawn and cut, the whole set as a file."""
Watch: TypeAlias = Callable[[Stage, int, int], None]
"""Told of the stage, how many of its parts are done, and of how many; what it raises ends the making."""


def unwatched(stage: Stage, done: int, of: int) -> None:
    """Nobody waits."""
