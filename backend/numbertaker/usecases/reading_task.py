"""What a worker process runs: all pages of one card, one after the other. Light to import."""

from __future__ import annotations

from typing import Any, TypeAlias

from numbertaker.evidence.errors import NumbertakerError

Pages: TypeAlias = list[tuple[str, int, dict[str, str]]]
"""For each page of a card: the file, the page in it from 1, and what is known of its form."""


def read_pages(pages: Pages) -> dict[str, Any]:
    """Read a card: `{"pages": [...]}` with an object of 'cards as read' a page, or `{"failed": why}`.

    Nothing is raised: an error that can't be carried from process to process would break the whole pool.
    """
    from numbertaker.reading.worker import read_job

    try:
        return {"pages": [read_job(path, page, hint) for path, page, hint in pages]}
    except NumbertakerError as error:
        return {"failed": error.message}
    except Exception as error:
        return {"failed": f"Something unexpected happened while reading it: {type(error).__name__}: {error}."}
