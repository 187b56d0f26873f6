"""What didn't survive: lines lost off a card, with the dittos that dangle after them, and whole cards."""

from __future__ import annotations

from collections import defaultdict

from .accepts import DITTO, LOST
from .planting import Planter, follow_from
from .values import Card, Fitment, Line, World


def lines_by_fitment(world: World) -> dict[str, list[Line]]:
    """The surviving lines about each fitment."""
    about: dict[str, list[Line]] = defaultdict(list)
    for line in world.lines:
        if line.fitment:
            about[line.fitment].append(line)
    return about


def lose_line(planter: Planter, line: Line, about: dict[str, list[Line]]) -> bool:
    """A line torn, washed or never copied off a works card."""
    card = line.card
    if line.says != "fitment" or len(card.lines) < 3 or line not in about[line.fitment or ""]:
        return False
    place = card.lines.index(line)
    card.lines.remove(line)
    about[line.fitment or ""].remove(line)
    witnesses = about[line.fitment or ""]
    planter.record("lost-line", [*_around(card, place), *witnesses], [], LOST, sought=[line])
    if place < len(card.lines):
        _dangle(planter, card, place)
    return True


def _around(card: Card, place: int) -> list[Line]:
    """The lines on either side of a lost one, out to the next stays, and the total at the foot."""
    around: list[Line] = []
    for side in (reversed(card.lines[:place]), iter(card.lines[place:])):
        for line in side:
            around.append(line)
            if line.fitment:
                break
    return list(dict.fromkeys([*around, *(line for line in card.lines if line.says == "total")]))


def _dangle(planter: Planter, card: Card, place: int) -> None:
    """The ditto below a lost line now repeats the line above that."""
    field = "engine" if card.side == "component" else "component"
    line = card.lines[place]
    if field not in line.cells or not line.cells[field].ditto:
        return
    above = card.lines[place - 1].cells.get(field) if place else None
    was = line.cells[field].holds()
    lines = follow_from(line, field, above.literal if above else None)
    if was and not line.cells[field].holds():
        planter.record("dangling-ditto", [*lines, *card.lines[max(0, place - 1) : place]], [field], DITTO)


def lose_card(planter: Planter, card: Card) -> bool:
    """A whole card gone. What it alone told leaves a gap between the stays before and after."""
    if card.side == "statement" or len(card.lines) < 2 or not card.source.startswith(("S1", "S2")):
        return False
    card.lost = True
    return True


def record_gaps(planter: Planter) -> None:
    """Write down, once all losses are known, what each lost card leaves unaccounted for."""
    world = planter.world
    about = lines_by_fitment(world)
    chains: dict[str, list[Fitment]] = defaultdict(list)
    for stay in sorted(world.fitments.values(), key=lambda f: (f.fitted, f.id)):
        chains[stay.component].append(stay)
    for card in world.cards:
        if card.lost:
            for fitment in dict.fromkeys(line.fitment for line in card.lines if line.fitment):
                if not about.get(fitment):
                    _record_gap(planter, chains[world.fitments[fitment].component], fitment, about)


def _record_gap(planter: Planter, chain: list[Fitment], fitment: str, about: dict[str, list[Line]]) -> None:
    place = next(k for k, stay in enumerate(chain) if stay.id == fitment)
    before = next((about[s.id] for s in reversed(chain[:place]) if about.get(s.id)), [])
    after = next((about[s.id] for s in chain[place + 1 :] if about.get(s.id)), [])
    if before or after:
        planter.record("lost-card", [*before, *after], [], LOST)
