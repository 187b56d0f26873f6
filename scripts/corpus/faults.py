"""Every planted fault as the papers show it: the lines it touches, and the finding that should say so."""

from __future__ import annotations

from dataclasses import dataclass

from .elsewhere import slips_elsewhere
from .papers import Line, Paper
from .plantings import Slip, World
from .railway import Stay


@dataclass(frozen=True, slots=True)
class Fault:
    """One planted fault as the papers show it."""

    key: str
    expected: str  # the kind of finding that should say it
    lines: tuple[str, ...]
    fields: tuple[str, ...]
    accept: tuple[str, ...]
    note: str


class _Index:
    """Lines by the stay they speak of."""

    def __init__(self, papers: list[Paper]) -> None:
        self.at: dict[tuple[str, Stay], tuple[Paper, Line]] = {}
        for paper in papers:
            for line in paper.lines:
                if line.stay is not None:
                    self.at[paper.form, line.stay] = (paper, line)
        self.papers = papers

    def card_of(self, component_id: str) -> Paper:
        """The component's own card."""
        cards = (p for p in self.papers if p.form == "component-card")
        return next(p for p in cards if p.subject_id == component_id)

    def line_id(self, form: str, stay: Stay) -> str | None:
        """The id of the line about a stay on the card of a form, if there is one."""
        found = self.at.get((form, stay))
        return found and found[0].line_id(found[1])

    def ids(self, stay: Stay, *forms: str) -> tuple[str, ...]:
        """The ids of the lines about a stay on the cards of some forms, where there are any."""
        return tuple(i for form in forms if (i := self.line_id(form, stay)) is not None)

    def every(self, stay: Stay, form: str) -> tuple[str, ...]:
        """The ids of all lines about a stay on the papers of a form."""
        papers = (p for p in self.papers if p.form == form)
        return tuple(p.line_id(line) for p in papers for line in p.lines if line.stay == stay)


def faults(world: World, papers: list[Paper]) -> list[Fault]:
    """Every planted fault, in the order of the README."""
    return [*works_faults(world, papers), *_faults_elsewhere(world, _Index(papers))]


def works_faults(world: World, papers: list[Paper]) -> list[Fault]:
    """Those in the works' own papers and in the list printed from them."""
    index = _Index(papers)
    return [_MAKERS[slip.key](world, index, slip) for slip in world.slips] + [_copied(world, index)]


def _faults_elsewhere(world: World, index: _Index) -> list[Fault]:
    """Those in what survives besides: on a shed's card, in the ledger, on the typed list."""
    shed, ledger, twice = (slip.stay for slip in slips_elsewhere(world))
    lines = index.ids(shed, "shed-card")
    right = ", ".join(index.ids(shed, "component-card", "engine-card"))
    return [
        Fault(
            "shed",
            "mileage-conflict",
            lines,
            ("miles",),
            ("mileage-conflict",),
            f"The shed's card has one figure for boiler {shed.component_id[1:]}; both cards of the works have"
            f" another: {right}.",
        ),
        Fault(
            "ledger",
            "date-conflict",
            index.ids(ledger, "ledger"),
            ("removed",),
            ("date-conflict",),
            f"The ledger contradicts the card that it was copied from: boiler {ledger.component_id[1:]}"
            " comes off a year too early.",
        ),
        Fault(
            "twice",
            "repeated-line",
            index.every(twice, "typed-list"),
            (),
            ("repeated-line",),
            f"A fitment of boiler {twice.component_id[1:]} stands on the typed list twice.",
        ),
    ]


def _boiler(slip: Slip) -> str:
    return f"Boiler {slip.stay.component_id[1:]}"


def _own(index: _Index, slip: Slip) -> tuple[str, ...]:
    """The line on the component's own card."""
    return index.ids(slip.stay, "component-card")


def _neighbour(world: World, index: _Index, slip: Slip, step: int) -> tuple[str, ...]:
    """The line of the stay before (-1) or after (1) on the component's card."""
    stays = world.railway.stays_of(slip.stay.component_id)
    return index.ids(stays[stays.index(slip.stay) + step], "component-card")


def _gap(world: World, index: _Index, slip: Slip) -> Fault:
    sides = _neighbour(world, index, slip, -1) + _neighbour(world, index, slip, 1)
    return Fault("gap", "gap", sides, (), ("gap",), f"{_boiler(slip)} has no record for four years.")


def _overlap(world: World, index: _Index, slip: Slip) -> Fault:
    note = f"{_boiler(slip)} would have been on two engines at once: a removal is entered a year late."
    lines = _own(index, slip) + _neighbour(world, index, slip, 1)
    return Fault("overlap", "overlap", lines, ("removed",), ("overlap",), note)


def _reversed(_: World, index: _Index, slip: Slip) -> Fault:
    note = f"{_boiler(slip)} is removed before it is fitted."
    accept = ("overlap", "date-conflict")
    return Fault("reversed", "overlap", _own(index, slip), ("removed",), accept, note)


def _withdrawn(_: World, index: _Index, slip: Slip) -> Fault:
    note, kind = f"{_boiler(slip)} is put on an engine that had been withdrawn.", "outside-lifetime"
    return Fault("withdrawn", kind, _own(index, slip), ("engine",), (kind,), note)


def _total(_: World, index: _Index, slip: Slip) -> Fault:
    card = index.card_of(slip.stay.component_id)
    foot = next(line for line in card.lines if line.says == "total")
    note = f"The total at the foot of the card of {_boiler(slip).lower()} is not the sum of its lines."
    return Fault(
        "total", "total-mismatch", (card.line_id(foot),), ("total_miles",), ("total-mismatch",), note
    )


def _miles(_: World, index: _Index, slip: Slip) -> Fault:
    both = ", ".join(index.ids(slip.stay, "component-card", "engine-card"))
    note = f"{_boiler(slip)} ran one figure by its own card and another by the engine's. Both lines: {both}."
    return Fault("miles", "mileage-conflict", _own(index, slip), ("miles",), ("mileage-conflict",), note)


def _copied(world: World, index: _Index) -> Fault:
    lines = index.ids(world.slip("miles").stay, "component-card", "printed-list")
    note = "The printed list repeats the wrong mileage of the boiler card: a copy, no second witness."
    return Fault("copy", "mileage-conflict", lines, ("miles",), ("mileage-conflict",), note)


_MAKERS = {
    "gap": _gap,
    "overlap": _overlap,
    "reversed": _reversed,
    "withdrawn": _withdrawn,
    "total": _total,
    "miles": _miles,
}


def cards_with_slips(world: World, papers: list[Paper]) -> set[str]:
    """The works' cards on which a planted fault stands, and the engine's card that has the right mileage."""
    slips = {line_id.rsplit("-", 1)[0] for fault in works_faults(world, papers) for line_id in fault.lines}
    facing = _Index(papers).ids(world.slip("miles").stay, "engine-card")
    return slips | {line_id.rsplit("-", 1)[0] for line_id in facing}
