"""As far as something new may reach among the statements: those and the stays that may belong together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeAlias

from numbertaker.reconciling.entries import Draft, Entry, Stay
from numbertaker.reconciling.statements import CARDS, Statements

MayBe: TypeAlias = Callable[[Draft, Entry, Stay], bool]


class Region:
    """Statements and stays that may have to do with one another, and with none besides.

    It begins with what is new. Where what is laid to a stay in it may concern another statement, or a
    statement may be of another stay, it grows, and everything in it is laid out again.
    """

    def __init__(self, draft: Draft, told: Statements) -> None:
        """Begin with all that is new, and all that had to do with what is new or no more."""
        self.draft, self.told = draft, told
        self.entries: dict[Entry, None] = {}
        self._stays: dict[Stay, None] = {}
        self._met: dict[Stay, None] = {}
        self._before: dict[Stay, tuple[list[Entry], list[Entry]]] = {}
        news = draft.news
        left = [stay for e in (*news.gone, *news.entries) for stay in (e.stay, told.lone.get(e))]
        for entry in (*news.gone, *news.entries):
            told.remove(entry)
        for entry in news.entries:
            told.add(draft, entry)
        for stay in left:
            self._take_stay(stay)
        for stay in tuple(news.left):
            self._let_go(stay)
        for entry in news.entries:
            self._take(entry)
            for head in (entry.twin, entry.beside):
                self._take_stay(head.stay if head else None)
        for stay in tuple(news.stays):
            self._take_stay(stay)

    def _let_go(self, stay: Stay) -> None:
        """Take in all who were laid, or might have been laid, to a stay that is no more."""
        laid = (*stay.others, *stay.twins)
        for entry in laid:
            if entry.stay is stay:
                entry.stay = None
        for entry in (*laid, *self.told.bidders.get(stay, ())):
            self._take(entry)
        self.told.unshelve(stay)

    def _take(self, entry: Entry) -> None:
        """Take in a statement, with every stay that it may be of."""
        if entry not in self.entries and entry in self.told.of:
            self.entries[entry] = None
            for stay in (entry.stay, *self.told.bids.get(entry, ())):
                self._take_stay(stay)

    def _take_stay(self, stay: Stay | None) -> None:
        """Take in a stay, with every statement that may be of it."""
        if stay is not None and stay not in self._stays and stay in self.draft.stays:
            self._stays[stay] = None
            self._before.setdefault(stay, (stay.others, stay.twins))
            for entry in (*stay.others, *stay.twins, *self.told.bidders.get(stay, ())):
                self._take(entry)

    def levels(self) -> Iterator[tuple[int, list[Entry]]]:
        """Its statements by how often they were copied, in their order."""
        of: dict[int, list[Entry]] = {}
        for entry in sorted(self.entries, key=lambda e: e.rank):
            of.setdefault(self.told.level(self.draft, entry), []).append(entry)
        yield from sorted(of.items())

    def clear(self) -> None:
        """Lay to its stays nothing but what stands on their cards."""
        for entry in self.entries:
            entry.stay = None
        for stay in self._stays:
            self.told.unshelve(stay)
            for entry in (*stay.others, *stay.twins):
                entry.stay = None
            stay.others, stay.twins = [], []
            if stay.own is None and stay.mirror is None:
                self.draft.stays.pop(stay, None)
            else:
                self._join_second_cards(stay)
                self._join_doubles(stay)
                self.told.shelve(stay, stay.entries, CARDS)

    def _join_second_cards(self, stay: Stay) -> None:
        """Lay to a stay what second cards say of the same."""
        beside = [e for entry in stay.entries for e in self.told.beside.get(entry, ())]
        for entry in sorted(beside, key=lambda e: e.rank):
            entry.stay = stay
            stay.others.append(entry)

    def _join_doubles(self, stay: Stay) -> None:
        """Lay to a stay the entries that say again what one of its entries says."""
        again = [d for entry in stay.entries for d in self.told.doubles.get(entry, ()) if d.stay is None]
        for entry in sorted(again, key=lambda e: e.rank):
            entry.stay = stay
            stay.twins.append(entry)

    def may_be(self, entry: Entry, stay: Stay) -> None:
        """Note that a statement may be of a stay."""
        self.told.bid(entry, stay)
        if stay not in self._stays:
            self._met[stay] = None
            # As it is now: the statement may be laid to it before it is taken in.
            self._before.setdefault(stay, ([*stay.others], [*stay.twins]))

    def alone(self, entry: Entry, level: int) -> Stay:
        """The stay that a statement makes by itself."""
        stay = self.told.lone.setdefault(entry, Stay())
        stay.others, stay.twins = [entry], []
        entry.stay = stay
        self._stays[stay] = self.draft.stays[stay] = None
        self.told.shelve(stay, (entry,), level)
        return stay

    def grew(self, may_be: MayBe) -> bool:
        """Take in what it reaches besides; whether that is anything."""
        size = len(self.entries), len(self._stays)
        if len(self.entries) < len(self.told.of):
            changed = [stay for stay in self._stays if stay in self.draft.stays and self._is_news(stay)]
            for stay in changed:
                for entry in tuple(self.told.naming(stay)):
                    if entry not in self.entries and may_be(self.draft, entry, stay):
                        self._take(entry)
        for stay in self._met:
            self._take_stay(stay)
        self._met.clear()
        return size != (len(self.entries), len(self._stays))

    def _is_news(self, stay: Stay) -> bool:
        return stay in self.draft.news.stays or self._before.get(stay) != (stay.others, stay.twins)

    def close(self) -> None:
        """Tell which of its stays are new, otherwise than before, or no more."""
        news = self.draft.news
        for stay in self._stays:
            self._join_doubles(stay)
            if stay not in self.draft.stays:
                self.told.unshelve(stay)
                news.stays.pop(stay, None)
                if stay in self._before:
                    news.left[stay] = None
            elif self._is_news(stay):
                news.stays[stay] = None
