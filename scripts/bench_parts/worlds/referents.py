"""Whom a written number or name means, taken at its word."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from .values import Bearing, World


class Referents:
    """Look-up of engines and components by what they bore."""

    def __init__(self, world: World) -> None:
        self._engines: dict[str, list[Bearing]] = defaultdict(list)
        self._components: dict[str, list[str]] = defaultdict(list)
        self._world = world
        for engine in world.engines.values():
            for bearing in engine.bearings:
                if bearing.scheme != "class":
                    self._engines[bearing.value].append(bearing)
        for component in world.components.values():
            self._components[component.number].append(component.id)

    def meant(self, field: str, text: str, day: date) -> str | None:
        """The id that the text means on a day; if none bore it then, the only one that ever did; or None."""
        if field == "component":
            ids = self._components.get(text, [])
            then = [i for i in ids if self._alive(i, day)]
        else:
            bearings = self._engines.get(text, [])
            ids = sorted({b.subject for b in bearings})
            then = [b.subject for b in bearings if b.first and b.last and b.first <= day <= b.last]
        if len(then) == 1:
            return then[0]
        return ids[0] if len(ids) == 1 else None

    def _alive(self, component_id: str, day: date) -> bool:
        component = self._world.components[component_id]
        return component.built <= day and (component.condemned is None or day <= component.condemned)
