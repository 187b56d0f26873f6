"""The evidence package: what is recognised, what is refused and where, what is changed and what is not."""

from __future__ import annotations

import io
import json
import struct
import zipfile
from pathlib import Path

import openpyxl
import pytest
from tests.archives import SOURCES, new_archive, package

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, Conflict
from numbertaker.evidence.package import read_files, unzip, zipped
from numbertaker.evidence.package.zipped import MOST_BYTES
from numbertaker.usecases.packages import export_package, import_package, write_template

LINES = "line_id,source_id,side,says,engine,fitted\nL1,S1,component,fitment,208,4.10\n"


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """A new archive."""
    return new_archive(tmp_path / "archive")


def faults(archive: Archive, path: Path) -> list[str]:
    """What an import is refused for; nothing may be taken in then."""
    with pytest.raises(BadInput) as refused:
        import_package(archive, path)
    assert archive.evidence().sources == ()
    return [str(problem) for problem in refused.value.problems]


def test_a_folder_a_zip_and_a_workbook_are_one_package(archive: Archive, tmp_path: Path) -> None:
    """However the same rows are wrapped, they are known again."""
    import_package(archive, package(tmp_path / "in", lines=LINES))
    for name in ("out", "out.zip", "out.xlsx"):
        again = import_package(archive, export_package(archive, tmp_path / name))
        assert dict(again.counts) == {"sources": 0, "lines": 0}
        assert dict(again.unchanged) == {"sources": 1, "lines": 1}


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (SOURCES.encode("utf-8-sig"), "byte-order mark"),
        (SOURCES.replace(",", ";").encode(), "';' between its cells"),
        (SOURCES.replace("Boiler", "Café").encode("windows-1252"), "Windows-1252"),
        (SOURCES.encode("utf-16"), "UTF-16"),
    ],
)
def test_what_a_spreadsheet_made_of_a_table_is_recognised_and_said(
    archive: Archive, tmp_path: Path, data: bytes, said: str
) -> None:
    """A byte-order mark, another separator or another encoding does no harm, and is not passed over."""
    came = import_package(archive, package(tmp_path / "in", sources=data))

    assert [said in notice for notice in came.notices] == [True]
    assert archive.evidence().sources[0].title in ("Boiler cards", "Café cards")


def test_a_missing_column_is_named(archive: Archive, tmp_path: Path) -> None:
    """A table without a required column says which, and what it has instead."""
    found = faults(archive, package(tmp_path / "in", lines="line_id,source_id,says\nL1,S1,fitment\n"))

    assert found == ["lines.csv, row 1: expected a column side, found 'line_id, source_id, says'."]


def test_a_bad_date_is_named_by_file_row_and_column(archive: Archive, tmp_path: Path) -> None:
    """A date that is no EDTF is refused where it stands, with what to write instead."""
    engines = 'engine_id,class,built\nE1,K,1911\n\nE2,K,"April 1911"\n'
    (found,) = faults(archive, package(tmp_path / "in", engines=engines))

    assert found.startswith("engines.csv, row 4, column built: expected an EDTF date")
    assert found.endswith("found 'April 1911'.")


def test_an_interval_where_one_day_is_meant_is_taken_as_it_stands(archive: Archive, tmp_path: Path) -> None:
    """`a/b` is read as doubt about one day, and the cell is not rewritten."""
    import_package(archive, package(tmp_path / "in", engines="engine_id,built\nE1,1903-05/1903-08\n"))

    assert archive.evidence().engines[0].built == "1903-05/1903-08"


def test_every_fault_is_listed_at_once(archive: Archive, tmp_path: Path) -> None:
    """Repeated ids, ids of two natures, dangling references and words of no list all come in one answer."""
    found = faults(
        archive,
        package(
            tmp_path / "in",
            engines="engine_id\nE1\nX\nE1\n",
            components="component_id,kind\nX,boiler\n",
            designations="subject_id,scheme,value\nE9,number,208\nE1,nickname,Flo\n",
            lines="line_id,source_id,side,says,reading,marks\nL1,S2,left,fitment,1.5,miles=torn\n",
        ),
    )

    for expected in (
        "engines.csv, row 4, column engine_id: expected an id of its own",
        "components.csv, row 2, column component_id: expected an id of its own, found 'X, which",
        "designations.csv, row 2, column subject_id",
        "designations.csv, row 3, column scheme: expected one of number, name, class, found 'nickname'",
        "lines.csv, row 2, column source_id",
        "lines.csv, row 2, column side: expected one of component, engine, statement, found 'left'",
        "lines.csv, row 2, column reading: expected a figure from 0 to 1",
        "lines.csv, row 2, column marks",
    ):
        assert any(expected in fault for fault in found), expected
    assert len(found) == 8


