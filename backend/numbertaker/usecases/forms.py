"""Forms learnt from corrected cards: kept beside the archive's rows as data, tried on its cards, shared as
files.
"""

from __future__ import annotations

import json
import multiprocessing
import re
from collections.abc import Callable, Mapping
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from numbertaker.archive import Archive
from numbertaker.archive.scans import write_whole
from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.reading.lines import FIELDS
from numbertaker.usecases.forming_task import learn_from_page

if TYPE_CHECKING:
    from numbertaker.reading.learnt import LearntForm

FOLDER: Final = "forms"
HEADINGS: Final = "headings.json"
CHOSEN: Final = "forms-of-sources.json"
MakeExecutor: TypeAlias = Callable[[], Executor]
_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")


def forms(archive: Archive) -> list[LearntForm]:
    """The archive's learnt forms, by name."""
    from numbertaker.reading.learnt import LearntForm

    files = sorted((archive.folder / FOLDER).glob("*.json"))
    return [LearntForm.of_json(json.loads(file.read_text(encoding="utf-8"))) for file in files]


def forms_json(archive: Archive) -> str:
    """The same as a worker is told of them."""
    files = sorted((archive.folder / FOLDER).glob("*.json"))
    return json.dumps([json.loads(file.read_text(encoding="utf-8")) for file in files])


def headings_json(archive: Archive) -> str:
    """What the archive's own file `headings.json` says of column headings: for each field a list of wordings.

    `BadInput` where the file says something else.
    """
    file = archive.folder / HEADINGS
    if not file.exists():
        return "{}"
    try:
        body = json.loads(file.read_text(encoding="utf-8"))
        said = {str(f): [str(w) for w in words] for f, words in body.items() if not isinstance(words, str)}
    except (ValueError, TypeError, AttributeError) as error:
        raise BadInput(
            f'{HEADINGS}: expected such as {{"place": ["smithy"]}}, found otherwise: {error}.'
        ) from error
    unknown = sorted(set(body) - set(FIELDS)) + sorted(set(body) - set(said))
    if unknown:
        raise BadInput(
            f"{HEADINGS}: expected a list of wordings for {', '.join(FIELDS)}; found {unknown[0]!r}."
        )
    return json.dumps(said)


def columns_of_card(archive: Archive, card_id: str, executor: MakeExecutor | None = None) -> LearntForm:
    """The form of a card's first scan as it is found now, without a name, for a person to put right.

    `NotFound` for a card without a scan; `BadInput` where no table is found on it. `executor` makes what the
    page is read in, a process of its own if None: nothing that reads pictures is loaded into this one.
    """
    from numbertaker.reading.learnt import LearntForm

    page = next((p for p in archive.card_scans() if p.card_id == card_id), None)
    if page is None:
        raise NotFound("scan of card", card_id)
    asked = (str(archive.scan_path(page.sha256).resolve()), page.page, archive.scan(page.sha256).name)
    with (executor or _one_process)() as pool:
        told = pool.submit(learn_from_page, *asked, headings_json(archive)).result()
    if "failed" in told:
        raise BadInput(f"Card {card_id}: {told['failed']}")
    return LearntForm.of_json(told)


def learn_form(
    archive: Archive,
    card_id: str,
    name: str,
    meanings: Mapping[str, str] | None = None,
    side: str = "",
    *,
    executor: MakeExecutor | None = None,
) -> LearntForm:
    """Learn a form from the first scan of a card whose columns are right, and keep it under a name.

    `meanings` says of columns, by their printed title, which field they hold ('' for none). Raises as
    `columns_of_card`; `BadInput` too where a title or field is unknown.
    """
    _check_name(name)
    found, meant = columns_of_card(archive, card_id, executor), dict(meanings or {})
    if unknown := next((title for title in meant if title not in found.titles), ""):
        raise BadInput(f"No column has the title {unknown!r}; the card's are {', '.join(found.titles)}.")
    fields = [meant.get(title, field) for title, field in zip(found.titles, found.fields, strict=True)]
    return keep_told(archive, name, replace(found, fields=tuple(fields), side=side or found.side).to_json())


