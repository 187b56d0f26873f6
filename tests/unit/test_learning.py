"""What an archive teaches: a value that an explicit step makes, and nothing else moves."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import delete
from sqlalchemy.exc import IntegrityError
from tests.archives import new_archive
from tests.railways import copied, mirror, own, railway

from numbertaker.archive import Archive
from numbertaker.archive.tables import LEARNT
from numbertaker.evidence.days import civil, from_iso
from numbertaker.evidence.decisions import follow
from numbertaker.evidence.errors import BadInput
from numbertaker.evidence.records import Line
from numbertaker.reconciling import SHIPPED, Learnt, learn, reconcile
from numbertaker.reconciling.history import Finding
from numbertaker.reconciling.learning import Share, of_json
from numbertaker.reconciling.learning.learnt import Apart, InWorks
from numbertaker.usecases import learn as learning
from numbertaker.usecases.decide import decide
from numbertaker.usecases.look.learnt import learnt_view
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.reconcile import current

ROOT = Path(__file__).parents[2]


def fitments(differ: int, agree: int) -> list[Line]:
    """Boiler 51 going to and fro between two engines, with so many miles on which its two cards differ."""
    lines = []
    for n in range(differ + agree):
        number, start = ("201", "202")[n % 2], 1905 + n
        miles = str(30_000 + 17 * n)
        other = f"{miles[:-1]}{(int(miles[-1]) + 4) % 10}" if n < differ else miles
        lines.append(own(n + 1, number, f"3.2.{start}", f"5.1.{start + 1}", miles))
        lines.append(mirror(number, n + 1, "51", f"3.2.{start}", f"5.1.{start + 1}", miles=other))
    return lines


def test_the_stored_form_gives_the_value_back() -> None:
    """JSON and back is the identity, also of what was just learnt, so that a stored value weighs the same."""
    learnt = learn(follow(railway(*fitments(1, 5))))
    assert of_json(json.loads(json.dumps(learnt.to_json()))) == learnt
    assert of_json(SHIPPED.to_json()) == SHIPPED


def in_works(days: int, rounds: int) -> list[Line]:
    """Engine 201 with boilers 51 and 52 by turns, so many days in works between them."""
    start, lines = from_iso("1905-01-01"), []
    for n in range(rounds):
        end = start + 500 + n
        fitted, removed = (f"{d}.{m}.{y}" for y, m, d in map(civil, (start, end)))
        lines.append(mirror("201", n + 1, ("51", "52")[n % 2], fitted, removed))
        start = end + days + n % 3
    return lines


def test_times_in_works_are_learnt_of_engines_and_a_bare_engine_is_held_to_them() -> None:
    """Where engines come out of works in five weeks, five months are a gap; in slow works not."""
    bare = [f for f in learnt_and_found(40, 160) if f.kind == "gap"]
    assert [set(f.lines) for f in bare] == [{"S2-201-20", "S2-201-21"}]
    assert not [f for f in learnt_and_found(150, 160) if f.kind == "gap"]


def learnt_and_found(usual: int, last: int) -> tuple[Finding, ...]:
    """What is found in twenty usual times in works and one of another length."""
    lines = in_works(usual, 20)
    d, m, y = map(int, lines[-1].removed.split("."))
    start = from_iso(f"{y}-{m:02}-{d:02}") + last
    fitted, removed = (f"{d}.{m}.{y}" for y, m, d in map(civil, (start, start + 500)))
    ruled = follow(railway(*lines, mirror("201", 21, "51", fitted, removed)))
    return reconcile(ruled, learnt=learn(ruled)).all_findings()


def test_components_that_often_lie_for_years_unsaid_raise_no_gaps() -> None:
    """One long silence among many short times is a gap; where most are long, silence is usual."""
    learnt = replace(SHIPPED, in_works=InWorks(26.0, 40.0, 50.0), silent=Share(0.01, 80.0))
    assert learnt.usual_longest(90) == (pytest.approx(166.3, abs=0.1), True)
    often = replace(learnt, silent=Share(0.4, 80.0), away=Apart(400.0, 900.0, 40.0))
    assert often.usual_longest(90) == (pytest.approx(900 * 2.25**1.5 + 90), False)


def test_another_format_is_refused() -> None:
    """A value of another format is no learnt value."""
    with pytest.raises(BadInput, match="numbertaker-learnt/1"):
        of_json({"format": "numbertaker-learnt/0"})


def test_a_share_is_drawn_towards_what_was_taken_before() -> None:
    """The mean of a beta posterior: .02 counted for 300 cases, 9 hits in 100, is 15 in 400."""
    assert Share(0.02).after(9, 100, 300) == Share(15 / 400, 100)


def test_a_small_archive_moves_little() -> None:
    """Three differing figures in eight move the share of wrong ones by less than a hundredth, and upwards."""
    learnt = learn(follow(railway(*fitments(3, 5))))
    before, after = SHIPPED.slip("figure", "component-card"), learnt.slip("figure", "component-card")
    assert before < after < before + 0.01


def test_agreement_lowers_what_is_expected_to_be_wrong() -> None:
    """Cards that agree throughout are taken to be wrong less often than before."""
    learnt = learn(follow(railway(*fitments(0, 12))))
    assert learnt.slip("date", "component-card") < SHIPPED.slip("date", "component-card")
    assert learnt.ran("K").log_rate != SHIPPED.ran("K").log_rate


def test_a_typed_cell_has_no_misreading() -> None:
    """What a person typed was not misread; a cell read half surely is wrong oftener than one read surely."""
    assert SHIPPED.misreading("figure", None) == 0
    assert SHIPPED.misreading("figure", 0.5) > SHIPPED.misreading("figure", 0.9) > 0


def test_what_was_learnt_is_an_input_of_a_run() -> None:
    """A figure is doubted more in an archive of careless clerks."""
    ruled = follow(railway(own(1, "201", "3.2.1905", "5.1.1907", "50,000")))
    careless = Learnt(slips={**SHIPPED.slips, "figure": Share(0.2), "figure/component-card": Share(0.2)})
    usual, doubted = reconcile(ruled), reconcile(ruled, learnt=careless)
    cells = [next(c for c in h.components[0].cells if c.field == "miles") for h in (usual, doubted)]
    assert cells[0].confidence > cells[1].confidence


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """An archive with the tables and the true lines of the demo."""
    kept = new_archive(tmp_path / "archive")
    import_package(kept, ROOT / "corpus_demo" / "package", "A. Reader")
    return kept


def test_the_first_lines_are_learnt_from(archive: Archive) -> None:
    """The end of the first import with lines makes version 1; an import without news makes none."""
    import_package(archive, ROOT / "corpus_demo" / "package", "A. Reader")
    (lesson,) = archive.lessons()
    assert (lesson.version, lesson.by) == (1, "A. Reader")
    assert learnt_view(archive).lines == len(archive.evidence().lines)


def test_an_edit_never_changes_it_and_the_same_gives_the_same_bytes(archive: Archive) -> None:
    """A correction leaves what was learnt as it is, and so does taking it back; two runs are alike."""
    before, first = learning.in_force(archive), current(archive).to_json(explained=True)
    line = next(row for row in archive.evidence().lines if row.miles)
    decide(archive, "cell", f"{line.line_id}/miles", "12,345", "It is plain on the scan.", "A. Reader")
    assert current(archive).to_json(explained=True) != first
    assert learning.in_force(archive) == before
    assert len(archive.lessons()) == 1
    again = reconcile(archive.ruled(), learnt=before).to_json(explained=True)
    assert json.dumps(again) == json.dumps(current(archive).to_json(explained=True))


def test_learning_again_makes_a_version_only_where_something_is_new(archive: Archive) -> None:
    """The same evidence gives the version that is there; a corrected figure gives another one, on request."""
    assert learning.learn(archive).version == 1
    line = next(row for row in archive.evidence().lines if row.miles)
    decide(archive, "cell", f"{line.line_id}/miles", "12,345", "It is plain on the scan.", "A. Reader")
    lesson = learning.learn(archive, "B. Reader")
    assert (lesson.version, lesson.by) == (2, "B. Reader")
    assert [one.version for one in archive.lessons()] == [1, 2]


def test_versions_stay(archive: Archive) -> None:
    """What was learnt is never changed or deleted, by the database's own rule."""
    with pytest.raises(IntegrityError, match="never changed"), archive.engine.begin() as connection:
        connection.execute(delete(LEARNT))


