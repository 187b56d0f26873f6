"""A learnt form is laid over a card by its titles, its order and its widths, none of which need be exact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from numbertaker.reading.cuts import Evidence, best_cutting, weigh
from numbertaker.reading.fitting import best_fit, fit
from numbertaker.reading.learnt import LearntForm
from numbertaker.reading.marks import Box
from numbertaker.reading.titles import Word

FORM = LearntForm(
    "shed-list", "statement", ("engine", "fitted", "removed", "place"), ("Engine", "Fitted", "Removed", "At"),
    (0.0, 0.2, 0.45, 0.7, 1.0), False, (238, 228, 205),
)  # fmt: skip
OTHER = LearntForm(
    "stores", "statement", ("component", "total_miles", "remarks"), ("Boiler", "Total miles", "Remarks"),
    (0.0, 0.3, 0.6, 1.0), False, (238, 228, 205),
)  # fmt: skip


def card(starts: Sequence[float], titles: Sequence[str], wide: float = 60.0) -> Evidence:
    """An unruled list of eight rows whose columns begin at some places, a title over each."""
    over = [(x, t) for x, t in zip(starts, titles, strict=True) if t]
    words = tuple(Word(Box(x, 10, x + 12 * len(t), 26), t, 1.0) for x, t in over)
    runs = [[Box(x, 40 + 30 * i, x + wide, 56 + 30 * i) for x in starts] for i in range(8)]
    return Evidence(runs, runs, words, (), False, 16.0, 900)


def edges_of(evidence: Evidence, form: LearntForm) -> list[float]:
    """Where a form's inner cuts come to lie on a card."""
    weighed = weigh(evidence)
    assert weighed is not None
    fitted = fit(weighed, form)
    assert fitted is not None
    return [span.left.at for span in fitted.cutting(weighed).spans[1:]]


@pytest.mark.parametrize("starts", [(60, 200, 380, 560), (60, 330, 470, 760)], ids=["as learnt", "drifted"])
def test_columns_may_drift_from_card_to_card(starts: tuple[int, ...]) -> None:
    """Cuts lie in the gaps of the card before us, not where they lay on the card that taught the form."""
    found = edges_of(card(starts, FORM.titles), FORM)

    assert [a + 60 < x < b for x, a, b in zip(found, starts, starts[1:], strict=False)] == [True] * 3


def test_a_form_names_a_column_whose_title_was_not_read() -> None:
    """The third title is worn away: by its place between the others it is still the day of removal."""
    weighed = weigh(card((60, 200, 380, 560), ("Engine", "Fitted", "", "At")))
    assert weighed is not None
    free, fitted = best_cutting(weighed.evidence, weighed), best_fit(weighed, [FORM])

    assert free is not None
    assert fitted is not None
    assert "removed" not in [span.match.field for span in free.spans]
    assert [c.field for c in fitted.columns(fitted.cutting(weighed), ruled=False)] == list(FORM.fields)


def test_a_form_parts_what_the_gaps_would_part_once_more() -> None:
    """In the last column words stand as far apart as columns do: a form of four columns makes no fifth."""
    evidence = card((60, 200, 380, 560, 680), ("Engine", "Fitted", "Removed", "At", ""))
    assert len(edges_of(evidence, FORM)) == 3


def test_another_wording_of_a_field_is_as_good_as_the_printed_one() -> None:
    """A later printing says 'Put on' for 'Fitted'; the form is still the card's."""
    weighed = weigh(card((60, 200, 380, 560), ("Engine", "Put on", "Taken off", "At")))
    assert weighed is not None
    assert best_fit(weighed, [OTHER, FORM]) is not None


def test_none_of_these_is_an_answer_to_named_forms_too() -> None:
    """A card with other columns is pressed into no form, whether it is only offered or named."""
    weighed = weigh(card((60, 200, 380, 560), FORM.titles))
    assert weighed is not None
    assert best_fit(weighed, [OTHER]) is None
    assert best_fit(weighed, [OTHER], named="stores") is None


def test_what_is_known_of_a_form_never_leaves_its_bounds() -> None:
    """The fit and every column's agreement are shares of one."""
    weighed = weigh(card((60, 330, 470, 760), FORM.titles))
    assert weighed is not None
    for form in (FORM, OTHER):
        fitted = fit(weighed, form)
        assert fitted is None or 0 <= fitted.score <= 1
        assert fitted is None or np.all(np.clip(fitted.agreed, 0, 1) == fitted.agreed)


def test_titles_whose_letters_parted_are_still_titles() -> None:
    """Worn type is read as 'Eng ine' and 'Rem oved'; that is as good as whole words."""
    weighed = weigh(card((60, 200, 380, 560), ("Eng ine", "Fit ted", "Rem oved", "At")))
    assert weighed is not None
    fitted = best_fit(weighed, [FORM])
    assert fitted is not None
    assert fitted.agreed[:3] == (1.0, 1.0, 1.0)


def test_unread_titles_do_not_contradict_a_named_form() -> None:
    """Where nothing over the columns can be read a named form is taken; one that is only offered is not."""
    evidence = card((60, 200, 380, 560), ("G]", "L", "x7", "(("))
    faint = replace(evidence, header=[replace(w, confidence=0.2) for w in evidence.header])
    weighed = weigh(faint)
    assert weighed is not None
    assert best_fit(weighed, [FORM]) is None
    assert best_fit(weighed, [FORM], named="shed-list") is not None


def test_a_form_that_fits_much_better_is_taken_for_the_one_named() -> None:
    """A card laid into the wrong source is read by its own form."""
    weighed = weigh(card((60, 200, 380, 560), FORM.titles))
    assert weighed is not None
    fitted = best_fit(weighed, [OTHER, FORM], named="stores")
    assert fitted is not None
    assert fitted.form.name == "shed-list"


def test_cuts_stay_where_the_card_has_them() -> None:
    """A form says which gaps part its columns; where in a gap the cut lies best the card itself says."""
    weighed = weigh(card((60, 330, 470, 760), FORM.titles))
    assert weighed is not None
    free, fitted = best_cutting(weighed.evidence, weighed), fit(weighed, FORM)
    assert free is not None
    assert fitted is not None
    assert [s.left.at for s in fitted.cutting(weighed).spans] == [s.left.at for s in free.spans]


def test_the_same_columns_in_another_order_are_another_form() -> None:
    """A form with the card's own fields, the first two changed about, is none of its forms."""
    fields = ("fitted", "engine", "removed", "place")
    about = replace(FORM, name="about", fields=fields, titles=("Fitted", "Engine", "Removed", "At"))
    weighed = weigh(card((60, 200, 380, 560), FORM.titles))
    assert weighed is not None
    assert best_fit(weighed, [about]) is None
