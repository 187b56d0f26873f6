"""What corrections teach of a hand, and what it makes of the other cells of the source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from numbertaker.reading.hands import (
    UNKNOWN,
    Hand,
    LookedOver,
    learn_hand,
    propose_by_hand,
    propose_in_hand,
    reweighed,
)
from numbertaker.reading.hands.aligning import aligned
from numbertaker.reading.meaning import Known
from numbertaker.reading.values import CellReading, LineReading


def cell(text: str, confidence: float, *others: tuple[str, float]) -> CellReading:
    """A cell as a recogniser gives it."""
    return CellReading(text, confidence, (0, 0, 10, 10), tuple(others))


def figures(*pairs: tuple[str, str]) -> list[LookedOver]:
    """Cells of miles that were looked over: as read, as they stand."""
    return [LookedOver("miles", read, true) for read, true in pairs]


SEVENS = figures(
    ("12,104", "72,104"), ("1,188", "7,188"), ("33,140", "33,740"),
    *((f"{n},705", f"{n},705") for n in range(20, 26)),
    *((f"{n},015", f"{n},015") for n in range(30, 36)),
)  # fmt: skip
"""A hand whose 7 was read as 1 in 3 of 9 cells."""


def test_signs_are_paired_by_the_shortest_edit() -> None:
    """A lost comma is a sign read as nothing; the figures around it are paired with themselves."""
    assert list(aligned("4,759", "4759")) == [("4", "4"), (",", ""), ("7", "7"), ("5", "5"), ("9", "9")]


def test_a_cell_counts_once_for_each_pair_in_it() -> None:
    """Two sevens misread in one cell are one cell's word."""
    hand = learn_hand(figures(("11,104", "77,104"), ("1,200", "7,200")))
    assert hand.misread["7", "1"] == 2
    assert hand.met["7"] == 2


def test_the_reason_counts_the_cells() -> None:
    """A person reads how often it was so, and of how many."""
    found = propose_by_hand(cell("12,350", 0.62, ("72,350", 0.3)), "miles", learn_hand(SEVENS))
    assert found is not None
    assert (found.text, found.why) == (
        "72,350", "'7' was read as '1' in 3 of 9 cells looked over in this source",
    )  # fmt: skip
    assert 0.8 < found.confidence < 1


def test_one_correction_is_no_pattern() -> None:
    """A confusion that was seen once moves nothing."""
    hand = learn_hand(figures(("12,104", "72,104"), ("1,015", "1,015")))
    doubtful = cell("12,350", 0.6, ("72,350", 0.3))
    assert propose_by_hand(doubtful, "miles", hand) is None
    assert reweighed(doubtful, "miles", hand) == doubtful


def test_what_was_read_surely_stays_though_the_hand_slips_at_times() -> None:
    """Three of nine is no reason to doubt every 1 that the recogniser is sure of."""
    assert propose_by_hand(cell("12,350", 0.985, ("72,350", 0.004)), "miles", learn_hand(SEVENS)) is None


def test_a_hand_that_is_read_rightly_where_it_was_looked_at_is_believed() -> None:
    """The oftener the sign was read rightly, the less its few slips weigh."""
    many = [*SEVENS, *figures(*((f"{n},707", f"{n},707") for n in range(100, 400)))]
    doubtful = cell("12,350", 0.62, ("72,350", 0.3))
    assert propose_by_hand(doubtful, "miles", learn_hand(many)) is None


def test_a_word_that_was_corrected_is_corrected_elsewhere() -> None:
    """The same word as read, corrected twice, is proposed for the cells that nobody has looked at."""
    spelt = [
        LookedOver("place", "Brackwitb", "Brackwith"), LookedOver("place", "Brackwitb", "Brackwith"),
        *[LookedOver("place", "Ostrey", "Ostrey")] * 6,
    ]  # fmt: skip
    found = propose_by_hand(cell("Brackwitb", 0.9), "place", learn_hand(spelt))
    assert found is not None
    assert found.text == "Brackwith"
    assert found.why == "'Brackwitb' was corrected to 'Brackwith' in 2 cells of this source"


def test_a_word_of_the_clerk_s_own_is_left_alone() -> None:
    """'Brackwick' stands in a cell looked over: it is no misread Brackwith."""
    spelt = [
        *[LookedOver("place", "Brackwitb", "Brackwith")] * 3, LookedOver("place", "Brackwick", "Brackwick")
    ]  # fmt: skip
    assert propose_by_hand(cell("Brackwick", 0.5, ("Brackwith", 0.3)), "place", learn_hand(spelt)) is None


