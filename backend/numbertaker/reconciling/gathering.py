"""What a history is put together from, by card and by component, kept from run to run: which stays are given
as fitments, what every cell means, and what was found. Only what news touches is gathered anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from numbertaker.evidence.records import CELL_FIELDS
from numbertaker.reconciling.cells import cells_of, heading_cell
from numbertaker.reconciling.confidence import Rows
from numbertaker.reconciling.entries import CardKey, Draft, Entry, Stay
from numbertaker.reconciling.history import CellMeaning, ComponentHistory, Finding, Reasons
from numbertaker.reconciling.pairing import references
from numbertaker.reconciling.weighing.conflicts import Conflicts
from numbertaker.reconciling.weighing.findings import weighed
from numbertaker.reconciling.weighing.fitments import fitment_rows

UNPLACED: Final = "\n unplaced"
ENGINES: Final = "\n engines"
GENERAL: Final = "\n general"
"""Names that no component has: cells of no component, cells of engines alone, findings about no component."""
_STANDS_ABOVE = 0.5


class Gathered:
    """The fitments, cells and findings of every component."""

    def __init__(self) -> None:
        """Start with none."""
        self.components: dict[str, ComponentHistory] = {}
        self.given: dict[Stay, tuple[float, Reasons]] = {}
        self._conflicts = Conflicts()
        self._on: dict[str, dict[Stay, None]] = {}
        self._of_stay: dict[Stay, str] = {}
        self._name_of: dict[Entry, str] = {}
        self._cells: dict[Entry, list[CellMeaning]] = {}
        self._entries: dict[str, dict[Entry, None]] = {}
        self._first: dict[CardKey, Entry] = {}
        self._found: dict[str, dict[str, Finding]] = {}

    # ------------------------------------------------------------------ what a component has

    def stays(self, name: str) -> list[Stay]:
        """The stays of a component that are likely enough to be given, in their order."""
        return sorted(self._on.get(name, ()), key=lambda s: s.rank)

    def cells(self, name: str) -> tuple[CellMeaning, ...]:
        """Its cells, line by line."""
        entries = sorted(self._entries.get(name, ()), key=lambda e: e.rank)
        return tuple(cell for entry in entries for cell in self.cells_of(entry))

    def cells_of(self, entry: Entry) -> list[CellMeaning]:
        """What the cells of a line mean."""
        return self._cells[entry]

    def findings(self, name: str) -> tuple[Finding, ...]:
        """Its findings, by time."""
        return tuple(
            sorted(self._found.get(name, {}).values(), key=lambda f: (f.earliest or 0, f.kind, f.lines, f.id))
        )

    # ------------------------------------------------------------------ what is new

    def renew(self, draft: Draft) -> dict[str, None]:
        """Gather what is news; the components of which anything may be otherwise."""
        news = draft.news
        names = dict.fromkeys(draft.index.components) if not self.components else {}
        names |= {name: None for sort, name in news.chains if sort == "component"}
        names |= dict.fromkeys((*news.ladders, *(name for _, name in news.looked), *self._findings(draft)))
        lines = [line for name in news.findings for line in self._lines_of(draft, name)]
        lines += [cell.line_id for cell in news.spoken]
        entries = dict.fromkeys(e for line in lines if (e := draft.entry_of.get(line)) is not None)
        stays = dict.fromkeys((*news.stays, *news.dated, *news.reckoned, *news.redated))
        stays |= {e.stay: None for e in entries if e.stay is not None}
        chains = (draft.on_component.get(name, ()) for sort, name in news.chains if sort == "component")
        stays |= {stay: None for chain in chains for stay in chain}
        for stay in (*news.left, *stays):
            names |= dict.fromkeys(self._give(draft, stay))
        entries |= {e: None for stay in stays if stay in draft.stays for e in stay.entries}
        entries |= dict.fromkeys((*news.entries, *news.lines, *self._headed(draft)))
        for entry in (*news.gone, *entries):
            names |= dict.fromkeys(self._read(draft, entry))
        return names

    def _lines_of(self, draft: Draft, name: str) -> Iterator[str]:
        """The lines of a finding, as it was and as it is."""
        for one in (draft.news.findings.get(name), draft.findings.get(name)):
            if one is not None:
                yield from (*one[0].lines, *(claim.line_id for claim in one[0].claims))

    def _findings(self, draft: Draft) -> Iterator[str]:
        """Take in the findings with news; gives the components that they are about."""
        for key, before in draft.news.findings.items():
            now = draft.findings.get(key)
            self._conflicts.replace(before[0] if before else None, now[0] if now else None)
            for one in (before, now):
                about = [n for n in one[1] if n in draft.index.components] if one else []
                for name in about or [GENERAL]:
                    if one is not None and one is now:
                        self._found.setdefault(name, {})[key] = weighed(one[0])
                    else:
                        self._found.get(name, {}).pop(key, None)
                    yield name

    def _give(self, draft: Draft, stay: Stay) -> Iterator[str]:
        """Weigh a stay; gives the components that it was and is of, where it is given."""
        known = self._of_stay.pop(stay, None)
        self.given.pop(stay, None)
        if known is not None:
            del self._on[known][stay]
            yield known
        rows = fitment(draft, stay, self._conflicts) if stay in draft.stays else None
        if rows is not None and stay.component_id is not None:
            self.given[stay] = rows.whole()
            self._of_stay[stay] = stay.component_id
            self._on.setdefault(stay.component_id, {})[stay] = None
            yield stay.component_id

    def _headed(self, draft: Draft) -> Iterator[Entry]:
        """The first entries of cards with news, with which headings go, and the entries with whose total
        something was done.
        """
        for card in draft.news.cards:
            entries = draft.cards.get(card, [])
            first = self._first.pop(card, None)
            if first is not None and first not in draft.news.gone:
                yield first
            if entries:
                self._first[card] = entries[0]
                yield entries[0]
            yield from (entry for entry in entries if entry.side == "component")

    def _read(self, draft: Draft, entry: Entry) -> Iterator[str]:
        """Say anew what the cells of a line mean; gives the components to which it belonged and does now."""
        known = self._name_of.pop(entry, None)
        if known is not None:
            del self._entries[known][entry]
            yield known
        if entry in draft.news.gone:
            self._cells.pop(entry, None)
            return
        elsewhere = ENGINES if entry.side == "engine" and entry.stay is None else UNPLACED
        self._name_of[entry] = name = belongs(draft, entry) or elsewhere
        self._entries.setdefault(name, {})[entry] = None
        self.keep_cells(draft, entry)
        yield name

    def keep_cells(self, draft: Draft, entry: Entry) -> None:
        """Keep what the cells of a line mean now."""
        self._cells[entry] = self.read_off(draft, entry)

    def read_off(self, draft: Draft, entry: Entry) -> list[CellMeaning]:
        """What the cells of a line mean, in their order; on a card's first line, its heading too."""
        given = entry.stay is not None and entry.stay in self.given
        cells = cells_of(draft, entry, given, self._conflicts)
        if self._first.get(entry.card) is entry:
            cells = [*heading_cell(draft, draft.cards[entry.card]), *cells]
        cells.sort(key=lambda c: (c.line_id != entry.id, CELL_FIELDS.index(c.field)))
        return cells


def fitment(draft: Draft, stay: Stay, conflicts: Conflicts) -> Rows | None:
    """Why a stay is given as a fitment; None where it is not likely enough to be."""
    if stay.rough is None or stay.engine_id is None or stay.component_id is None:
        return None
    rows = fitment_rows(draft, stay, conflicts)
    return rows if rows.probability > draft.settings.given_above else None


def belongs(draft: Draft, entry: Entry) -> str | None:
    """The component that a line is most probably about, if any is likely."""
    stay = entry.stay
    if stay is None:
        return entry.component_id
    if stay.component_sure >= _STANDS_ABOVE:
        return stay.component_id
    return entry.component_id if entry.side == "component" else _named(draft, entry)


def _named(draft: Draft, entry: Entry) -> str | None:
    """The component that a statement names by the number it bore, whether or not it was on that engine."""
    if entry.side != "statement":
        return None
    exact = [c for c in references(draft, entry, "component").bearers if c.exact]
    return exact[0].subject_id if len(exact) == 1 else None
