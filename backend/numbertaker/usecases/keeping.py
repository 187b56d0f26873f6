"""Histories to JSON texts and back, without loss, so that a program that starts need not reconcile again.

The public format rounds and leaves things out; this one follows the fields of the values themselves.
"""

from __future__ import annotations

import json
import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from numbertaker.reconciling.history import ComponentHistory, History

REST: Final = ""
"""The part that has what belongs to no component."""
_COMPACT: Final = (",", ":")


def parts_of(history: History, before: History | None = None) -> dict[str, str]:
    """A text for each component, and one for the rest; of the components that are as before, none."""
    known = {c.component_id: c for c in before.components} if before is not None else {}
    changed = (c for c in history.components if not _same(c, known.get(c.component_id)))
    parts = {c.component_id: _text(c) for c in changed}
    return parts | {REST: _text(replace(history, components=()))}


def _same(one: ComponentHistory, other: ComponentHistory | None) -> bool:
    return one is other or one == other


def whole_of(parts: Mapping[str, str]) -> History:
    """The history that `parts_of` took apart."""
    rest: History = value_of(History, json.loads(parts[REST]))
    components = (value_of(ComponentHistory, json.loads(text)) for key, text in parts.items() if key != REST)
    return replace(rest, components=tuple(components))


def _text(value: object) -> str:
    return json.dumps(plain_of(value), ensure_ascii=False, separators=_COMPACT)


def plain_of(value: Any) -> Any:
    """A value as JSON has it: a dataclass as the list of its fields, a tuple as a list."""
    if is_dataclass(value):
        return [plain_of(getattr(value, f.name)) for f in fields(value)]
    if isinstance(value, tuple):
        return [plain_of(item) for item in value]
    return value


def value_of(kind: Any, plain: Any) -> Any:
    """The value of a type that `plain_of` made plain."""
    if plain is None or kind in (str, int, float, bool):
        return plain
    if isinstance(kind, type) and is_dataclass(kind):
        return kind(**{n: value_of(t, p) for (n, t), p in zip(_hints(kind), plain, strict=True)})
    if get_origin(kind) is tuple:
        first, *others = get_args(kind)
        if others == [Ellipsis]:
            return tuple(value_of(first, item) for item in plain)
        return tuple(value_of(t, item) for t, item in zip(get_args(kind), plain, strict=True))
    if get_origin(kind) in (Union, types.UnionType):
        return _of_union(get_args(kind), plain)
    if get_origin(kind) is Literal:
        return plain
    raise TypeError(f"No way is known to keep a {kind}.")


def _of_union(kinds: tuple[Any, ...], plain: Any) -> Any:
    """A value of one of several types: a plain one as it is, anything else as the one that is not plain."""
    if not isinstance(plain, list):
        return plain
    return value_of(next(kind for kind in kinds if kind not in (str, int, float, bool, type(None))), plain)


@cache
def _hints(kind: Any) -> tuple[tuple[str, Any], ...]:
    known = get_type_hints(kind)
    return tuple((f.name, known[f.name]) for f in fields(kind))
