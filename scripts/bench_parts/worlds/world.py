"""One world from its seed: the truth, the papers, and the faults of its profile."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from random import Random

from .accepts import NUMBERS
from .copies import look_about, publish
from .losses import lines_by_fitment, lose_card, lose_line, record_gaps
from .office import write_papers
from .planting import Planter
from .railway import make_railway
from .values import Card, Line, World
from .visible import Witnesses

PROFILES = ("clean", "typical", "hard")
# How often each fault is planted in a typical world: per line of the works' cards, per copy, per list line or
# per card. Invented; a hard world has HARDER times as many.
ON_LINES = {
    "date_slip": 0.031,
    "swapped": 0.003,
    "wrong_name": 0.021,
    "double_entry": 0.004,
    "two_hands": 0.003,
    "bad_total": 0.010,
}
IN_READING = {"miles_misread": 0.031, "transposed": 0.007, "number_misread": 0.021}
ON_CARDS = {"carried_total": 0.023}
COPYING, LISTING, SIGHTING, HEADING = 0.045, 0.027, 0.08, 0.008
LOST_LINE, LOST_CARD = 0.036, 0.018
HARDER = 2.75


def make_world(components: int, profile: str, seed: int) -> World:
    """A world of about so many components. The same arguments give the same world."""
    rng = Random(f"{components}/{profile}/{seed}")
    world = make_railway(components, profile, seed, rng)
    world.has_cards_table = rng.random() < 0.5
    write_papers(rng, world)
    look_about(rng, world)
    for card in world.cards:
        card.settle_covers()
    scale = {"clean": 0.0, "typical": 1.0, "hard": HARDER}[profile]
    planter = Planter(rng, world)
    _clerks_err(rng, planter, scale)
    publish(rng, world, lambda page: _each(rng, page.lines, COPYING * scale, planter.copy_error))
    _readers_err(rng, planter, scale)
    _things_get_lost(rng, planter, scale)
    _settle(world)
    return world


def _each(rng: Random, lines: list[Line], share: float, plant: Callable[[Line], bool]) -> None:
    for line in list(lines):
        if rng.random() < share:
            plant(line)


def _of_works(world: World) -> list[Line]:
    return [line for line in world.lines if line.card.source.startswith(("S1", "S2"))]


def _clerks_err(rng: Random, planter: Planter, scale: float) -> None:
    """What went wrong at the works, and so was copied by whoever compiled from its cards."""
    world = planter.world
    for name, share in ON_LINES.items():
        _each(rng, _of_works(world), share * scale, getattr(planter, name))
    for card in world.cards:
        if rng.random() < ON_CARDS["carried_total"] * scale:
            planter.carried_total(card)
    lists = [line for line in world.lines if line.card.source in ("S3", "S6")]
    _each(rng, lists, LISTING * scale, planter.wrong_list)
    seen = [line for line in world.lines if line.says == "carried"]
    _each(rng, seen, SIGHTING * scale, planter.misdated)
    if scale and rng.random() < 0.25 * scale:
        _number_twice_at_once(rng, planter)


def _number_twice_at_once(rng: Random, planter: Planter) -> None:
    """A new component stamped with a number that another still bore."""
    world = planter.world
    late = timedelta(days=2000)
    pairs = [
        (old, new)
        for old in world.components.values()
        for new in world.components.values()
        if old.kind == new.kind and old.condemned and old.built < new.built < old.condemned - late
    ]
    if not pairs:
        return
    old, new = rng.choice(pairs)
    was = new.number
    lines = []
    for card in world.cards:
        if card.subject == new.id:
            card.heading = card.heading.replace(was, old.number)
        for line in card.lines:
            cell = line.cells.get("component")
            if cell and cell.value == new.id and not cell.ditto and cell.text == was:
                cell.text = old.number
            if line.component == new.id:
                lines.append(line)
    new.number = old.number
    planter.record("reused-number", lines, ["component"], NUMBERS)
    planter.referents = type(planter.referents)(world)


def _readers_err(rng: Random, planter: Planter, scale: float) -> None:
    """What went wrong in reading the papers: none of it was copied by anybody."""
    for name, share in IN_READING.items():
        _each(rng, _of_works(planter.world), share * scale, getattr(planter, name))
    for card in planter.world.cards:
        if card.source.startswith(("S1", "S2")) and rng.random() < HEADING * scale:
            planter.heading_misread(card)


def _things_get_lost(rng: Random, planter: Planter, scale: float) -> None:
    world = planter.world
    for card in world.cards:
        if rng.random() < LOST_CARD * scale:
            lose_card(planter, card)
    about = lines_by_fitment(world)
    _each(rng, _of_works(world), LOST_LINE * scale, lambda line: lose_line(planter, line, about))
    record_gaps(planter)


def _settle(world: World) -> None:
    """Number what survives, drop the faults of what doesn't, and say which of the others show."""
    for k, line in enumerate(world.lines, start=1):
        line.id = f"L{k:06d}"
    for fault in world.faults:
        fault.lines = list(dict.fromkeys(line for line in fault.lines if line.id))
    pairs = ("double-entry", "two-hands")
    world.faults = [f for f in world.faults if len(f.lines) >= (2 if f.kind in pairs else 1)]
    witnesses = Witnesses(world)
    for fault in world.faults:
        fault.visible = witnesses.shows(fault)


def cards_of(world: World) -> list[Card]:
    """The cards of the works, lost ones too."""
    return [card for card in world.cards if card.source.startswith(("S1", "S2"))]
