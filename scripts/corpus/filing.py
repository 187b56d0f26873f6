"""Everything that survives, in the order in which it is filed."""

from __future__ import annotations

from random import Random

from .book import list_pages
from .cards import component_card, engine_card
from .papers import Paper
from .plantings import World
from .sheds import ledger_leaves, list_leaves, shed_cards


def write_papers(world: World, seed: int) -> list[Paper]:
    """Every card and page that survives, in the order in which they are filed."""

    def rng(name: str) -> Random:
        return Random(f"papers/{seed}/{name}")

    papers = [
        component_card(world, p, rng(p.component_id)) for p in world.railway.parts if p.kind == "boiler"
    ]
    papers += [engine_card(world, e, rng(e.engine_id)) for e in world.railway.engines if e.carded]
    papers += [
        component_card(world, p, rng(p.component_id)) for p in world.railway.parts if p.kind == "tender"
    ]
    papers += list_pages(world, rng("list"))
    papers += shed_cards(world, rng("sheds"))
    return papers + ledger_leaves(world, rng("ledger")) + list_leaves(world, rng("tank list"))
