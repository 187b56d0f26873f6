"""Exports in the background: one at a time, watched, called off; their files wait in a folder."""

from __future__ import annotations

import asyncio
import logging
import re
import tempfile
import threading
import time
from collections.abc import AsyncIterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from numbertaker.archive import Archive
from numbertaker.evidence.errors import Conflict, NotFound, NumbertakerError
from numbertaker.publishing.watching import Stage
from numbertaker.usecases.exporting import OVER, Order, Pace, Parts, State, made, parts_of, sort_of, title_of

KEPT: Final = 8
"""How many exports are remembered, with their files; the oldest that is over goes first."""
EVERY_S: Final = 0.4
_LEARN_FROM: Final = 5
"""How many chapters an export has at least for its pace to say anything of others."""
_LOG: Final = logging.getLogger("numbertaker.web")
_ENDINGS: Final = {"tex": "zip", "site": "zip", "edition": "edition.json"}


@dataclass(frozen=True, slots=True)
class ExportView:
    """An export as it now stands.

    `done` of `of` parts of the stage are done (chapters told, pictures drawn; setting has one part); `spent`
    is the seconds so far, `left` those that it will still take, as reckoned, and null while there is nothing
    to go by. `why` says why it failed; `size` is that of its file in bytes.
    """

    export_id: int
    title: str
    format: str
    state: State
    stage: Stage
    done: int
    of: int
    spent: float
    left: float | None
    why: str
    size: int | None
    name: str


class _CalledOff(Exception):  # noqa: N818 - no error: it only leaves the export
    """Nobody waits for it any more."""


@dataclass(slots=True)
class _Making:
    export_id: int
    title: str
    order: Order
    pace: Pace
    state: State = "waiting"
    why: str = ""
    size: int | None = None
    took: float = 0.0
    off: threading.Event = field(default_factory=threading.Event)

    @property
    def name(self) -> str:
        """What a browser saves it as."""
        said = re.sub(r"[^a-z0-9]+", "-", self.title.casefold()).strip("-") or "history"
        since = "-changes" if self.order.earlier is not None else ""
        return f"{said[:60]}{since}.{_ENDINGS.get(self.order.fmt, self.order.fmt)}"


class Makings:
    """The exports of an archive, made one after the other in a thread of their own."""

    def __init__(self, archive: Archive) -> None:
        """Nothing is made yet."""
        self._archive = archive
        self._hand = ThreadPoolExecutor(1, thread_name_prefix="export")
        self._folder = tempfile.TemporaryDirectory(prefix="numbertaker-exports-")
        self._all: dict[int, _Making] = {}
        self._learnt: dict[str, Parts] = {}
        self._lock = threading.Lock()
        self._last = 0

    def begin(self, order: Order) -> ExportView:
        """Put an export in the queue; refuses what can't be made, as `export` does."""
        title = title_of(self._archive, order)
        with self._lock:
            self._last += 1
            pace = Pace(parts_of(order, self._learnt), time.monotonic)
            making = _Making(self._last, title, order, pace)
            self._all[making.export_id] = making
            self._forget()
        self._hand.submit(self._make, making)
        return _view(making)

    def all(self) -> list[ExportView]:
        """Those remembered, the newest first."""
        return [_view(one) for one in reversed(list(self._all.values()))]

    def one(self, export_id: int) -> ExportView:
        """One of them, or `NotFound`."""
        return _view(self._found(export_id))

    def call_off(self, export_id: int) -> ExportView:
        """Stop it, or forget its file where it is done; a program that sets its pages is ended."""
        making = self._found(export_id)
        making.off.set()
        if making.state in ("waiting", "done"):
            making.state = "stopped"
            self._file(making).unlink(missing_ok=True)
        return _view(making)

    def file(self, export_id: int) -> tuple[Path, str]:
        """The file of one that is done, and its name; `Conflict` while it is not."""
        making = self._found(export_id)
        if making.state != "done":
            raise Conflict(f"Export {export_id} has no file: it is {making.state}.")
        return self._file(making), making.name

    async def watch(self, export_id: int) -> AsyncIterator[ExportView]:
        """An export at once, and then ever and again until it is over."""
        while True:
            view = self.one(export_id)
            yield view
            if view.state in OVER:
                return
            await asyncio.sleep(EVERY_S)

    def close(self) -> None:
        """Stop what is being made, and drop every file."""
        for making in self._all.values():
            making.off.set()
        self._hand.shutdown(cancel_futures=True)
        self._folder.cleanup()

    def _found(self, export_id: int) -> _Making:
        making = self._all.get(export_id)
        if making is None:
            raise NotFound("export", str(export_id))
        return making

    def _file(self, making: _Making) -> Path:
        return Path(self._folder.name) / str(making.export_id)

    def _forget(self) -> None:
        over = [one for one in self._all.values() if one.state in OVER]
        for making in over[: max(0, len(self._all) - KEPT)]:
            self._file(making).unlink(missing_ok=True)
            del self._all[making.export_id]

    def _make(self, making: _Making) -> None:
        if making.off.is_set():
            return
        pace = making.pace = Pace(making.pace.parts, time.monotonic)
        making.state = "making"

        def watch(stage: Stage, done: int, of: int) -> None:
            if making.off.is_set():
                raise _CalledOff
            if stage == "chapters":
                chapters[0] = max(chapters[0], of)
            pace.moved(stage, done, of)

        chapters = [0]
        state: State = "failed"
        try:
            data = made(self._archive, making.order, watch)
            watch(pace.stage, pace.done, pace.of)
            self._file(making).write_bytes(data)
            making.size, state = len(data), "done"
            if chapters[0] >= _LEARN_FROM:
                self._learnt[sort_of(making.order)] = pace.taken()
        except _CalledOff:
            state = "stopped"
        except NumbertakerError as error:
            making.why = str(error)
        except Exception as error:
            # A thread has nobody to raise to: whoever waits is told, and the log has the story.
            _LOG.exception("Export %s broke", making.export_id)
            making.why = f"It could not be made: {error}"
        if state != "done":
            self._file(making).unlink(missing_ok=True)
        making.took = pace.spent()
        making.state = state


def _view(making: _Making) -> ExportView:
    pace, over = making.pace, making.state in OVER
    left = pace.left() if making.state == "making" else None
    return ExportView(
        export_id=making.export_id,
        title=making.title,
        format=making.order.fmt,
        state=making.state,
        stage=pace.stage,
        done=pace.done,
        of=pace.of,
        spent=round(making.took if over else pace.spent() if making.state == "making" else 0.0, 1),
        left=None if left is None else round(left, 1),
        why=making.why,
        size=making.size,
        name=making.name,
    )
