"""An export that takes a while: what was ordered, how far it is, and how long it will still take.

How long is reckoned from what has been done: each format's stages take a known part of the whole, and what
the first of them took here and now says what the rest will take. The parts are those of the last such export
that was done; before any was, those that were measured on a book of two hundred components.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final, Literal, TypeAlias, get_args

from numbertaker.archive import Archive
from numbertaker.publishing.render import Format
from numbertaker.publishing.watching import Stage, Watch
from numbertaker.usecases.asked import Asked, What
from numbertaker.usecases.publish import Export, desk, export, what_changed

State: TypeAlias = Literal["waiting", "making", "done", "failed", "stopped"]
Parts: TypeAlias = dict[Stage, float]
STAGES: Final[tuple[Stage, ...]] = get_args(Stage)
OVER: Final = frozenset(("done", "failed", "stopped"))
_MEASURED: Final[dict[str, Parts]] = {
    "pdf": {"chapters": 0.18, "pictures": 0.0, "setting": 0.82},
    "docx": {"chapters": 0.1, "pictures": 0.45, "setting": 0.45},
    "odt": {"chapters": 0.1, "pictures": 0.4, "setting": 0.5},
    "tex": {"chapters": 0.1, "pictures": 0.6, "setting": 0.3},
    "txt": {"chapters": 0.3, "pictures": 0.0, "setting": 0.7},
    "pdf with slips": {"chapters": 0.05, "pictures": 0.55, "setting": 0.4},
    "docx with slips": {"chapters": 0.05, "pictures": 0.65, "setting": 0.3},
    "odt with slips": {"chapters": 0.05, "pictures": 0.6, "setting": 0.35},
    "tex with slips": {"chapters": 0.05, "pictures": 0.8, "setting": 0.15},
    "html with slips": {"chapters": 0.05, "pictures": 0.0, "setting": 0.95},
    "site with slips": {"chapters": 0.05, "pictures": 0.0, "setting": 0.95},
}
_USUAL: Final[Parts] = {"chapters": 0.5, "pictures": 0.0, "setting": 0.5}
_SOON_S: Final = 0.3
"""After how many seconds of its parts there is enough to go by."""
_NEARLY: Final = 0.95
"""How much of a stage counts as done once it has taken as long as was reckoned, and is not over."""


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be made; `earlier` is the text of an edition, where what changed since is wanted."""

    what: What
    fmt: Export
    asked: Asked
    earlier: str | None = None


def title_of(archive: Archive, order: Order) -> str:
    """What the export is of, in words; refuses what can't be made, before anything is."""
    made = desk(archive, order.what, order.asked)
    if not made.subjects.single:
        return made.subjects.title
    one = made.subjects.ids[0]
    return made.matter.names.component(one) if made.subjects.of == "component" else made.engine_title(one)


def made(archive: Archive, order: Order, watch: Watch) -> bytes:
    """The file that was ordered."""
    if order.earlier is None:
        return export(archive, order.what, order.fmt, order.asked, watch=watch)
    fmt: Format = order.fmt  # type: ignore[assignment]  # what_changed refuses any other
    return what_changed(archive, order.what, order.earlier, fmt, order.asked, watch=watch)


@dataclass(slots=True)
class Pace:
    """How far an export is, by `clock` in seconds. `parts` is which part of the whole each stage takes.

    What comes before the first chapter (looking up what is kept) says nothing of the rest, and isn't counted.
    """

    parts: Parts
    clock: Callable[[], float]
    stage: Stage = "chapters"
    done: int = 0
    of: int = 0
    _begun: float = 0.0
    _entered: dict[Stage, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Begin."""
        self._begun = self.clock()

    def moved(self, stage: Stage, done: int, of: int) -> None:
        """Take note of how far it is."""
        if stage not in self._entered:
            self._entered[stage] = self.clock()
        self.stage, self.done, self.of = stage, done, of

    def spent(self) -> float:
        """Seconds since it began."""
        return self.clock() - self._begun

    def _paced(self) -> float:
        """Seconds since the first of its parts was begun."""
        return self.clock() - next(iter(self._entered.values()), self.clock())

    def left(self) -> float | None:
        """The seconds that it will still take, as reckoned now; None while there is nothing to go by."""
        through, spent = self._through(), self._paced()
        return None if through <= 0 or spent < _SOON_S else spent * (1 - through) / through

    def taken(self) -> Parts:
        """Which part of the time each stage took; to be asked at the end."""
        ends = [*list(self._entered.values())[1:], self.clock()]
        spans = {stage: end - at for (stage, at), end in zip(self._entered.items(), ends, strict=True)}
        whole = sum(spans.values()) or 1.0
        return {stage: spans.get(stage, 0.0) / whole for stage in STAGES}

    def _through(self) -> float:
        """The part of the whole that is done, from nought to one."""
        before = sum(self.parts[stage] for stage in STAGES[: STAGES.index(self.stage)])
        mine = self.parts[self.stage]
        if self.of > 1:
            return before + mine * self.done / self.of
        if before <= 0 or mine <= 0:
            return 0.0
        entered = self._entered[self.stage] - next(iter(self._entered.values()))
        expected = entered * mine / before
        within = (self._paced() - entered) / expected if expected > 0 else 0.0
        return before + mine * min(_NEARLY, within)


def sort_of(order: Order) -> str:
    """Exports of one sort take their time alike: a format, with pictures or without."""
    pictured = order.asked.plates or (order.asked.slips and order.fmt in ("html", "site"))
    return f"{order.fmt} with slips" if pictured and order.earlier is None else order.fmt


def parts_of(order: Order, learnt: dict[str, Parts]) -> Parts:
    """The parts that the stages of an export take: as they were last, else as they were measured."""
    return learnt.get(sort_of(order)) or _MEASURED.get(sort_of(order), _USUAL)
