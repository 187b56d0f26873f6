"""The entry of a worker process: one page of one file in, one card as read out, as plain dictionaries.

Importing this module is light and safe under 'spawn'; everything heavy is imported inside the worker, after
it has been told to use one thread. The recogniser's session is kept warm in the worker, and only there.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

ONE_THREAD: Final = (
    "OMP_NUM_THREADS", "OMP_THREAD_LIMIT", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS",
)  # fmt: skip
_warm: dict[str, Any] = {}


def read_job(
    data_path: str | os.PathLike[str], page: int, hint: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """Read page `page` (from 1) of a file; `hint` may have `form`, `side`, `recogniser`, `name` (for
    messages), `place`, which of the cards on the page is wanted, from 0, and as JSON `forms`, learnt forms,
    and `headings`, further wordings by field.

    Gives the object of 'cards as read' without its ids, and `recogniser`, who read it. Where the page shows
    further cards and the first is wanted, they stand in `further`. Raises `Unreadable`.
    """
    told = dict(hint or {})
    recogniser = _recogniser(told.get("recogniser", ""))
    from numbertaker.reading.card import fewer, read_picture
    from numbertaker.reading.learnt import LearntForm
    from numbertaker.reading.pages import open_page

    path = Path(data_path)
    scan = open_page(path.read_bytes(), page, name=told.get("name", path.name))
    learnt = [LearntForm.of_json(form) for form in json.loads(told.get("forms", "[]"))]
    further = json.loads(told.get("headings", "{}"))
    cards = read_picture(scan, told, recogniser, further_headings=further, learnt=learnt)
    bodies = [{**card.to_json(), "recogniser": recogniser.name} for card in cards]
    place = int(told.get("place", 0))
    if place >= len(bodies):
        bodies += [{**fewer(scan, len(cards), place).to_json(), "recogniser": recogniser.name}] * place
    if place:
        return {**bodies[place], "place": place}
    return {**bodies[0], "further": bodies[1:]} if len(bodies) > 1 else bodies[0]


def _recogniser(prefer: str) -> Any:
    """This process's recogniser, made on the first call."""
    if prefer not in _warm:
        for name in ONE_THREAD:
            os.environ[name] = "1"
        import cv2

        from numbertaker.reading.recognisers import choose

        cv2.setNumThreads(1)
        _warm[prefer] = choose(prefer)
    return _warm[prefer]