def test_a_known_word_among_the_readings_is_taken_before_a_new_one() -> None:
    """Where the recogniser wavers between a word of the clerk's and one never seen, his own is likelier."""
    spelt = [LookedOver("place", "Ostr", "Ostrey"), *[LookedOver("place", "Brackwith", "Brackwith")] * 9]
    found = propose_by_hand(cell("Brackwitk", 0.6, ("Brackwith", 0.35)), "place", learn_hand(spelt))
    assert found is not None
    assert found.why == "'Brackwith' stands in 9 cells looked over in this source, and 'Brackwitk' in none"


def test_marks_and_blanks_are_no_business_of_it() -> None:
    """A ditto or a blank is not weighed by signs."""
    hand = learn_hand(SEVENS)
    ditto = CellReading('"', 0.7, (0, 0, 1, 1), (("1", 0.2),), "ditto")
    assert propose_by_hand(ditto, "miles", hand) is None
    assert reweighed(cell("", 0.6, ("1", 0.2)), "miles", hand).confidence == 0.6


def test_the_whole_of_the_probabilities_stays() -> None:
    """Weighing anew shares out what there was; the text stays what was seen."""
    before = cell("12,350", 0.62, ("72,350", 0.3), ("12,950", 0.02))
    after = reweighed(before, "miles", learn_hand(SEVENS))
    assert after.text == before.text
    assert after.confidence + sum(p for _, p in after.alternatives) == pytest.approx(0.94)
    assert dict(after.alternatives)["72,350"] > after.confidence


texts = st.text("0123456789,", min_size=1, max_size=7)


@settings(max_examples=80, deadline=None)
@given(st.lists(texts, max_size=12), texts, st.floats(0.05, 0.99), texts)
def test_law_without_a_correction_nothing_is_proposed(
    seen: list[str], text: str, p: float, other: str
) -> None:
    """However many cells were looked over and found right, no cell is weighed anew by them."""
    hand = learn_hand([LookedOver("miles", one, one) for one in seen])
    doubtful = cell(text, p, (other, (1 - p) / 2))
    assert propose_by_hand(doubtful, "miles", hand) is None
    assert reweighed(doubtful, "miles", hand) == doubtful
    assert propose_by_hand(doubtful, "miles", UNKNOWN) is None


@settings(max_examples=60, deadline=None)
@given(st.permutations(SEVENS))
def test_law_the_order_of_corrections_does_not_matter(cells: list[LookedOver]) -> None:
    """The same cells looked over in any order teach the same."""
    assert same(learn_hand(cells), learn_hand(SEVENS))


def same(one: Hand, other: Hand) -> bool:
    return one == other and one.confusions == other.confusions


def test_the_lists_decide_among_what_the_hand_may_have_meant() -> None:
    """Every 7 of this hand is read as 1: of '311' the list knows what it was, and both reasons are given."""
    hand = learn_hand([LookedOver("engine", f"4{n}1", f"4{n}7") for n in (2, 3, 5, 6)])
    line = LineReading(1, "fitment", {"engine": cell("311", 0.99)})
    (told,) = propose_in_hand([line], Known(frozenset({"377", "208"})), hand).values()
    assert told.text == "377"
    assert told.why == (
        "nobody bore '311', and '377' was borne, and '7' was read as '1' in 4 of 4 cells looked over in this"
        " source"
    )
    assert propose_in_hand([line], Known(frozenset({"377", "208"})), UNKNOWN) == {}


def test_a_sign_that_always_is_another_is_proposed_though_nobody_named_it() -> None:
    """A hand's 'w/e' was read as 'W/e' in ten cells of ten: the count is surer than the reader."""
    hand = learn_hand([LookedOver("fitted", f"W/e {n}.6.33", f"w/e {n}.6.33") for n in range(10, 20)])
    found = propose_by_hand(cell("W/e 4.7.41", 0.9995), "fitted", hand)
    assert found is not None
    assert found.text == "w/e 4.7.41"


def test_as_often_this_as_that_is_no_proposal() -> None:
    """Where half of what was read as 1 is a 7, the sign alone tells nothing, and nothing is proposed."""
    half = figures(*((f"{n}1", f"{n}7") for n in range(20, 30)), *((f"{n}1", f"{n}1") for n in range(20, 30)))
    assert propose_by_hand(cell("41", 0.99), "engine", learn_hand(half)) is None


def test_a_word_of_the_clerk_s_does_not_give_way_to_one_he_never_wrote() -> None:
    """Lost letters elsewhere make no 'Denbuy' of a 'Denby' that stands in cells looked over."""
    lost = [LookedOver("place", "Brackwth", "Brackwith"), LookedOver("place", "Cnster", "Cinster")]
    kept = [LookedOver("place", "Denby", "Denby")] * 3
    hand = learn_hand([*lost, *lost, *kept])
    assert propose_by_hand(cell("Denby", 0.5, ("Dienby", 0.3)), "place", hand) is None