def test_a_copy_tells_a_clerks_slip_from_a_misreading() -> None:
    """What a copy has too stood on the paper, so that the clerk is blamed; what it has not was misread."""
    lines = [replace(line, reading="0.9") if line.side == "component" else line for line in fitments(6, 6)]
    slipped = [line for line in lines if line.side == "component"][:6]
    alike = [copied("S4", n, line) for n, line in enumerate(slipped, 1)]
    other = {line.fitted: line.miles for line in lines if line.side == "engine"}
    apart = [replace(line, miles=other[line.fitted]) for line in alike]
    clerk, reader = (learn(follow(railway(*lines, *copies))) for copies in (alike, apart))
    assert clerk.misread["figure"].share < reader.misread["figure"].share
    assert clerk.read_after < SHIPPED.read_after < reader.read_after


def test_which_digit_is_taken_for_which_is_learnt_each_way_by_itself() -> None:
    """Where sevens are read as ones, and never ones as sevens, a 1 is the likelier wrong of the two."""
    lines = [
        line
        for n in range(8)
        for line in (
            own(n + 1, "201", f"3.2.{1905 + n}", f"5.1.{1906 + n}", f"3{n},278"),
            mirror("201", n + 1, "51", f"3.2.{1905 + n}", f"5.1.{1906 + n}", miles=f"3{n},278"),
        )
    ]
    copies = [
        replace(copied("S4", n, line), miles=line.miles.replace("78", "18"))
        for n, line in enumerate(lines[::2], 1)
    ]
    learnt = learn(follow(railway(*lines, *copies)))
    assert SHIPPED.taken("7", "1") == SHIPPED.taken("1", "7") == pytest.approx(0.8 / 30, abs=1e-6)
    assert learnt.taken("7", "1") > 5 * learnt.taken("1", "7")


