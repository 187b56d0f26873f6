"""The documents tell what the program does: every command, option, route and kind of finding.

A document that leaves one out, or that tells of one that is gone, fails here.
"""

from __future__ import annotations

import ast
import json
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
import typer
from typer.core import TyperCommand as Command

from numbertaker.cli.main import app as command_line
from numbertaker.publishing.questions import KINDS as PHRASES

ROOT: Final = Path(__file__).parents[2]
DOCUMENTS: Final = (
    *sorted(ROOT.glob("*.md")),
    *sorted((ROOT / "docs").glob("*.md")),
    ROOT / "corpus_demo" / "README.md",
)
KINDS: Final = {
    "gap",
    "overlap",
    "double-occupancy",
    "date-conflict",
    "mileage-conflict",
    "total-mismatch",
    "rate-outlier",
    "outside-lifetime",
    "misnamed",
    "does-not-fit",
    "one-sided",
    "unlinked",
    "ambiguous-link",
    "repeated-line",
    "doubtful-reading",
}
"""The kinds of finding that the format `numbertaker-history/1` knows."""


def text_of(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def commands() -> dict[str, Command]:
    """Every command by its words, those of groups included: `decide`, `archive check`."""

    def walk(command: Command, words: tuple[str, ...]) -> Iterator[tuple[str, Command]]:
        if inside := getattr(command, "commands", None):
            for name, inner in inside.items():
                yield from walk(inner, (*words, name))
        else:
            yield " ".join(words), command

    return dict(walk(typer.main.get_command(command_line), ()))


COMMANDS: Final = commands()


def options(command: Command) -> set[str]:
    given = (opt for param in command.params for opt in param.opts)
    return {opt for opt in given if opt.startswith("--")} - {"--help"}


def sections(document: str) -> dict[str, str]:
    """The parts of docs/cli.md by the command in their headings: ## `numbertaker take-in`."""
    parts = re.split(r"^## `numbertaker ([^`]+)`$", text_of(document), flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def test_every_command_stands_in_the_docs() -> None:
    """docs/cli.md has one part for each command, and none for a command that is not there."""
    assert set(sections("docs/cli.md")) == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_of_a_command_stands_in_its_part(name: str) -> None:
    """Each option is told where its command is, and nothing else is."""
    told = set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", sections("docs/cli.md")[name]))
    assert told == options(COMMANDS[name])


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_explains_itself(name: str) -> None:
    """`--help` says what a command does and shows an example of it."""
    assert f"numbertaker {name}" in (COMMANDS[name].help or "") + (COMMANDS[name].epilog or "")


def shell_lines() -> Iterator[tuple[str, str]]:
    """Every command line in a document, with its name: indented, fenced, or `code` within prose."""
    for document in DOCUMENTS:
        for line in re.findall(
            r"(?:^ {4}|`|^)((?:numbertaker|\./scripts/)[^`\n]*)", text_of_path(document), re.MULTILINE
        ):
            yield str(document.relative_to(ROOT)), line


def text_of_path(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def unknown_in(line: str) -> str | None:
    """What of a command line does not exist: the script, the command or an option; None if all does."""
    words = line.partition(" #")[0].split()
    if words[0].startswith("./scripts/"):
        return None if (ROOT / words[0]).is_file() else words[0]
    if len(words) == 1 or words[1].startswith("-") or not re.fullmatch(r"[a-z-]+", words[1]):
        return None
    name = next((n for n in (" ".join(words[1:3]), words[1]) if n in COMMANDS), None)
    if name is None:
        return words[1]
    used = {word.partition("=")[0] for word in words if word.startswith("--")} - {"--help"}
    return next(iter(used - options(COMMANDS[name])), None)


def test_what_a_reader_is_told_to_type_exists() -> None:
    """Every command line in the documents names a script, command and options that are there."""
    wrong = [f"{document}: {line!r}: {bad}" for document, line in shell_lines() if (bad := unknown_in(line))]
    assert wrong == []


def test_a_command_that_is_gone_would_be_seen() -> None:
    """The check itself refuses a script, a command and an option that do not exist."""
    assert unknown_in("./scripts/stop") == "./scripts/stop"
    assert unknown_in("numbertaker undo") == "undo"
    assert unknown_in("numbertaker read --backwards") == "--backwards"
    assert unknown_in("numbertaker read --archive DIR") is None


def test_every_kind_of_finding_is_explained() -> None:
    """docs/findings.md has a row for each kind of the format."""
    told = re.findall(r"^\| `([a-z-]+)` \|", text_of("docs/findings.md"), flags=re.MULTILINE)
    assert sorted(told) == sorted(KINDS)


def test_no_finding_is_of_an_unknown_kind() -> None:
    """The reconciler notes findings of the format's kinds only, and documents have a phrase for each."""
    noted = {
        node.args[0].value
        for file in (ROOT / "backend" / "numbertaker" / "reconciling" / "findings").rglob("*.py")
        for node in ast.walk(ast.parse(text_of_path(file)))
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "notes.add"
        if isinstance(node.args[0], ast.Constant)
    }
    assert set(PHRASES) == KINDS
    assert noted <= KINDS
    assert "gap" in noted


def test_every_route_stands_in_the_docs() -> None:
    """docs/api.md has a row for each method and path of the OpenAPI document, and none for one that is gone.

    That the document is what the program serves is checked by `scripts/openapi --check`.
    """
    document = json.loads(text_of("frontend/openapi.json"))
    served = {f"{method.upper()} {path}" for path, methods in document["paths"].items() for method in methods}
    told = re.findall(
        r"^\| `((?:GET|POST|PUT|PATCH|DELETE) [^`]+)` \|", text_of("docs/api.md"), flags=re.MULTILINE
    )
    assert sorted(told) == sorted(served)


@pytest.mark.parametrize("script", ["start", "test", "bench"])
def test_a_script_says_what_it_takes(script: str) -> None:
    """`--help` of each script ends well and names what the documents name of it."""
    said = subprocess.run(
        [ROOT / "scripts" / script, "--help"], capture_output=True, text=True, check=True
    ).stdout
    for document, line in shell_lines():
        words = line.partition(" #")[0].split()
        if words[0] == f"./scripts/{script}":
            assert [w for w in words if w.startswith("--") and w not in said] == [], document


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_links_lead_somewhere(document: Path) -> None:
    """Every relative link of a document, and every path it sets in code, leads to a file that is there."""
    text = text_of_path(document)
    links = re.findall(r"\]\((?!https?:|#)([^)#\s]+)", text)
    paths = re.findall(
        r"`((?:backend|docs|frontend|scripts|tests|corpus_demo|requirements)/[\w./-]*\w)`", text
    )
    lost = [link for link in links if not (document.parent / link).exists()]
    assert lost + [path for path in paths if not (ROOT / path).exists()] == []


def test_the_caution_is_given() -> None:
    """README says in so many words what a history is no evidence of."""
    told = " ".join(text_of("README.md").split())
    assert "no evidence that a pressure vessel or a vehicle is fit for use" in told
    assert "the examination by a competent person that local law requires" in told
