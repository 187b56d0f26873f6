"""Cards as read, without reading: what a worker would hand over, and an executor that hands it over."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Executor, Future
from typing import Any

Row = Mapping[str, str]


def body(*rows: Row, top: int = 100, recogniser: str = "some") -> dict[str, Any]:
    """A page as read, its lines 50 pixels apart from `top` down; a row is column to text."""
    return {
        "form": "component-card",
        "side": "component",
        "turned": 0.0,
        "outline": [[0, 0], [400, 0], [400, 300], [0, 300]],
        "heading": {"heading": cell("52", 20)},
        "lines": [line(n, row, top + 50 * (n - 1)) for n, row in enumerate(rows, start=1)],
        "problems": [],
        "quality": {},
        "recogniser": recogniser,
    }


def line(row: int, texts: Row, top: int) -> dict[str, Any]:
    """A line whose cells stand side by side; `says` may be among its texts."""
    cells = {field: cell(text, top) for field, text in texts.items() if field != "says"}
    return {"row": row, "says": texts.get("says", "fitment"), "cells": cells, "marks": {}}


def cell(text: str, top: int) -> dict[str, Any]:
    """A cell that was read with middling confidence."""
    return {"text": text, "confidence": 0.9, "box": [10, top, 80, 30], "alternatives": []}


class Reader(Executor):
    """In place of worker processes: does each task at once, by a function of the file's name and the page."""

    def __init__(self, read: Callable[[str, int], dict[str, Any]]) -> None:
        """Read pages by `read`; what it raises, the task raises."""
        self._read = read

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Do what `read_pages` would do, with the function given."""
        future: Future[Any] = Future()
        try:
            future.set_result({"pages": [self._read(hint["name"], page) for _, page, hint in args[0]]})
        except Exception as error:
            future.set_exception(error)
        return future
