"""Whom a person means by an id, a number or a name."""

from __future__ import annotations

from collections.abc import Iterable

from numbertaker.evidence.designations import bare_number, read_number
from numbertaker.evidence.errors import Ambiguous, NotFound
from numbertaker.evidence.records import Evidence
from numbertaker.publishing.names import Names


def component_id_of(evidence: Evidence, wanted: str) -> str:
    """The component that an id or a number means."""
    ids = [component.component_id for component in evidence.components]
    return _resolved(evidence, "component", wanted, ids, ("number",))


def engine_id_of(evidence: Evidence, wanted: str) -> str:
    """The engine that an id, a number or a name means."""
    ids = [engine.engine_id for engine in evidence.engines]
    return _resolved(evidence, "engine", wanted, ids, ("number", "name"))


def _resolved(evidence: Evidence, what: str, wanted: str, ids: list[str], schemes: Iterable[str]) -> str:
    if wanted in ids:
        return wanted
    found = _bearers(evidence, wanted, frozenset(ids), frozenset(schemes))
    if not found:
        raise NotFound(what, wanted)
    if len(found) > 1:
        raise Ambiguous(what, wanted, [_told(evidence, what, subject_id) for subject_id in found])
    return found[0]


def _bearers(evidence: Evidence, wanted: str, ids: frozenset[str], schemes: frozenset[str]) -> list[str]:
    """Everything of that kind that ever bore the number or name, in the order of the tables."""
    written = read_number(wanted)
    sought = {bare_number(wanted), written.number, written.name.casefold(), wanted.strip().casefold()} - {""}
    bearers = (
        row.subject_id
        for row in evidence.designations
        if row.subject_id in ids and row.scheme in schemes and _alike(row.scheme, row.value) in sought
    )
    return list(dict.fromkeys(bearers))


def _alike(scheme: str, value: str) -> str:
    return bare_number(value) if scheme == "number" else value.casefold()


def _told(evidence: Evidence, what: str, subject_id: str) -> str:
    """A candidate as a person can choose it: its id, and what it was ever called."""
    names = Names(evidence)
    called = names.component(subject_id) if what == "component" else names.all_of(subject_id)
    return f"{subject_id} ({called})"