def keep_told(archive: Archive, name: str, body: Mapping[str, Any]) -> LearntForm:
    """Keep a form that somebody put right or shared, under a name; `BadInput` says what is wrong with it."""
    from numbertaker.reading.learnt import LearntForm

    form = LearntForm.of_json({**body, "name": name})
    keep_form(archive, form)
    return form


def _one_process() -> Executor:
    return ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn"))


@dataclass(frozen=True, slots=True)
class FormColumn:
    """A column of a form: its printed title, and the field of a line that it holds ('' for none)."""

    title: str
    field: str


@dataclass(frozen=True, slots=True)
class FormView:
    """A learnt form as a person reads it. `sources` are those whose cards are said to have it."""

    name: str
    side: str
    columns: list[FormColumn]
    ruled: bool
    sources: list[str]


def form_view(form: LearntForm, chosen: Mapping[str, str]) -> FormView:
    """A form, and for which sources it is chosen."""
    columns = [FormColumn(title, field) for title, field in zip(form.titles, form.fields, strict=True)]
    return FormView(
        form.name, form.side, columns, form.ruled, [s for s, n in chosen.items() if n == form.name]
    )


def form_views(archive: Archive) -> list[FormView]:
    """The archive's learnt forms, by name."""
    told = chosen(archive)
    return [form_view(form, told) for form in forms(archive)]


def text_of_form(archive: Archive, name: str) -> str:
    """A form as the file that is shared; `NotFound` where there is none of that name."""
    return _file_of(archive, name).read_text(encoding="utf-8")


def drop_form(archive: Archive, name: str) -> None:
    """Forget a form; sources for which it was chosen are left to the program again. Cards stay as read."""
    file = _file_of(archive, name)
    for source_id, own in chosen(archive).items():
        if own == name:
            choose_form(archive, source_id, "")
    file.unlink()


def chosen(archive: Archive) -> dict[str, str]:
    """For each source whose cards are said to have a learnt form the form's name, by source."""
    file = archive.folder / CHOSEN
    return dict(sorted(json.loads(file.read_text(encoding="utf-8")).items())) if file.exists() else {}


def choose_form(archive: Archive, source_id: str, name: str) -> None:
    """Say which learnt form the cards of a source have; '' leaves that to the program, card by card.

    `NotFound` for an unknown source or form. It holds for whatever is read from then on.
    """
    if all(source.source_id != source_id for source in archive.evidence().sources):
        raise NotFound("source", source_id)
    if name:
        _file_of(archive, name)
    told = {**chosen(archive), source_id: name}
    body = json.dumps({s: n for s, n in sorted(told.items()) if n}, ensure_ascii=False, indent=1) + "\n"
    write_whole(archive.folder / CHOSEN, body.encode("utf-8"))


def _file_of(archive: Archive, name: str) -> Path:
    known = sorted(file.stem for file in (archive.folder / FOLDER).glob("*.json"))
    if name not in known:
        raise NotFound("form", name, near=known[:5])
    return archive.folder / FOLDER / f"{name}.json"


def keep_form(archive: Archive, form: LearntForm) -> Path:
    """Keep a form under its name; one of that name that is there already is replaced."""
    _check_name(form.name)
    folder = archive.folder / FOLDER
    folder.mkdir(exist_ok=True)
    file = folder / f"{form.name}.json"
    text = json.dumps(form.to_json(), ensure_ascii=False, indent=1) + "\n"
    file.write_text(text, encoding="utf-8", newline="\n")
    return file


def take_form(archive: Archive, file: Path) -> LearntForm:
    """Take in a form that somebody shared; `BadInput` says what is wrong with a file that is none."""
    try:
        body = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise BadInput(f"{file.name}: expected a form as JSON, found something else ({error}).") from error
    if not isinstance(body, dict):
        raise BadInput(f"{file.name}: expected a form as JSON, found a {type(body).__name__}.")
    return keep_told(archive, str(body.get("name", "")), body)


def _check_name(name: str) -> None:
    if not _NAME.fullmatch(name):
        raise BadInput(
            f"A form's name has small letters, figures and hyphens, 60 at most: "
            f"expected such as 'works-card', "
            f"found {name!r}."
        )
