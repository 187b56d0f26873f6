"""The house stands as it was drawn: floors import downwards, the middle is pure, rooms stay small.

These tests read the program's text, not its behaviour. They fail on the day when a floor is first
crossed, when mending it is a matter of minutes.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

ROOT: Final = Path(__file__).parents[2]
PACKAGE: Final = ROOT / "backend" / "numbertaker"
FILES: Final = sorted(PACKAGE.rglob("*.py"))

FLOORS: Final = (
    "evidence",
    "reading",
    "linking",
    "reconciling",
    "publishing",
    "archive",
    "usecases",
    "web",
    "cli",
)
"""Lowest first; the web and the command line stand beside each other, and the latter may start the former."""

PURE: Final = FLOORS[:5]
IMPURE: Final = frozenset(
    (
        "sqlalchemy",
        "alembic",
        "sqlite3",
        "fastapi",
        "starlette",
        "uvicorn",
        "typer",
        "rich",
        "requests",
        "httpx",
    )
)
CLOCK: Final = frozenset(("now", "today", "utcnow", "time", "time_ns", "monotonic", "perf_counter"))

POSIX_ONLY: Final = frozenset(
    ("fcntl", "grp", "pwd", "resource", "termios", "tty", "pty", "syslog", "readline")
)
POSIX_CALLS: Final = frozenset(
    ("fork", "forkpty", "getuid", "geteuid", "getpgid", "killpg", "setsid", "uname", "sched_getaffinity")
)

LARGEST_FILE: Final = 400
QUESTIONED: Final[dict[str, str]] = {}
"""Files above the limit that were questioned and left whole, each with its reason."""


def tree_of(file: Path) -> ast.Module:
    return ast.parse(file.read_text(encoding="utf-8"), filename=str(file))


def name_of(file: Path) -> str:
    return file.relative_to(PACKAGE).as_posix()


def floor_of(file: Path) -> str:
    return name_of(file).partition("/")[0]


def imported_modules(tree: ast.AST, package: tuple[str, ...] = ()) -> Iterator[tuple[str, int]]:
    """Every module that is imported, wherever the statement stands, with its line.

    `package` is where the file lies, so that relative imports are told in full; `from numbertaker import x`
    counts as an import of `numbertaker.x`.
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else ()
            base = ".".join((*above, *filter(None, [node.module])))
            yield from ((f"{base}.{alias.name}", node.lineno) for alias in node.names)


def upward_imports(file: Path, tree: ast.AST) -> Iterator[str]:
    here = floor_of(file)
    package = ("numbertaker", *file.relative_to(PACKAGE).parent.parts)
    allowed = FLOORS[: FLOORS.index(here) + 1]
    for module, line in imported_modules(tree, package):
        parts = module.split(".")
        if parts[0] == "numbertaker" and len(parts) > 1 and parts[1] in FLOORS and parts[1] not in allowed:
            yield f"{name_of(file)}:{line} imports {module}: {here} lies below {parts[1]}"


IN_A_FLOOR: Final = [file for file in FILES if floor_of(file) in FLOORS]


@pytest.mark.parametrize("file", IN_A_FLOOR, ids=name_of)
def test_no_floor_imports_a_higher_one(file: Path) -> None:
    """A module imports only from its own floor and from lower ones, inside functions too."""
    assert list(upward_imports(file, tree_of(file))) == []


def test_an_upward_import_would_be_seen() -> None:
    """The check itself sees an upward import in each way that Python lets one be written."""
    ways = (
        "import numbertaker.archive.store",
        "from numbertaker.archive import store",
        "from numbertaker import archive",
        "def f():\n    from ..archive import store",
    )
    for way in ways:
        assert len(list(upward_imports(PACKAGE / "evidence" / "dates.py", ast.parse(way)))) == 1, way


def test_every_folder_is_a_floor() -> None:
    """No folder of the program stands outside the house."""
    folders = {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"}
    assert folders == set(FLOORS)


@pytest.mark.parametrize("file", [f for f in FILES if floor_of(f) in PURE], ids=name_of)
def test_the_middle_is_pure(file: Path) -> None:
    """The lower five floors know no database, no web and no clock."""
    tree = tree_of(file)
    reached = [module for module, _ in imported_modules(tree) if module.partition(".")[0] in IMPURE]
    clocks = [
        f"line {node.lineno}: {ast.unparse(node)}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in CLOCK
        and ast.unparse(node.func.value).rpartition(".")[2] in ("date", "datetime", "time")
    ]
    assert reached + clocks == []


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_nothing_is_for_one_system_only(file: Path) -> None:
    """What only POSIX has is imported and called inside a function that asked for the system first."""
    tree = tree_of(file)
    guarded = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If | ast.Try) and is_guard(node)
        for inner in ast.walk(node)
    }
    bare = [ast.unparse(node) for node in ast.walk(tree) if id(node) not in guarded and is_posix_only(node)]
    assert bare == []


def is_guard(node: ast.If | ast.Try) -> bool:
    """Whether a statement asks which system this is, or catches the absence of what it uses."""
    if isinstance(node, ast.If):
        asked = ast.unparse(node.test)
        return any(word in asked for word in ("sys.platform", "os.name", "platform.system", "hasattr(os"))
    caught = " ".join(ast.unparse(handler.type) for handler in node.handlers if handler.type)
    return "ImportError" in caught or "AttributeError" in caught


def is_posix_only(node: ast.AST) -> bool:
    if isinstance(node, ast.Import | ast.ImportFrom):
        return any(module.partition(".")[0] in POSIX_ONLY for module, _ in imported_modules(node))
    return isinstance(node, ast.Attribute) and ast.unparse(node.value) == "os" and node.attr in POSIX_CALLS


def test_what_only_posix_has_would_be_seen() -> None:
    """The check sees a bare POSIX import and call, and lets guarded ones pass."""
    bare = ast.parse("import fcntl\nimport os\nos.getuid()")
    assert sum(is_posix_only(node) for node in ast.walk(bare)) == 2

    guard = ast.parse("if sys.platform != 'win32':\n    import fcntl").body[0]
    assert isinstance(guard, ast.If)
    assert is_guard(guard)


def test_files_stay_readable() -> None:
    """A file above 400 lines is split, or its reason stands here; a reason no longer needed goes."""
    sizes = {name_of(file): len(file.read_text(encoding="utf-8").splitlines()) for file in FILES}
    large = {name for name, lines in sizes.items() if lines > LARGEST_FILE}
    assert large == set(QUESTIONED)


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_a_module_says_why_it_is_there(file: Path) -> None:
    """Every module opens with a docstring, and postpones its annotations where it has any code."""
    tree = tree_of(file)
    if not tree.body:
        return
    assert ast.get_docstring(tree)
    code = tree.body[1:]
    assert not code or ("__future__.annotations", code[0].lineno) in set(imported_modules(code[0]))
