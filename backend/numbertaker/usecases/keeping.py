"""Histories to JSON texts and back, without loss, so that a program that starts need not reconcile again.

The public format rounds and leaves things out; this one follows the fields of the values themselves: a value
is the list of its fields. What many statements of a component have in common, the words that explain them and
the subjects that their cells could mean, stands once in its text, and is referred to by its number.
"""

from __future__ import annotations

import json
import types
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from operator import attrgetter
from typing import Any, Final, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

from numbertaker.reconciling.history import Alternative, ComponentHistory, History, Words

REST: Final = ""
"""The part that has what belongs to no component."""
_COMMON: Final[tuple[type, ...]] = (Words, Alternative)
"""The types whose values stand once in each text."""
_PLAIN: Final = (str, int, float, bool, type(None))

Common: TypeAlias = Mapping[type, list[Any]]
Reader: TypeAlias = Callable[[Any, Common], Any]


def parts_of(history: History, before: History | None = None) -> Iterator[tuple[str, str]]:
    """A text for each component by its id, and one for the rest, each made when it is asked for.

    Of the components that are as before there is none.
    """
    known = {c.component_id: c for c in before.components} if before is not None else {}
    for component in history.components:
        if not _same(component, known.get(component.component_id)):
            yield component.component_id, text_of(component)
    yield REST, text_of(replace(history, components=()))


def _same(one: ComponentHistory, other: ComponentHistory | None) -> bool:
    return one is other or one == other


def whole_of(parts: Iterable[tuple[str, str]]) -> History:
    """The history that `parts_of` took apart; its parts may come in any order."""
    rest = History(())
    components: list[ComponentHistory] = []
    known: dict[Any, Any] = {}
    for key, text in parts:
        if key == REST:
            rest = value_of(History, text, known)
        else:
            components.append(value_of(ComponentHistory, text, known))
    return replace(rest, components=tuple(sorted(components, key=attrgetter("component_id"))))


def text_of(value: object) -> str:
    """A value as JSON: its fields, and behind them what several of them have in common."""
    numbers: dict[type, dict[Any, int]] = {kind: {} for kind in _COMMON}
    common: list[list[Any]] = [[] for _ in _COMMON]

    def plain(one: Any) -> Any:
        kind: type = type(one)
        told, seen = _told_by(kind)(one), numbers.get(kind)
        if seen is None:
            return told
        number = seen.setdefault(one, len(seen))
        if number == len(common[_COMMON.index(kind)]):
            common[_COMMON.index(kind)].append(told)
        return number

    # The list of what is common fills while the value is written, and is written after it.
    return json.dumps(
        [value, common], default=plain, ensure_ascii=False, separators=(",", ":"), check_circular=False
    )


@cache
def _told_by(kind: type) -> Callable[[Any], Any]:
    """What takes the fields out of a value of a type, in their order."""
    names = [f.name for f in fields(kind)]
    return attrgetter(*names) if len(names) > 1 else lambda value: (getattr(value, names[0]),)


def value_of(kind: Any, text: str, known: dict[Any, Any] | None = None) -> Any:
    """The value of a type that `text_of` wrote. What equals something in `known` is that very value."""
    told, common = json.loads(text)
    known = {} if known is None else known
    shared: dict[type, list[Any]] = {}
    for one, rows in zip(_COMMON, common, strict=True):
        values = (_of_fields(one)(row, shared) for row in rows)
        shared[one] = [known.setdefault(value, value) for value in values]
    read = _reader(kind)
    return told if read is None else read(told, shared)


@cache
def _reader(kind: Any) -> Reader | None:
    """What makes a value of a type out of what JSON has; None where JSON has the value itself."""
    if kind in _PLAIN or get_origin(kind) is Literal:
        return None
    if kind in _COMMON:
        return lambda number, common: common[kind][number]
    if isinstance(kind, type) and is_dataclass(kind):
        return _of_fields(kind)
    if get_origin(kind) is tuple:
        return _of_tuple(get_args(kind))
    if get_origin(kind) in (Union, types.UnionType):
        readers = [read for one in get_args(kind) if (read := _reader(one)) is not None]
        if len(readers) < 2:
            return readers[0] if readers else None
    raise TypeError(f"No way is known to keep a {kind}.")


@cache
def _of_fields(kind: type) -> Reader:
    """Fields that JSON has as they are stay where they are in the list; only the others are read."""
    hints = get_type_hints(kind)
    names = [f.name for f in fields(kind)]
    to_read = [(place, read) for place, n in enumerate(names) if (read := _reader(hints[n])) is not None]
    by_name = any(f.kw_only for f in fields(kind))

    def made(told: Any, common: Common) -> Any:
        for place, read in to_read:
            if told[place] is not None:
                told[place] = read(told[place], common)
        return kind(**dict(zip(names, told, strict=True))) if by_name else kind(*told)

    return made


def _of_tuple(kinds: tuple[Any, ...]) -> Reader:
    first, *others = (None if kind is Ellipsis else _reader(kind) for kind in kinds)
    if kinds[1:] != (Ellipsis,):
        return _of_parts([first, *others])
    if first is None:
        return lambda told, _: tuple(told)
    read = first
    return lambda told, common: tuple(read(part, common) for part in told)


def _of_parts(readers: list[Reader | None]) -> Reader:
    def made(told: Any, common: Common) -> Any:
        return tuple(
            part if read is None or part is None else read(part, common)
            for read, part in zip(readers, told, strict=True)
        )

    return made
