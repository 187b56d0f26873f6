"""Scans on their way in: to which card each page falls, and what is refused as a whole."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from PIL import Image
from tests.archives import new_archive, package, picture

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, NotFound, NumbertakerError, Unreadable
from numbertaker.evidence.records import Source
from numbertaker.usecases.packages import import_package
from numbertaker.usecases.take_in import take_in


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    """An archive with one source."""
    made = new_archive(tmp_path / "archive")
    import_package(made, package(tmp_path / "tables"))
    return made


def with_cards(archive: Archive, tmp_path: Path, rows: str) -> None:
    """Bring in cards that name their scans."""
    import_package(archive, package(tmp_path / "cards", cards=f"card_id,source_id,scans,sha256\n{rows}"))


def files_kept(archive: Archive) -> int:
    return sum(path.is_file() for path in (archive.folder / "scans").rglob("*"))


def pages(archive: Archive) -> dict[str, str]:
    """Card to its pages, as name#page."""
    names = {scan.sha256: scan.name for scan in archive.scans()}
    found: dict[str, str] = {}
    for shown in archive.card_scans():
        found[shown.card_id] = found.get(shown.card_id, "") + f" {names[shown.sha256]}#{shown.page}"
    return {card: text.strip() for card, text in found.items()}


def test_scans_are_kept_byte_for_byte(archive: Archive, tmp_path: Path) -> None:
    """A scan is found again under its digest, exactly as it came, with a card made for it."""
    file = picture(tmp_path / "in" / "card.png")
    came = take_in(archive, [tmp_path / "in"], "S1", "A. Reader")

    digest = hashlib.sha256(file.read_bytes()).hexdigest()
    assert archive.scan_bytes(digest) == file.read_bytes()
    assert (came.scans[0].media_type, came.scans[0].by) == ("image/png", "A. Reader")
    (card,) = archive.evidence().cards
    assert (card.card_id, card.source_id, card.form, card.scans) == (
        "S1-1",
        "S1",
        "component-card",
        "card.png",
    )


def test_the_same_scan_again_is_known(archive: Archive, tmp_path: Path) -> None:
    """Whatever its name now, a scan that is there makes no second card, and that is said."""
    picture(tmp_path / "one.png")
    picture(tmp_path / "two.png")
    take_in(archive, [tmp_path / "one.png"], "S1")
    again = take_in(archive, [tmp_path / "two.png"], "S1")

    assert again.known_already == ("two.png",)
    assert again.cards == ("S1-1",)
    assert len(archive.evidence().cards) == len(archive.scans()) == files_kept(archive) == 1


def test_a_scan_falls_to_the_card_that_names_it(archive: Archive, tmp_path: Path) -> None:
    """By digest before name, and then no source need be said."""
    file = picture(tmp_path / "b.png")
    digest = hashlib.sha256(file.read_bytes()).hexdigest()
    with_cards(archive, tmp_path, f"C1,S1,b.png,\nC2,S1,renamed.png,{digest}\n")
    came = take_in(archive, [file])

    assert came.cards == ("C2",)
    assert came.problems == ()


def test_another_content_under_the_name_is_taken_and_said(archive: Archive, tmp_path: Path) -> None:
    """Where the digest of a card's scan is another, the scan is still its card's, and a person is told."""
    with_cards(archive, tmp_path, f"C1,S1,scans/b.png,{'0' * 64}\n")
    came = take_in(archive, [picture(tmp_path / "B.PNG")])

    assert came.cards == ("C1",)
    assert "expected SHA-256 000000000000" in came.problems[0]


def test_each_page_of_a_file_has_its_card(archive: Archive, tmp_path: Path) -> None:
    """A page that a card names is that card's; the others get cards of their own."""
    sheets = [Image.new("L", (40, 30), shade) for shade in (10, 90, 200)]
    sheets[0].save(tmp_path / "all.tif", save_all=True, append_images=sheets[1:])
    with_cards(archive, tmp_path, "C1,S1,all.tif#page=2,\n")
    take_in(archive, [tmp_path / "all.tif"], "S1")

    assert pages(archive) == {"C1": "all.tif#2", "S1-1": "all.tif#1", "S1-2": "all.tif#3"}
    assert [card.scans for card in archive.evidence().cards][1:] == ["all.tif#page=1", "all.tif#page=3"]


