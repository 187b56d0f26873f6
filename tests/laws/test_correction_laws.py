"""Corrections go out with a package and come back: nothing of what was read first is lost on the way."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.package.restoring import corrected, restored
from numbertaker.evidence.records import Decision, Evidence, Line, Reading

FIELDS = st.sampled_from(["engine", "miles", "remarks"])
TEXTS = st.sampled_from(["", "208", "63,310", "[illegible]"])
SHARES = st.sampled_from(["", "0.4"])
MARKS = st.sampled_from(["", "engine=ditto", "miles=struck:6;engine=ditto"])


@st.composite
def lines(draw: st.DrawFn) -> tuple[Line, ...]:
    """A few lines, read by a machine or typed."""
    made = []
    for n in range(draw(st.integers(1, 3))):
        sure = draw(SHARES)
        extra = (("reading_miles", sure),) if sure else ()
        made.append(
            Line(
                line_id=f"L{n}",
                source_id="S1",
                side="engine",
                says="fitment",
                engine=draw(TEXTS),
                miles=draw(TEXTS),
                remarks=draw(TEXTS),
                marks=draw(MARKS),
                reading=draw(SHARES),
                extra=extra,
            )
        )
    return tuple(made)


@st.composite
def logs(draw: st.DrawFn) -> tuple[Decision, ...]:
    """Corrections of any cell, one after the other, some of them taken back."""
    log: list[Decision] = []
    for n in range(1, draw(st.integers(0, 6)) + 1):
        earlier = [d.decision_id for d in log]
        undone = draw(st.sampled_from(["", *earlier]))
        kind, target = (
            ("revoke", undone) if undone else ("cell", f"L{draw(st.integers(0, 2))}/{draw(FIELDS)}")
        )
        ruling = "" if undone else draw(TEXTS)
        log.append(
            Decision(
                decision_id=f"D{n}",
                kind=kind,
                target=target,
                ruling=ruling,
                reason="r",
                by="A",
                at=f"{n}",
                revokes=undone,
            )
        )
    return tuple(log)


@given(lines(), logs())
@settings(max_examples=200, deadline=None)
def test_what_was_corrected_can_be_restored(first: tuple[Line, ...], log: tuple[Decision, ...]) -> None:
    """From the current lines, the earlier readings and the log, the lines are again what they were."""
    earlier = (Reading(line_id="L0", field="miles", text="6", by="some", at="0"),)
    out = corrected(Evidence(lines=first, decisions=log), earlier)
    back = restored(out.lines, out.readings, [decision.decision_id for decision in log])

    assert [cells(line) for line in back.lines] == [cells(line) for line in first]
    assert back.readings == earlier


@given(lines(), logs())
@settings(max_examples=100, deadline=None)
def test_what_goes_out_is_the_current_reading(first: tuple[Line, ...], log: tuple[Decision, ...]) -> None:
    """Each cell that goes out has the text that the standing corrections give it."""
    evidence = Evidence(lines=first, decisions=log)
    out = corrected(evidence, ())
    for gone_out, now in zip(out.lines, follow(evidence).evidence.lines, strict=True):
        for field in ("engine", "miles", "remarks"):
            assert gone_out.text(field) == now.text(field)


def cells(line: Line) -> dict[str, str]:
    return {column: text for column, text in line.row().items() if text}
