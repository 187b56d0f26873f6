"""Publish the history of a component, of an engine or of everything, as JSON, Markdown or HTML."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable
from pathlib import Path

from numbertaker.archive import Archive
from numbertaker.evidence.designations import bare_number, read_number
from numbertaker.evidence.errors import Ambiguous, BadInput, NotFound
from numbertaker.evidence.records import Evidence
from numbertaker.publishing import Format, render_component, render_engine, render_everything
from numbertaker.publishing.html import Crops
from numbertaker.publishing.names import Names
from numbertaker.usecases.reconcile import current, digest_of

FORMATS: tuple[Format, ...] = ("json", "md", "html")
_DIGEST_SHOWN = 16


def publish(
    archive: Archive,
    *,
    component: str | None = None,
    engine: str | None = None,
    everything: bool = False,
    fmt: Format = "json",
    crops: Crops | None = None,
) -> str:
    """The document as text; exactly one of `component`, `engine` and `everything` says of what.

    A component or an engine is named by its id, else by a number it bore (an engine by a name too).
    `NotFound` where nothing answers to that, `Ambiguous` with the candidates where several do, `BadInput`
    where it is not said of what or the format is not known.
    """
    if fmt not in FORMATS:
        raise BadInput(expected=f"one of the formats {', '.join(FORMATS)}", found=fmt)
    if sum((component is not None, engine is not None, everything)) != 1:
        raise BadInput("Expected one component, one engine, or everything: name exactly one of the three.")
    history, ruled = current(archive), archive.ruled()
    state = f"sha256:{digest_of(archive.evidence())[:_DIGEST_SHOWN]}"
    if component is not None:
        component_id = component_id_of(ruled.evidence, component)
        return render_component(history, ruled, component_id, fmt, digest=state, crops=crops)
    if engine is not None:
        engine_id = engine_id_of(ruled.evidence, engine)
        return render_engine(history, ruled, engine_id, fmt, digest=state, crops=crops)
    return render_everything(history, ruled, fmt, digest=state, crops=crops)


def publish_with_slips(
    archive: Archive,
    *,
    component: str | None = None,
    engine: str | None = None,
    everything: bool = False,
    fmt: Format = "html",
) -> str:
    """The same, with the slips of the scans in the notes of an HTML page; other formats hold no pictures."""
    from numbertaker.usecases.slips import slips

    with slips(archive) as crops:
        return publish(
            archive, component=component, engine=engine, everything=everything, fmt=fmt, crops=crops
        )


def write_history(archive: Archive, component: str | None, fmt: Format, out: Path) -> Path:
    """Write the history of one component, or of everything where None, to a file; gives its path.

    The file appears whole or not at all: a full disk leaves what was there before.
    """
    text = publish(archive, component=component, everything=component is None, fmt=fmt)
    write_text_whole(out, text)
    return out


def write_text_whole(out: Path, text: str) -> None:
    """Write a text file by way of another beside it, so that no half file is ever seen under its name."""
    if out.is_dir():
        raise BadInput(f"{out} is a folder; expected the name of a file to write.")
    out.parent.mkdir(parents=True, exist_ok=True)
    coming = out.with_name(f".coming-{secrets.token_hex(8)}")
    try:
        with coming.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        coming.replace(out)
    except BaseException:
        coming.unlink(missing_ok=True)
        raise


def component_id_of(evidence: Evidence, wanted: str) -> str:
    """The component that an id or a number means."""
    ids = [component.component_id for component in evidence.components]
    return _resolved(evidence, "component", wanted, ids, ("number",))


def engine_id_of(evidence: Evidence, wanted: str) -> str:
    """The engine that an id, a number or a name means."""
    ids = [engine.engine_id for engine in evidence.engines]
    return _resolved(evidence, "engine", wanted, ids, ("number", "name"))


def _resolved(evidence: Evidence, what: str, wanted: str, ids: list[str], schemes: Iterable[str]) -> str:
    if wanted in ids:
        return wanted
    found = _bearers(evidence, wanted, frozenset(ids), frozenset(schemes))
    if not found:
        raise NotFound(what, wanted)
    if len(found) > 1:
        raise Ambiguous(what, wanted, [_told(evidence, what, subject_id) for subject_id in found])
    return found[0]


def _bearers(evidence: Evidence, wanted: str, ids: frozenset[str], schemes: frozenset[str]) -> list[str]:
    """Everything of that kind that ever bore the number or name, in the order of the tables."""
    written = read_number(wanted)
    sought = {bare_number(wanted), written.number, written.name.casefold(), wanted.strip().casefold()} - {""}
    bearers = (
        row.subject_id
        for row in evidence.designations
        if row.subject_id in ids and row.scheme in schemes and _alike(row.scheme, row.value) in sought
    )
    return list(dict.fromkeys(bearers))


def _alike(scheme: str, value: str) -> str:
    return bare_number(value) if scheme == "number" else value.casefold()


def _told(evidence: Evidence, what: str, subject_id: str) -> str:
    """A candidate as a person can choose it: its id, and what it was ever called."""
    names = Names(evidence)
    called = names.component(subject_id) if what == "component" else names.all_of(subject_id)
    return f"{subject_id} ({called})"
