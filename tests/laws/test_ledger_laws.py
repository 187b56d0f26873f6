"""What holds of joining the two ledgers, whatever stands in them."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.laws.test_reconciling_laws import spoilt
from tests.railways import railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.records import Component, Engine, Evidence, Line
from numbertaker.reconciling import reconcile, settled

_SIDES = {"component": "engine", "engine": "component", "statement": "statement"}


def exchanged(evidence: Evidence) -> Evidence:
    """Boilers become engines and engines boilers, lines and all."""
    return replace(
        evidence,
        engines=tuple(
            Engine(engine_id=c.component_id, built=c.built, withdrawn=c.condemned)
            for c in evidence.components
        ),
        components=tuple(
            Component(component_id=e.engine_id, kind="boiler", built=e.built, condemned=e.withdrawn)
            for e in evidence.engines
        ),
        lines=tuple(
            replace(line, side=_SIDES[line.side], engine=line.component, component=line.engine)
            for line in evidence.lines
        ),
    )


def joined(evidence: Evidence) -> set[frozenset[str]]:
    """The pairs of lines of both sides that were taken for one fitment."""
    return {frozenset({s.own.id, s.mirror.id}) for s in settled(follow(evidence)).stays if s.own and s.mirror}


@settings(max_examples=60, deadline=None)
@given(spoilt())
def test_the_two_sides_are_alike(lines: tuple[Line, ...]):
    """With boilers and engines exchanged the same lines are joined."""
    plain = replace(railway(*lines), fits=())
    assert joined(plain) == joined(exchanged(plain))


@settings(max_examples=40, deadline=None)
@given(spoilt(), st.randoms(use_true_random=False))
def test_what_lines_and_cards_are_called_is_nothing(lines: tuple[Line, ...], rng):
    """Other ids for lines and cards give the same fitments, resting on the same lines."""
    numbers = rng.sample(range(1000), len(lines))
    new = {line.line_id: f"N{number:03}" for line, number in zip(lines, numbers, strict=True)}
    cards = {card: f"C{n}" for n, card in enumerate(rng.sample(sorted({x.card_id for x in lines}), 4))}
    renamed = tuple(replace(line, line_id=new[line.line_id], card_id=cards[line.card_id]) for line in lines)
    for before, after in zip(_fitments(lines), _fitments(renamed), strict=True):
        assert (before.engine_id, before.fitted, before.removed, before.miles) == (
            after.engine_id,
            after.fitted,
            after.removed,
            after.miles,
        )
        assert {new[line] for line in before.evidence} == set(after.evidence)


def _fitments(lines: tuple[Line, ...]):
    return reconcile(follow(railway(*lines))).components[0].fitments
