"""The entry of a worker process: one page of one file in, one card as read out, as plain dictionaries.

Importing this module is light and safe under 'spawn'; everything heavy is imported inside the worker, after
it has been told to use one thread. The recogniser's session is kept warm in the worker, and only there.
"""

from __future__ import annotations

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
    """Read page `page` (from 1) of a file; `hint` may have `form`, `side`, `recogniser` and `name` (for
    messages).

    Gives the object of 'cards as read' without its ids, and `recogniser`, who read it. Raises `Unreadable`.
    """
    told = dict(hint or {})
    recogniser = _recogniser(told.get("recogniser", ""))
    from numbertaker.reading.card import read_card

    path = Path(data_path)
    card = read_card(path.read_bytes(), page, told, recogniser, name=told.get("name", path.name))
    return {**card.to_json(), "recogniser": recogniser.name}


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
