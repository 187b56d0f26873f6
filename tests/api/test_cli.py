"""The command line: the verbs that other people's scripts call, what they print, and their exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.archives import new_archive, package, picture

from numbertaker.cli.main import run

ROOT = Path(__file__).parents[2]
CORPUS = ROOT / "corpus_demo"


@dataclass(frozen=True)
class Done:
    """How a command ended, and what it printed on either stream."""

    code: int
    out: str
    err: str


Call = Callable[..., Done]


@pytest.fixture
def call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Call:
    """Call the command in a folder with an empty archive, as the shell would."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("NUMBERTAKER_ARCHIVE", raising=False)
    new_archive(tmp_path / "archive").close()

    def called(*words: str | Path) -> Done:
        monkeypatch.setattr(sys, "argv", ["numbertaker", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            run()
        said = capsys.readouterr()
        return Done(int(ended.value.code or 0), said.out, said.err)

    return called


def test_a_package_goes_in_and_out(call: Call, tmp_path: Path) -> None:
    """Import and export work on a folder and a zip, and a second import has nothing new."""
    first = call("import", package(tmp_path / "in"))
    assert first.code == 0
    assert first.out.splitlines()[1].split() == ["sources", "1", "0"]

    assert call("export", "out.zip").code == 0
    again = call("import", "out.zip", "--json")
    assert json.loads(again.out) == {"new": {"sources": 0}, "unchanged": {"sources": 1}, "notices": []}


def test_who_brought_what_is_kept(call: Call, tmp_path: Path) -> None:
    """Imports that brought something are listed with who brought them; one that brought nothing is not."""
    first = package(tmp_path / "in")
    call("import", first, "--as", "A. Reader")
    call("import", first, "--as", "B. Reader")

    (note,) = json.loads(call("imports", "--json").out)["imports"]
    assert (note["name"], note["rows"], note["by"]) == ("in", 1, "A. Reader")
    assert "A. Reader" in call("imports").out


def test_a_clash_is_exit_code_2_and_lists_the_rows(call: Call, tmp_path: Path) -> None:
    """The same id with other content says which rows, and a prefix lets them in."""
    call("import", package(tmp_path / "in"))
    other = package(tmp_path / "other", sources="source_id,kind,title\nS1,letter,A letter\n")
    clash = call("import", other)

    assert (clash.code, clash.out) == (2, "")
    assert "- sources.csv, row 2: S1" in clash.err
    assert call("import", other, "--prefix", "W-").code == 0


def test_bad_input_is_exit_code_2_and_no_traceback(call: Call, tmp_path: Path) -> None:
    """A fault is one message with its place; so is a file that is not there."""
    bad = call("import", package(tmp_path / "in", engines="engine_id,built\nE1,April\n"))
    assert bad.code == 2
    assert bad.err.startswith("engines.csv, row 2, column built: expected an EDTF date")

    missing = call("take-in", "nowhere.jpg", "--source", "S1")
    assert (missing.code, missing.err) == (
        2,
        "nowhere.jpg: expected a file or a folder, found nothing there.\n",
    )


def test_scans_come_in_with_a_source(call: Call, tmp_path: Path) -> None:
    """An unknown source is refused; with its details it is made."""
    picture(tmp_path / "a.png")
    assert "There is no source 'S9'" in call("take-in", "a.png", "--source", "S9").err

    words = ("take-in", "a.png", "--source", "S9", "--kind", "letter", "--title", "A letter", "--json")
    made = call(*words, "--as", "A. Reader")
    assert json.loads(made.out)["cards"] == ["S9-1"]
    assert call("take-in", "a.png", "--source", "S9").out == "0 new scans, 1 cards.\n"


def test_the_archive_is_made_where_it_is_wanted(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An option goes before the variable, and the variable before ./archive; what is absent is made."""
    assert call("cards", "--json", "--archive", "made").code == 0
    assert (tmp_path / "made" / "numbertaker.db").is_file()

    monkeypatch.setenv("NUMBERTAKER_ARCHIVE", str(tmp_path / "other"))
    assert json.loads(call("cards", "--json").out) == {"format": "numbertaker-cards/1", "cards": []}
    assert (tmp_path / "other" / "numbertaker.db").is_file()


@pytest.fixture
def demo(call: Call) -> Call:
    """The command, in a folder whose archive has the demo's tables and lines."""
    assert call("import", CORPUS / "package").code == 0
    return call


def test_a_history_is_written_in_each_format(demo: Call, tmp_path: Path) -> None:
    """By number or by id, to a file or to the terminal."""
    for form in ("json", "md", "html"):
        assert demo("history", "52", "--format", form, "-o", f"out/52.{form}").code == 0
    made = json.loads((tmp_path / "out" / "52.json").read_text(encoding="utf-8"))
    assert [component["component_id"] for component in made["components"]] == ["B52"]
    assert "[^1]" in (tmp_path / "out" / "52.md").read_text(encoding="utf-8")
    assert demo("history", "B52").out == (tmp_path / "out" / "52.json").read_text(encoding="utf-8")

    assert demo("history", "--all", "--format", "json", "-o", "all.json").code == 0
    everything = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))
    assert len(everything["components"]) == 29
    assert demo("history", "--engine", "Ostrey Belle", "--format", "md").code == 0


def test_several_of_one_number_are_listed(demo: Call, tmp_path: Path) -> None:
    """A number given out twice names nobody: the candidates are listed, and nothing is written."""
    twice = demo("history", "--engine", "207", "--format", "md", "-o", "207.md")

    assert twice.code == 2
    assert "E06" in twice.err
    assert "E22" in twice.err
    assert not (tmp_path / "207.md").exists()
    assert demo("history", "999").err == "There is no component '999'.\n"
    assert demo("history").code == 2


def test_components_and_findings_can_be_listed(demo: Call) -> None:
    """For people as a table, for programs as JSON; the supported miles are the sum of the figures."""
    listed = json.loads(demo("components", "--json").out)["components"]
    assert {row["number"] for row in listed} >= {"43", "52", "66"}
    assert demo("components").out.splitlines()[0].startswith("component id  number")

    gaps = json.loads(demo("findings", "--kind", "gap", "--json").out)["findings"]
    assert [gap["lines"] for gap in gaps] == [["S1-52-9", "S1-52-10"]]
    assert "gap" in demo("findings").out
    assert demo("reconcile").out.startswith("29 components, ")


def test_a_decision_is_made_listed_and_taken_back(demo: Call) -> None:
    """A ruling needs a name, follows at once, and the log keeps both it and its end."""
    ruling = ("decide", "cell", "S1-46-3/miles", "68,567", "--reason", "As the other card has it.")
    nameless = demo(*ruling)
    assert nameless.code == 2
    assert "--as" in nameless.err

    made = demo(*ruling, "--as", "A. Reader", "--json")
    assert len(json.loads(made.out)["changed"]["findings_closed"]) == 1
    undone = demo("take-back", "D1", "--reason", "Not so sure.", "--as", "A. Reader")
    assert "D2 is in the log." in undone.out
    log = json.loads(demo("decisions", "--json").out)["decisions"]
    assert [(d["decision_id"], d["stands"]) for d in log] == [("D1", False), ("D2", False)]
    assert "taken back" in demo("decisions").out


def test_a_card_that_can_not_be_read_is_exit_code_1(call: Call, tmp_path: Path) -> None:
    """Reading goes through, the failure is said, and the exit code tells that something is left undone."""
    call("import", package(tmp_path / "in"))
    picture(tmp_path / "a.png")
    call("take-in", "a.png", "--source", "S1")
    (scan,) = (path for path in (tmp_path / "archive" / "scans").rglob("*") if path.is_file())
    scan.write_bytes(b"damaged")
    ended = call("read", "--workers", "1", "--json")

    assert ended.code == 1
    (failure,) = json.loads(ended.out)["failures"]
    assert failure == {
        "card_id": "S1-1",
        "why": "a.png can't be read: it is no JPEG, PNG, TIFF, HEIC or PDF.",
    }


VERBS = """
    import imports export template learn take-in read cards reconcile history components findings
    decide take-back decisions demo serve
"""


@pytest.mark.parametrize("verb", VERBS.split())
def test_every_verb_helps_with_an_example(call: Call, verb: str) -> None:
    """`--help` of each verb shows how it is called."""
    helped = call(verb, "--help")
    assert helped.code == 0
    assert f"numbertaker {verb}" in helped.out.partition("Example")[2]


def test_help_loads_nothing_heavy() -> None:
    """The first word of the program comes without the database, the web or the reading of pictures."""
    program = """
import sys
sys.argv = ["numbertaker", "--help"]
from numbertaker.cli.main import run
try:
    run()
finally:
    heavy = ("sqlalchemy", "fastapi", "numpy", "cv2", "PIL", "openpyxl", "onnxruntime", "rapidfuzz")
    print([name for name in heavy if name in sys.modules], file=sys.stderr)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)

    assert "Exit codes:" in done.stdout
    assert done.stderr == "[]\n"


def test_what_is_unexpected_is_one_message(call: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the program itself gives no traceback unless one is asked for."""

    def broken(_: Path) -> Path:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr("numbertaker.usecases.packages.write_template", broken)
    ended = call("template", "new.xlsx")
    assert (ended.code, ended.out) == (1, "")
    assert ended.err.startswith("Something unexpected happened: RuntimeError: a fault of ours.")

    monkeypatch.setenv("NUMBERTAKER_TRACEBACK", "1")
    monkeypatch.setattr(sys, "argv", ["numbertaker", "template", "new.xlsx"])
    with pytest.raises(RuntimeError):
        run()


def test_the_demo_needs_its_folder(call: Call, tmp_path: Path) -> None:
    """Where the demo is not to be found, the command says so and fails."""
    ended = call("demo", "--corpus", tmp_path / "nowhere")
    assert ended.code == 2
    assert "nowhere" in ended.err


@pytest.mark.long
def test_the_demo_is_made_once(tmp_path: Path) -> None:
    """From its scans to the boiler's history; a second run reads nothing again and gives the same files."""
    command = [
        sys.executable,
        "-c",
        "from numbertaker.cli.main import run; run()",
        "demo",
        "--archive",
        tmp_path,
    ]
    environment = os.environ | {"PYTHONPATH": str(ROOT / "backend")}
    subprocess.run(command, check=True, env=environment, capture_output=True)
    first = {path.name: path.read_bytes() for path in (tmp_path / "exports").iterdir()}
    subprocess.run(command, check=True, env=environment, capture_output=True)

    assert sorted(first) == [f"boiler-52.{form}" for form in ("docx", "html", "json", "md", "pdf")]
    assert {path.name: path.read_bytes() for path in (tmp_path / "exports").iterdir()} == first
    (boiler,) = json.loads(first["boiler-52.json"])["components"]
    figures = [f["miles"]["value"] for f in boiler["fitments"] if f["miles"] and f["miles"]["value"]]
    assert boiler["miles"]["supported"] == sum(figures)
    assert "gap" in {finding["kind"] for finding in boiler["findings"]}


def test_an_archive_is_kept_and_comes_back(demo: Call, tmp_path: Path) -> None:
    """A bag, and an archive of it that gives out the same bag; a damaged one is exit code 2."""
    made = demo("bag", "kept", "--date", "2026-03-04", "--info", "Contact-Name=A. Reader", "--json")
    assert (made.code, json.loads(made.out)["bag"]) == (0, "kept")
    assert demo("restore", "kept", "--archive", "again").code == 0
    demo("bag", "second", "--archive", "again", "--date", "2026-03-04", "--info", "Contact-Name=A. Reader")
    one, other = ((tmp_path / name / "tagmanifest-sha512.txt").read_bytes() for name in ("kept", "second"))
    assert one == other
    (tmp_path / "kept/data/README.md").write_text("x", encoding="utf-8")
    damaged = demo("restore", "kept", "--archive", "third")
    assert (damaged.code, "Payload-Oxum" in damaged.err) == (2, True)
    assert not (tmp_path / "third").exists()


@pytest.mark.parametrize(
    "words",
    [
        ("keep", "provenance", "-o", "out"),
        ("keep", "annotations", "-o", "out"),
        ("keep", "iiif", "-o", "out"),
        ("keep", "hocr", "-o", "out.zip"),
        ("bibliography", "--format", "ris", "-o", "out"),
        ("analysis", "out"),
    ],
)
def test_each_part_can_be_kept_alone(demo: Call, tmp_path: Path, words: tuple[str, ...]) -> None:
    """Each is written under the name that was given, and the error stream says so."""
    done = demo(*words)
    assert (done.code, done.out) == (0, "")
    assert "Written: out" in done.err
    assert (tmp_path / next(word for word in words if word.startswith("out"))).exists()


def test_sources_are_printed(demo: Call) -> None:
    """Without a file they go to the standard output, ready for another program."""
    assert json.loads(demo("bibliography").out)[0]["id"] == "S1"