def test_a_ruling_on_a_line_that_nobody_has_is_refused(archive: Archive, tmp_path: Path) -> None:
    """Decisions refer to lines as rows refer to sources."""
    decisions = "decision_id,kind,target,ruling,reason,by,at\nD1,cell,L7/miles,1,seen,A,2024\n"
    (found,) = faults(archive, package(tmp_path / "in", decisions=decisions))

    assert found.startswith("decisions.csv, row 2, column target: expected the id of a line")


def test_an_engine_can_not_take_the_id_of_a_component_that_is_known(archive: Archive, tmp_path: Path) -> None:
    """Ids are unique over engines and components, of the archive too."""
    import_package(archive, package(tmp_path / "one", components="component_id,kind\nX,boiler\n"))
    with pytest.raises(BadInput, match="the id of a component"):
        import_package(archive, package(tmp_path / "two", engines="engine_id\nX\n"))


def test_a_row_may_refer_to_what_the_archive_has(archive: Archive, tmp_path: Path) -> None:
    """What was imported before need not come again."""
    import_package(archive, package(tmp_path / "one", engines="engine_id\nE1\n"))
    import_package(
        archive, package(tmp_path / "two", designations="subject_id,scheme,value\nE1,number,208\n")
    )

    assert archive.evidence().designations[0].value == "208"


def test_a_package_without_sources_is_refused(archive: Archive, tmp_path: Path) -> None:
    """The one table that every package must have is asked for by name."""
    path = package(tmp_path / "in", lines=LINES)
    (path / "sources.csv").unlink()

    assert any("a table sources.csv" in fault for fault in faults(archive, path))


def test_the_same_id_with_other_content_takes_nothing_in(archive: Archive, tmp_path: Path) -> None:
    """A clash lists the rows, and what came beside it is not taken in either."""
    import_package(archive, package(tmp_path / "one", lines=LINES))
    other = package(tmp_path / "two", lines=LINES.replace("208", "209"), engines="engine_id\nE1\n")
    with pytest.raises(Conflict) as clash:
        import_package(archive, other)

    assert clash.value.rows == ("lines.csv, row 2: L1",)
    assert archive.evidence().engines == ()
    assert archive.evidence().lines[0].engine == "208"


def test_a_prefix_lets_both_stand(archive: Archive, tmp_path: Path) -> None:
    """With a prefix each incoming id, and each mention of it, is another."""
    first = package(tmp_path / "one", lines=LINES)
    import_package(archive, first)
    decisions = (
        "decision_id,kind,target,ruling,reason,by,at\n"
        "D1,cell,L1/engine,209,seen,A,2024\n"
        'D2,authority,engines:E1,"{""built"": ""1911""}",list,A,2024\n'
        'D3,looked,E1;B1,"{""covers"": ""1912/1919"", ""source"": ""S1""}",in vain,A,2024\n'
    )
    second = package(
        tmp_path / "two",
        lines=LINES.replace("208", "207"),
        engines="engine_id\nE1\n",
        components="component_id,kind\nB1,boiler\n",
        decisions=decisions,
    )
    import_package(archive, second, prefix="W-")

    evidence = archive.evidence()
    assert [(line.line_id, line.source_id) for line in evidence.lines] == [("L1", "S1"), ("W-L1", "W-S1")]
    assert [d.target for d in evidence.decisions] == ["W-L1/engine", "engines:W-E1", "W-E1;W-B1"]
    assert [look.source for look in archive.ruled().looked["W-E1", "W-B1"]] == ["W-S1"]
    ruled = archive.ruled().evidence
    assert [line.engine for line in ruled.lines] == ["208", "209"]
    assert [engine.built for engine in ruled.engines] == ["1911"]