def test_pairs_stored_before_each_way_was_learnt_count_half_each_way() -> None:
    """What an older program stored is read as it was meant."""
    plain = SHIPPED.to_json()
    plain["confusions"] = {"17": [0.3, 12.0], "38": [0.7, 28.0]}
    learnt = of_json(plain)
    assert learnt.taken("1", "7") == learnt.taken("7", "1") == 0.15
    assert learnt.confusions["83"] == Share(0.35, 14.0)


def test_a_copy_tells_so_of_dates_too() -> None:
    """Where copies have a card's date against the facing card, nobody misread it: that a copy has it too is
    worth little then, and much where copies side with the facing card.
    """
    lines = fitments(0, 6)
    wrong = [replace(line, removed=line.removed.replace(".1.", ".8.")) for line in lines[::2]]
    alike = [copied("S4", n, line) for n, line in enumerate(wrong, 1)]
    apart = [copied("S4", n, line) for n, line in enumerate(lines[::2], 1)]
    clerk, reader = (learn(follow(railway(*wrong, *lines[1::2], *copies))) for copies in (alike, apart))
    assert clerk.dates_read_after < SHIPPED.dates_read_after < reader.dates_read_after
    assert clerk.rightly_read < SHIPPED.rightly_read == 1.0 < reader.rightly_read
