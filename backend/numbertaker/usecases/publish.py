"""Publish the history of a component, an engine, a class or everything, in any format and manner."""

from __future__ import annotations

import io
import os
import secrets
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, TypeAlias, get_args

from numbertaker.archive import Archive
from numbertaker.evidence.decisions import Ruled
from numbertaker.evidence.errors import BadInput
from numbertaker.publishing.books import Chapter, bound
from numbertaker.publishing.changes import changes_document
from numbertaker.publishing.compose import component_document
from numbertaker.publishing.document import Document
from numbertaker.publishing.editions import Edition, edition, edition_from
from numbertaker.publishing.engines import engine_document
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.pictures import Slips
from numbertaker.publishing.plates import key_lines
from numbertaker.publishing.render import Format, as_json, crops_of, render_document
from numbertaker.publishing.site import pages
from numbertaker.publishing.watching import Watch, unwatched
from numbertaker.reconciling.history import History
from numbertaker.usecases.asked import Asked, Subjects, What, manner_of, subjects
from numbertaker.usecases.chapters import Progress, chapters_of
from numbertaker.usecases.reconcile import current, digest_of, program
from numbertaker.usecases.slips import slips

Export: TypeAlias = Format | Literal["edition", "site"]
FORMATS: Final[tuple[Export, ...]] = (*get_args(Format), "edition", "site")
TEXTS: Final = frozenset(("json", "md", "html", "txt", "edition"))
"""The formats that are text, and may be printed on a terminal."""
_DIGEST_SHOWN: Final = 16
_DAY: Final = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything that an export is made of, looked up once: the state, whom it is of, and the manner."""

    archive: Archive
    matter: Matter
    subjects: Subjects
    asked: Asked
    state: str
    history: History
    ruled: Ruled

    def chapters(self, workers: int = 1, watch: Watch = unwatched) -> tuple[Chapter, ...]:
        """A chapter for each subject."""
        task = (self.history, self.ruled, self.matter.manner)
        return chapters_of(task, self.subjects.of, self.subjects.ids, workers, _telling(watch))

    def document(self, workers: int = 1, watch: Watch = unwatched) -> Document:
        """One history, or the book of several."""
        if not self.subjects.single:
            return bound(self.matter, self.subjects.title, self.chapters(workers, watch), self.state)
        make = component_document if self.subjects.of == "component" else engine_document
        return make(self.matter, self.subjects.ids[0], self.state)

    def engine_title(self, engine_id: str) -> str:
        """What the document of an engine is called."""
        return f"Engine {self.matter.names.all_of(engine_id)}"

    def component_ids(self) -> tuple[str, ...] | None:
        """The components whose histories are told; None for all of them."""
        if self.subjects.of == "component":
            return self.subjects.ids if self.subjects.single else None
        stays = (stay for engine in self.subjects.ids for stay in self.matter.stays_on(engine))
        return tuple(dict.fromkeys(stay.component_id for stay in stays))

    def edition(self, chapters: tuple[Chapter, ...]) -> Edition:
        """What these chapters state, to compare a later edition with."""
        title = self.subjects.title or chapters[0].title
        return edition(self.matter, title, chapters, self.state, program())


def desk(archive: Archive, what: What, asked: Asked) -> Desk:
    """Everything that an export needs; refuses what is not known before anything is made."""
    history, ruled = current(archive), archive.ruled()
    found = subjects(ruled.evidence, history, what)
    wanted = [line for component in history.components for line in key_lines(component)]
    matter = Matter(history, ruled, manner_of(asked, archive, wanted))
    state = f"sha256:{digest_of(archive.evidence())[:_DIGEST_SHOWN]}"
    return Desk(archive, matter, found, asked, state, history, ruled)


def export(
    archive: Archive,
    what: What,
    fmt: Export,
    asked: Asked | None = None,
    *,
    workers: int = 1,
    watch: Watch = unwatched,
) -> bytes:
    """The export as bytes, the same for the same state, whatever the number of processes.

    `NotFound` where nothing answers to what is named, `Ambiguous` with the candidates where several do,
    `BadInput` where a format, style or usage is not known.
    """
    if fmt not in FORMATS:
        raise BadInput(expected=f"one of the formats {', '.join(FORMATS)}", found=str(fmt))
    made = desk(archive, what, asked or Asked())
    if fmt == "json":
        return as_json(made.history, made.component_ids()).encode()
    if fmt == "edition":
        return made.edition(made.chapters(workers, watch)).to_json().encode()
    with _pictures(made, fmt) as pictures:
        if fmt == "site":
            return _site(made, pictures, workers, watch)
        document = made.document(workers, watch)
        return render_document(document, fmt, pictures, _attached(made, fmt), watch)


def _telling(watch: Watch) -> Progress:
    return lambda done, of: watch("chapters", done, of)


def what_changed(
    archive: Archive,
    what: What,
    earlier: str,
    fmt: Format,
    asked: Asked | None = None,
    *,
    workers: int = 1,
    watch: Watch = unwatched,
) -> bytes:
    """What changed since an earlier edition, given as the text of its file, as a document of its own."""
    if fmt == "json" or fmt not in get_args(Format):
        known = ", ".join(name for name in get_args(Format) if name != "json")
        raise BadInput(expected=f"one of the formats {known}", found=fmt)
    before = edition_from(earlier)
    made = desk(archive, what, asked or Asked())
    now = made.edition(made.chapters(workers, watch))
    return render_document(changes_document(made.matter, before, now), fmt, watch=watch)


def lacking(archive: Archive, what: What, asked: Asked | None = None) -> tuple[str, ...]:
    """What an export will be without, said before it starts: slips without a scan, sources without rights."""
    wanted = asked or Asked()
    made = desk(archive, what, wanted)
    told: list[str] = []
    if wanted.plates or wanted.slips:
        wants = _lines_wanted(made)
        with slips(archive) as pictures:
            missing = [line_id for line_id in wants if pictures(line_id) is None]
        told += [f"No slip of a scan is to be had for line {line_id}." for line_id in missing]
    used = dict.fromkeys(source for chapter in made.chapters() for source in chapter.used)
    known = made.matter.citations.sources
    unlicensed = [known[i] for i in used if i in known and not known[i].rights]
    told += [f"No rights are stated for source {s.source_id}, ‘{s.title}’." for s in unlicensed]
    return tuple(told)


def _lines_wanted(made: Desk) -> tuple[str, ...]:
    """The lines whose slips the export would show, in order."""
    ids = made.component_ids()
    components = [c for c in made.history.components if ids is None or c.component_id in ids]
    return tuple(dict.fromkeys(line for component in components for line in key_lines(component)))


@contextmanager
def _pictures(made: Desk, fmt: Export) -> Iterator[Slips | None]:
    if not (made.asked.slips and fmt in ("html", "site")) and not made.asked.plates:
        yield None
        return
    with slips(made.archive) as pictures:
        yield pictures


def _attached(made: Desk, fmt: Export) -> Mapping[str, bytes]:
    if fmt != "pdf" or not made.asked.evidence:
        return {}
    return {"history.json": as_json(made.history, made.component_ids()).encode()}


def _site(made: Desk, pictures: Slips | None, workers: int, watch: Watch) -> bytes:
    """The pages of every component and engine, zipped."""
    engines = [e.engine_id for e in made.ruled.evidence.engines if made.matter.stays_on(e.engine_id)]
    if made.subjects.of == "component" and not made.subjects.single:
        task = (made.history, made.ruled, made.matter.manner)
        more = chapters_of(task, "engine", tuple(engines), workers, _telling(watch))
    else:
        more = ()
    chapters = (*made.chapters(workers, watch), *more)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        written = pages(made.matter, chapters, made.state, crops_of(pictures))
        for n, (name, text) in enumerate(written):
            watch("setting", n, len(chapters) + 1)
            info = zipfile.ZipInfo(name, _DAY)
            info.compress_type = zipfile.ZIP_DEFLATED
            zipped.writestr(info, text)
    return out.getvalue()


def publish(
    archive: Archive,
    *,
    component: str | None = None,
    engine: str | None = None,
    everything: bool = False,
    fmt: Export = "json",
    asked: Asked | None = None,
) -> str:
    """An export whose format is text; exactly one of `component`, `engine` and `everything` says of what."""
    if fmt not in TEXTS:
        raise BadInput(expected=f"one of the formats {', '.join(sorted(TEXTS))}", found=str(fmt))
    what = What(component=component, engine=engine, everything=everything)
    return export(archive, what, fmt, asked).decode()


def write_history(archive: Archive, component: str | None, fmt: Export, out: Path) -> Path:
    """Write the history of one component, or of everything where None, to a file; gives its path.

    The file appears whole or not at all: a full disk leaves what was there before.
    """
    what = What(component=component, everything=component is None)
    write_whole(out, export(archive, what, fmt))
    return out


def write_text_whole(out: Path, text: str) -> None:
    """Write a text file so that no half file is ever seen under its name."""
    write_whole(out, text.encode())


def write_whole(out: Path, data: bytes) -> None:
    """Write a file by way of another beside it, so that no half file is ever seen under its name."""
    if out.is_dir():
        raise BadInput(f"{out} is a folder; expected the name of a file to write.")
    out.parent.mkdir(parents=True, exist_ok=True)
    coming = out.with_name(f".coming-{secrets.token_hex(8)}")
    try:
        with coming.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        coming.replace(out)
    except BaseException:
        coming.unlink(missing_ok=True)
        raise