def test_a_designation_may_be_added_and_not_altered(archive: Archive, tmp_path: Path) -> None:
    """A number borne a second time is news; other dates for what is known are a clash."""
    head = "subject_id,scheme,value,from,to\n"
    engines, row = "engine_id\nE1\n", "E1,number,208,1903,1910\n"
    import_package(archive, package(tmp_path / "one", engines=engines, designations=head + row))
    more = import_package(
        archive, package(tmp_path / "two", designations=f"{head}{row}E1,number,208,1920,1930\n")
    )
    assert more.counts["designations"] == 1

    with pytest.raises(Conflict, match=r"designations\.csv, row 2"):
        import_package(archive, package(tmp_path / "three", designations=f"{head}E1,number,208,1903,1911\n"))


def test_a_number_in_a_workbook_is_refused_where_text_stands_as_written(
    archive: Archive, tmp_path: Path
) -> None:
    """A spreadsheet has turned 4.10 into 4.1 already: the cell is named, and what to do."""
    book = openpyxl.load_workbook(write_template(tmp_path / "typed.xlsx"))
    book["sources"].append(["S1", "component-card", "Boiler cards"])
    head = [cell.value for cell in book["lines"][1]]
    for column, value in {
        "line_id": "L1",
        "source_id": "S1",
        "side": "engine",
        "says": "fitment",
        "row": 1,
    }.items():
        book["lines"].cell(2, head.index(column) + 1, value)
    book["lines"].cell(2, head.index("fitted") + 1, 4.1)
    book.save(tmp_path / "typed.xlsx")

    (found,) = faults(archive, tmp_path / "typed.xlsx")
    assert "typed.xlsx, sheet lines, row 2, column fitted: expected text (format the column as text" in found
    assert "found 'a number, 4.1'" in found


def test_the_template_has_every_column_as_text(tmp_path: Path) -> None:
    """Each sheet of the template has its table's columns, formatted as text below the header too."""
    book = openpyxl.load_workbook(write_template(tmp_path / "new.xlsx"))

    assert book.sheetnames[0] == "sources"
    sheet = book["lines"]
    assert [cell.value for cell in sheet[1]][:2] == ["line_id", "source_id"]
    assert all(sheet.column_dimensions[cell.column_letter].number_format == "@" for cell in sheet[1])