def test_front_and_back_can_be_one_card(archive: Archive, tmp_path: Path) -> None:
    """Scans that are said to show one card stand on it in the order given."""
    files = [picture(tmp_path / "z.png", 10), picture(tmp_path / "a.png", 90)]
    with_cards(archive, tmp_path, "C1,S1,,\n")
    take_in(archive, files, card_id="C1")

    assert pages(archive) == {"C1": "z.png#1 a.png#1"}


def test_a_new_source_comes_with_its_scans(archive: Archive, tmp_path: Path) -> None:
    """The source's details may be given with the scans; an id that is in use is refused."""
    new = Source(source_id="S9", kind="letter", title="Letter")
    take_in(archive, [picture(tmp_path / "a.png")], new_source=new)
    assert [card.source_id for card in archive.evidence().cards] == ["S9"]

    with pytest.raises(BadInput, match="expected an id of its own"):
        take_in(archive, [picture(tmp_path / "b.png", 9)], new_source=new)


def _broken(folder: Path) -> dict[str, Path]:
    """Files that look like scans and are none that can be read."""
    whole = picture(folder / "whole.png", size=(400, 300)).read_bytes()
    (folder / "empty.png").write_bytes(b"")
    (folder / "truncated.png").write_bytes(whole[: len(whole) // 2])
    (folder / "text.jpg").write_bytes(b"a letter, not a picture")
    # A header that promises 60,000 pixels each way, over next to no data.
    size = (60_000).to_bytes(4, "big") * 2
    (folder / "bomb.png").write_bytes(whole[:16] + size + whole[24:])
    return {name: folder / name for name in ("empty.png", "truncated.png", "text.jpg", "bomb.png")}


@pytest.mark.parametrize("name", ["empty.png", "truncated.png", "text.jpg", "bomb.png"])
def test_a_bad_file_is_named_and_nothing_comes_in(archive: Archive, tmp_path: Path, name: str) -> None:
    """One file that can't be read refuses the batch: no row and no file of the good ones stays."""
    bad = _broken(tmp_path / "in")[name]
    with pytest.raises(Unreadable, match=name):
        take_in(archive, [picture(tmp_path / "good.png"), bad], "S1")

    assert archive.scans() == ()
    assert archive.evidence().cards == ()
    assert files_kept(archive) == 0


def test_a_pdf_with_a_password_is_refused(archive: Archive, tmp_path: Path) -> None:
    """What is locked is said to be locked, and how to help it."""
    locked = Path(__file__).parent / "locked.pdf"
    with pytest.raises(Unreadable, match=r"locked\.pdf can't be read: it has a password"):
        take_in(archive, [locked], "S1")
    assert files_kept(archive) == 0


@pytest.mark.parametrize(
    ("source", "card", "error"), [("S7", None, NotFound), ("S1", "C7", NotFound), (None, None, BadInput)]
)
def test_scans_need_a_place(
    archive: Archive, tmp_path: Path, source: str | None, card: str | None, error: type[NumbertakerError]
) -> None:
    """An unknown source or card, or none at all, is refused, and no file stays behind."""
    with pytest.raises(error):
        take_in(archive, [picture(tmp_path / "a.png")], source, card_id=card)
    assert files_kept(archive) == 0


def test_a_folder_without_scans_is_said(archive: Archive, tmp_path: Path) -> None:
    """Nothing to take in is an error that tells what was looked for."""
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "notes.txt").write_text("x")
    with pytest.raises(BadInput, match=r"files that end in \.heic, \.heif, \.jpeg, \.jpg"):
        take_in(archive, [tmp_path / "in"], "S1")
