"""Confidence is a sum of rows, each of which a person can read and weigh again."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.railways import MIRROR, OWN, copied, own, railway

from numbertaker.evidence.decisions import follow
from numbertaker.evidence.errors import BadInput
from numbertaker.linking import probability_of
from numbertaker.reconciling import SHIPPED, Learnt, reconcile
from numbertaker.reconciling.history import CellMeaning, Reason
from numbertaker.reconciling.learning import Share
from numbertaker.reconciling.weighing import WEIGHTS, Kind, Term, Weights, rows_of
from numbertaker.reconciling.weighing.weights import weights_of
from numbertaker.reconciling.weighing.witnesses import Voices

PLAIN = Weights({"date": Kind(1.0, {"read": (1.0, 1.0), "against": (0.0, -2.0)})}, {})


def cells(*lines) -> dict[str, CellMeaning]:
    """The cells of boiler 51 by their names."""
    component = reconcile(follow(railway(*lines))).components[0]
    return {str(cell.key): cell for cell in component.cells}


def test_terms_of_one_row_add_up() -> None:
    """Each term counts times its weight, after the start; what has no weight adds nothing and is left out."""
    terms = [Term("read", 3.0, "read", "as written"), Term("unheard of", 9.0, "order")]
    terms.append(Term("against", 2.0, "agreement", "two contradict"))
    assert list(rows_of("date", terms, PLAIN).reasons) == [
        Reason("start", 1.0, "where the sum begins for a statement of this kind"),
        Reason("read", 3.0, "as written"),
        Reason("agreement", -4.0, "two contradict"),
    ]


def test_a_term_has_one_weight_below_nought_and_one_above() -> None:
    """Nobody contradicting is no agreement: the same name weighs otherwise on the other side."""
    assert rows_of("date", [Term("against", -2.0, "agreement")], PLAIN).weight == 1.0


def test_one_thing_alone_never_decides_beyond_its_measure() -> None:
    """More than twelve in log2 odds of one thing adds nothing."""
    terms = [Term("read", 500.0, "read", "as written")]
    assert rows_of("date", terms, PLAIN).weight == 13.0


def test_the_rows_of_every_cell_add_up_to_its_confidence() -> None:
    """A reader adds the weights and comes to the probability, within what rounding leaves."""
    history = reconcile(follow(railway(*OWN, *MIRROR, copied("S4", 1, OWN[1]))))
    told = [(c.confidence, c.reasons) for c in history.components[0].cells if c.reasons]
    told += [(f.confidence, f.reasons) for f in history.components[0].fitments]
    assert told
    for confidence, reasons in told:
        assert probability_of(sum(row.weight for row in reasons)) == pytest.approx(confidence, abs=2e-3)
        assert all(row.says for row in reasons)


def test_a_figure_that_the_facing_card_repeats_is_surer() -> None:
    """Two independent cards with the same figure are surer than one of them alone."""
    both, alone = cells(*OWN, *MIRROR), cells(*OWN)
    assert both["S1-51-2/miles"].confidence > alone["S1-51-2/miles"].confidence


def test_a_figure_against_another_is_doubted_and_nothing_rests_on_it() -> None:
    """One card against one: neither figure is near certain, and the history rests on neither."""
    found = cells(OWN[0], replace(OWN[1], miles="82,177"), *OWN[2:], *MIRROR)
    for key in ("S1-51-2/miles", "S2-202-1/miles"):
        assert found[key].confidence < 0.8
        assert not found[key].used


def test_a_cell_read_less_surely_is_less_sure() -> None:
    """The reading's own doubt goes into the row of that name."""
    line = own(1, "201", "5.1904", "3.1907", "95,154")
    sure, doubtful = (
        cells(replace(line, reading=reading))["S1-51-1/miles"].confidence for reading in ("1.0", "0.6")
    )
    assert sure > doubtful


def test_who_agrees_is_said_in_words() -> None:
    """Numbers and verbs agree, and copies are told apart from sources that know for themselves."""
    assert Voices(1, 0, 0, 0).words("the date") == "one other independent source agrees on the date"
    assert Voices(2, 1, 0, 0).words("the date") == (
        "two other independent sources agree on the date, one other independent source contradicts the date"
    )
    assert Voices(0, 0, 1, 2).words("the date") == "one copy has the same, two copies have something else"
    assert Voices(loosely=1).words("the date") == "one less exact is not against it"
    assert Voices().words("the figure") == "nobody else speaks of the figure"


def test_a_year_bears_a_day_out_less_than_a_month_does() -> None:
    """A facing card that gives only the year would have said the same of another month of it."""
    month, year = (
        cells(*OWN, *MIRROR[:1], replace(MIRROR[1], removed=removed), *MIRROR[2:])["S1-51-2/removed"]
        for removed in ("11.1909", "1909")
    )
    assert month.confidence > year.confidence
    assert any("one less exact is not against it" in row.says for row in year.reasons)


def dated(removed: str, *copies: str, learnt: Learnt = SHIPPED) -> float:
    """How sure a removal is on boiler 51's card, against the facing card's, with what copies of it have."""
    lines = [replace(OWN[1], removed=removed), *MIRROR[1:2]]
    made = [replace(copied("S4", n, lines[0]), removed=text) for n, text in enumerate(copies, 1)]
    component = reconcile(follow(railway(*lines, *made)), learnt=learnt).components[0]
    return next(c.confidence for c in component.cells if str(c.key) == "S1-51-2/removed")


def test_a_copy_with_the_same_date_is_worth_what_misreadings_are() -> None:
    """That a copy has the date of its original shows that it was not misread: much where dates are misread,
    little where clerks wrote them wrongly, which is copied.
    """
    clerks, readers = (
        replace(SHIPPED, copying={**SHIPPED.copying, "read-date": Share(part)}) for part in (0.05, 0.9)
    )
    alone = dated("8.1910")
    assert alone == dated("8.1910", learnt=clerks) == dated("8.1910", learnt=readers)
    assert dated("8.1910", "8.1910", learnt=readers) > dated("8.1910", "8.1910", learnt=clerks) + 0.1
    assert abs(dated("8.1910", "8.1910", learnt=clerks) - alone) < 0.05


def test_the_weights_keep_the_sign_of_their_meaning() -> None:
    """More agreement never lowers, a contradiction never raises, and a surer reading never lowers."""
    for name, kind in WEIGHTS.kinds.items():
        for term, (below, above) in kind.weights.items():
            if term in {"read", "agree", "copies agree", "loosely", "read alike", "other date", "its miles"}:
                assert min(below, above) >= 0, (name, term)
            if term == "against" or term.startswith("in "):
                assert max(below, above) <= 0, (name, term)


def test_the_weights_say_what_they_rest_on() -> None:
    """The file names its maker, its seeds and how many cells, false ones among them, of each kind."""
    assert WEIGHTS.made["by"] == "scripts/train/confidence.py"
    counts = WEIGHTS.made["cells_and_false_ones"]
    assert all(cells > false >= 0 for cells, false in counts.values())


def test_weights_of_another_format_are_refused() -> None:
    """Weights whose meaning is not known weigh nothing."""
    with pytest.raises(BadInput, match="numbertaker-weights/1"):
        weights_of({"format": "numbertaker-weights/9"})