@pytest.mark.parametrize("path", ["../sources.csv", "/sources.csv", "a/../../sources.csv", "C:\\sources.csv"])
def test_a_zip_that_leads_outside_is_refused(archive: Archive, tmp_path: Path, path: str) -> None:
    """No member of a zip may have a path that leaves it; not even the others are read."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as out:
        out.writestr("sources.csv", SOURCES)
        out.writestr(path, SOURCES)
    (tmp_path / "in.zip").write_bytes(held.getvalue())

    with pytest.raises(BadInput, match=r"in\.zip has a path that leads outside"):
        import_package(archive, tmp_path / "in.zip")
    assert archive.evidence().sources == ()


def test_a_zip_that_swells_beyond_measure_is_refused() -> None:
    """A zip that says it would unpack to more than is taken is not unpacked."""
    data = bytearray(zipped({"sources.csv": SOURCES.encode()}))
    central = data.rindex(b"PK\x01\x02")
    data[central + 24 : central + 28] = struct.pack("<I", MOST_BYTES + 1)

    with pytest.raises(BadInput, match="would unpack to"):
        unzip(bytes(data), "in.zip")


def test_a_damaged_zip_or_workbook_is_one_message(archive: Archive, tmp_path: Path) -> None:
    """A file that breaks off is named, and nothing is taken in."""
    whole = zipped({"sources.csv": SOURCES.encode() * 50})
    for name, data in (("a.zip", whole[:40]), ("b.xlsx", b"PK"), ("c.xlsx", whole)):
        (tmp_path / name).write_bytes(data)
        with pytest.raises(BadInput, match=name):
            import_package(archive, tmp_path / name)


def test_a_cell_beyond_the_header_is_a_fault(archive: Archive, tmp_path: Path) -> None:
    """A row longer than the header means that a separator stands in a cell; the row is named."""
    (found,) = faults(archive, package(tmp_path / "in", sources=f"{SOURCES}S2,letter,One, two\n"))

    assert found == "sources.csv, row 3: expected at most 3 cells, as in the header, found ' two'."


def test_files_that_are_no_tables_are_left_out_and_said() -> None:
    """A file of another name is no table, and is not passed over in silence."""
    read = read_files({"sources.csv": SOURCES.encode(), "notes.csv": b"a", "datapackage.json": b"{}"})

    assert list(read.tables) == ["sources"]
    assert read.notices == ("notes.csv is no table of a package and was left out.",)


def test_an_export_is_a_valid_data_package(archive: Archive, tmp_path: Path) -> None:
    """Source: the Data Package standard, as the frictionless library checks it."""
    frictionless = pytest.importorskip("frictionless")
    lines = 'line_id,source_id,side,says,remarks,shelf mark\nL1,S1,engine,fitment,"a ""b"",\nc",7\n'
    import_package(archive, package(tmp_path / "in", lines=lines))
    out = export_package(archive, tmp_path / "out")

    report = frictionless.validate(str(out / "datapackage.json"))
    assert report.valid, report.to_summary()
    described = json.loads((out / "datapackage.json").read_text(encoding="utf-8"))
    fields = {r["name"]: [f["name"] for f in r["schema"]["fields"]] for r in described["resources"]}
    assert fields["lines"] == ["line_id", "source_id", "side", "says", "remarks", "shelf mark"]


def test_an_export_never_takes_the_place_of_other_files(archive: Archive, tmp_path: Path) -> None:
    """A folder that holds something else is not overwritten; an earlier export is."""
    import_package(archive, package(tmp_path / "in", lines=LINES))
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("dear")
    with pytest.raises(BadInput, match="other files"):
        export_package(archive, tmp_path / "mine")

    export_package(archive, tmp_path / "out")
    export_package(archive, tmp_path / "out")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "datapackage.json",
        "lines.csv",
        "sources.csv",
    ]
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]


def test_a_correction_goes_out_and_comes_back(archive: Archive, tmp_path: Path) -> None:
    """`lines` has the current reading, `readings` the earlier ones; another archive takes all of it back."""
    lines = (
        "line_id,source_id,side,says,miles,marks,reading,reading_miles\n"
        "L1,S1,engine,fitment,63310,miles=struck:6;engine=ditto,0.9,0.4\n"
    )
    decisions = (
        "decision_id,kind,target,ruling,reason,by,at\n"
        "D1,cell,L1/miles,68319,seen,A,2024-01\nD2,cell,L1/miles,68310,seen again,B,2024-02\n"
    )
    import_package(archive, package(tmp_path / "in", lines=lines, decisions=decisions))
    out = export_package(archive, tmp_path / "out")
    other = new_archive(tmp_path / "other")
    import_package(other, out)

    read = read_files({path.name: path.read_bytes() for path in out.glob("*.csv")})
    assert read.rows("lines")[0].record.row()["miles"] == "68310"
    assert [row.record.row()["text"] for row in read.rows("readings")] == ["63310", "68319"]
    assert other.evidence() == archive.evidence()
    assert other.readings() == ()
    again = export_package(other, tmp_path / "again")
    assert {p.name: p.read_bytes() for p in again.iterdir()} == {
        p.name: p.read_bytes() for p in out.iterdir()
    }


def test_a_ditto_mark_that_is_not_quoted_is_refused_by_its_row(archive: Archive, tmp_path: Path) -> None:
    """It opens a cell that never ends, and would swallow every row below it."""
    lines = LINES + 'L2,S1,component,fitment,",5.11\nL3,S1,component,fitment,210,6.12\n'
    (fault,) = faults(archive, package(tmp_path / "in", lines=lines))
    assert "row 3" in fault
    assert "closed again" in fault


def test_a_zip_with_one_file_twice_is_refused(archive: Archive, tmp_path: Path) -> None:
    """Which of the two is meant, nobody can tell."""
    path = tmp_path / "twice.zip"
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("sources.csv", SOURCES)
        with pytest.warns(UserWarning, match="Duplicate"):
            out.writestr("sources.csv", SOURCES)
    with pytest.raises(BadInput, match="twice"):
        import_package(archive, path)
    assert archive.evidence().sources == ()
