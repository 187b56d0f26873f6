"""Laws of EDTF texts."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.strategies import DAY_TEXTS, EDTF_TEXTS, spans, whole_years_or_months

from numbertaker.evidence.days import Span
from numbertaker.evidence.edtf import Edtf, WideningPolicy, one_day, parse_edtf, span_edtf, widened
from numbertaker.evidence.errors import BadDate

SOME = settings(max_examples=100, deadline=None)


def assert_ordered(found: tuple[Span, ...]) -> None:
    """Spans one after another with at least a day between them."""
    assert found
    for earlier, later in pairwise(found):
        assert earlier.last is not None
        assert later.first is not None
        assert earlier.last + 1 < later.first


@SOME
@given(EDTF_TEXTS)
def test_a_text_survives_parsing(text: str) -> None:
    """What was parsed is given back as it stood, and parsing it again changes nothing."""
    parsed = parse_edtf(text)

    assert str(parsed) == text
    assert parse_edtf(str(parsed)) == parsed


@SOME
@given(EDTF_TEXTS)
def test_candidates_are_ordered_and_the_hull_is_theirs(text: str) -> None:
    """Ordered, apart from one another, and spanned exactly by the hull."""
    parsed = parse_edtf(text)

    assert_ordered(parsed.candidates)
    assert parsed.hull == Span(parsed.candidates[0].first, parsed.candidates[-1].last)
    assert all(parsed.hull.contains(span) for span in parsed.candidates)


@SOME
@given(EDTF_TEXTS, st.builds(WideningPolicy, st.integers(0, 3), st.integers(0, 3), st.integers(0, 2)))
def test_widening_never_loses_a_day(text: str, policy: WideningPolicy) -> None:
    """Every candidate lies within a widened span, and a wider policy holds what a narrower one holds."""
    parsed = parse_edtf(text)
    loose = widened(parsed, policy)
    looser = widened(parsed, WideningPolicy(policy.approximate_units + 1, policy.uncertain_units + 1, 2))

    assert_ordered(loose)
    assert all(any(wide.contains(span) for wide in loose) for span in parsed.candidates)
    assert all(any(wide.contains(span) for wide in looser) for span in loose)


@SOME
@given(spans())
def test_a_span_survives_being_written(span: Span) -> None:
    """The shortest text of a span has its days and no others, as an interval and as a set."""
    assert parse_edtf(span_edtf(span)).hull == span
    if span != Span(None, None):
        assert parse_edtf(span_edtf(span, one_of=True)).hull == span


@SOME
@given(whole_years_or_months())
def test_whole_months_are_written_without_days(span: Span) -> None:
    """What begins with a month and ends with one needs no days to say so."""
    assert len(span_edtf(span)) <= len("1911-04/1911-06")
    assert parse_edtf(span_edtf(span)).hull == span


@SOME
@given(DAY_TEXTS)
def test_one_day_keeps_the_days(text: str) -> None:
    """Reading an interval as doubt about one day changes its kind and not its days."""
    date = one_day(text)

    assert date.kind != "interval"
    assert date.hull == parse_edtf(text).hull


@SOME
@given(
    st.text(st.characters(codec="utf-8"), max_size=20) | st.text("0123456789X-/.[]{}?~%YES,TZ:u", max_size=20)
)
@example("../..")
def test_any_text_is_parsed_or_refused(text: str) -> None:
    """Nothing else can come of it: no crash, no silence, and a refused text is quoted in the message."""
    outcome = parsed_or_refused(text)

    if isinstance(outcome, BadDate):
        assert outcome.text == text
        assert str(outcome).endswith(".")
    else:
        assert outcome.text == text
        assert_ordered(outcome.candidates)


def parsed_or_refused(text: str) -> Edtf | BadDate:
    """What comes of a text, an error as a value."""
    try:
        return parse_edtf(text)
    except BadDate as refusal:
        return refusal


@SOME
@given(EDTF_TEXTS.filter(lambda text: "/" not in text), st.sampled_from([" ", "\n", "\t"]))
def test_a_space_is_always_refused(text: str, space: str) -> None:
    """EDTF has no spaces, wherever they stand; what is offered is the text without."""
    with pytest.raises(BadDate) as caught:
        parse_edtf(text + space)

    assert caught.value.offer == text
