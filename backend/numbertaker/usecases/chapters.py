"""The chapters of a book, in this process or in several; the same either way."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import Final, TypeAlias

from numbertaker.evidence.decisions import Ruled
from numbertaker.publishing.books import Chapter, Of, anchors_of, chapter
from numbertaker.publishing.manner import Manner
from numbertaker.publishing.matter import Matter
from numbertaker.reconciling.history import History

Task: TypeAlias = tuple[History, Ruled, Manner]
Progress: TypeAlias = Callable[[int, int], None]
"""Told how many chapters are done, and of how many."""
_AT_ONCE: Final = 8


def chapters_of(
    task: Task, of: Of, ids: Sequence[str], workers: int = 1, progress: Progress | None = None
) -> tuple[Chapter, ...]:
    """A chapter for each subject, in order; `workers` above one makes them in so many fresh processes."""
    wanted = [(of, subject_id, anchor) for subject_id, anchor in anchors_of(of, ids).items()]
    made: list[Chapter] = []
    for one in _made(task, wanted, workers):
        made.append(one)
        if progress is not None:
            progress(len(made), len(wanted))
    return tuple(made)


def _made(task: Task, wanted: list[tuple[Of, str, str]], workers: int) -> Iterator[Chapter]:
    if workers <= 1 or len(wanted) <= 1:
        matter = Matter(*task)
        yield from (chapter(matter, *one) for one in wanted)
        return
    spawn = multiprocessing.get_context("spawn")
    crew = min(workers, len(wanted))
    with ProcessPoolExecutor(crew, mp_context=spawn, initializer=_take_up, initargs=task) as pool:
        yield from pool.map(_chapter, wanted, chunksize=_AT_ONCE)


class _Worker:
    """What a worker process looks things up in; set once when it begins."""

    matter: Matter


def _take_up(history: History, ruled: Ruled, manner: Manner) -> None:
    _Worker.matter = Matter(history, ruled, manner)


def _chapter(one: tuple[Of, str, str]) -> Chapter:
    return chapter(_Worker.matter, *one)
