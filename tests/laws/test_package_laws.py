"""An import followed by an export gives every cell of every table back."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.archives import new_archive

from numbertaker.evidence.package import Outgoing, read_files, write_files, zipped
from numbertaker.evidence.package.checking import KINDS_OF_SOURCE, SAYS
from numbertaker.usecases.packages import export_package, import_package, read_package

TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
"""Cells of any text: quotation marks, line ends, separators, spaces at either end, letters of any script."""
NAMES = st.text("abcXYZ é-ß;,\"'", min_size=1, max_size=8).map(lambda name: f"x{name}x")
"""Names of columns that the program does not know."""
DATES = st.sampled_from(["", "1911", "1911-04~", "[1903-05-01..1903-08-31]", "1911/1913", "191X"])
SHARES = st.sampled_from(["", "0", "0.97", "1.00"])


@st.composite
def tables(draw: st.DrawFn) -> dict[str, Outgoing]:
    """Some tables that belong together, with unknown columns, columns left out, and any order of columns."""
    sources = _ids(draw, "S", 1)
    engines = _ids(draw, "E")
    components = _ids(draw, "B")
    cards = _ids(draw, "C")
    subjects = [*engines, *components]
    made: dict[str, Outgoing] = {}
    made["sources"] = draw(
        _table(
            sources,
            "source_id",
            kind=st.sampled_from(KINDS_OF_SOURCE),
            title=_filled(),
            created=DATES,
            note=TEXTS,
        )
    )
    if engines:
        made["engines"] = draw(_table(engines, "engine_id", built=DATES, **{"class": TEXTS}))
    if components:
        made["components"] = draw(_table(components, "component_id", kind=_filled(), type=TEXTS))
    if subjects:
        made["designations"] = draw(
            _table(
                subjects, "subject_id", scheme=st.sampled_from(["number", "name"]), value=_filled(), to=DATES
            )
        )
    made["cards"] = draw(
        _table(cards, "card_id", source_id=st.sampled_from(sources), covers=DATES, scans=TEXTS)
    )
    made["lines"] = draw(
        _table(
            _ids(draw, "L"),
            "line_id",
            source_id=st.sampled_from(sources),
            side=st.sampled_from(["component", "engine", "statement"]),
            says=st.sampled_from(SAYS),
            card_id=st.sampled_from([*cards, ""]),
            engine=TEXTS,
            miles=TEXTS,
            remarks=TEXTS,
            reading=SHARES,
            reading_miles=SHARES,
        )
    )
    return made


def _filled() -> st.SearchStrategy[str]:
    return TEXTS.filter(lambda text: bool(text.strip()))


def _ids(draw: st.DrawFn, letter: str, at_least: int = 0) -> list[str]:
    return [f"{letter}{n}" for n in range(draw(st.integers(at_least, 3)))]


@st.composite
def _table(draw: st.DrawFn, ids: list[str], key: str, **cells: st.SearchStrategy[str]) -> Outgoing:
    unknown = draw(st.lists(NAMES, max_size=2, unique=True))
    columns = draw(st.permutations([key, *cells, *unknown]))
    rows = tuple(
        tuple(one if column == key else draw(cells.get(column, TEXTS)) for column in columns) for one in ids
    )
    return Outgoing(tuple(columns), rows)


@given(tables())
@settings(max_examples=30, deadline=None)
def test_import_then_export_gives_every_cell_back(package: dict[str, Outgoing]) -> None:
    """Whatever stands in the cells and whichever columns there are, an export has the same in their order."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "in.zip").write_bytes(zipped(write_files(package)))
        archive = new_archive(folder / "archive")
        came = import_package(archive, folder / "in.zip")
        out = export_package(archive, folder / "out")
        again = import_package(archive, out)

        assert _cells(out) == _cells(folder / "in.zip")
        assert sum(came.counts.values()) == sum(len(table.rows) for table in package.values())
        assert set(again.counts.values()) <= {0}
        for table, outgoing in package.items():
            assert _header(out / f"{table}.csv") == outgoing.columns
        archive.close()


def _cells(path: Path) -> dict[str, list[dict[str, str]]]:
    tables = read_package(path).tables
    return {table: [_filled_cells(row.record.row()) for row in read.rows] for table, read in tables.items()}


def _filled_cells(row: dict[str, str]) -> dict[str, str]:
    return {column: text for column, text in row.items() if text}


def _header(path: Path) -> tuple[str, ...]:
    """The columns of a file; read by its own table, as unknown ones may have line ends in their names."""
    return read_files({path.name: path.read_bytes()}).tables[path.stem].columns


@given(tables())
@settings(max_examples=30, deadline=None)
def test_the_same_rows_make_the_same_zip(package: dict[str, Outgoing]) -> None:
    """Two exports of the same tables are equal to the byte, whenever they are made."""
    assert zipped(write_files(package)) == zipped(write_files(package))
