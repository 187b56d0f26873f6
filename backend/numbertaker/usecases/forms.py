"""Forms learnt from corrected cards: kept beside the archive's rows as data, tried on its cards, shared as
files.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from numbertaker.archive import Archive
from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.reading.lines import FIELDS

if TYPE_CHECKING:
    from numbertaker.reading.columns import Column
    from numbertaker.reading.learnt import LearntForm

FOLDER: Final = "forms"
HEADINGS: Final = "headings.json"
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


def learn_form(
    archive: Archive, card_id: str, name: str, meanings: Mapping[str, str] | None = None, side: str = ""
) -> LearntForm:
    """Learn a form from the first scan of a card whose columns are right, and keep it under a name.

    `meanings` says of columns, by their printed title, which field they hold ('' for none). `NotFound` for
    a card
    without a scan; `BadInput` where no table is found on it, or a title or field is unknown.
    """
    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.headings import subject_of
    from numbertaker.reading.learnt import learn
    from numbertaker.reading.pages import open_page
    from numbertaker.reading.recognisers import choose
    from numbertaker.reading.table import Table

    _check_name(name)
    page = next((p for p in archive.card_scans() if p.card_id == card_id), None)
    if page is None:
        raise NotFound("scan of card", card_id)
    scan = open_page(archive.scan_bytes(page.sha256), page.page, name=archive.scan(page.sha256).name)
    found = tables_of(scan, choose())
    desk, table = next(((d, t) for d, t in found if isinstance(t, Table)), (None, None))
    if desk is None or table is None:
        raise BadInput(f"No table was found on the scan of card {card_id}, so it has no form to be learnt.")
    columns = [_meant(column, meanings or {}) for column in table.columns]
    _check_titles(meanings or {}, [column.title for column in table.columns])
    said = next((s for line in table.above for s in (subject_of(w.text) for w in line) if s), "statement")
    form = learn(name, side or said, columns, desk.plane, ruled=table.ruled)
    keep_form(archive, form)
    return form


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
    from numbertaker.reading.learnt import LearntForm

    try:
        body = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise BadInput(f"{file.name}: expected a form as JSON, found something else ({error}).") from error
    if not isinstance(body, dict):
        raise BadInput(f"{file.name}: expected a form as JSON, found a {type(body).__name__}.")
    form = LearntForm.of_json(body)
    keep_form(archive, form)
    return form


def _meant(column: Column, meanings: Mapping[str, str]) -> Column:
    """A column with the field that a person says it holds."""
    return replace(column, field=meanings.get(column.title, column.field))


def _check_name(name: str) -> None:
    if not _NAME.fullmatch(name):
        raise BadInput(
            f"A form's name has small letters, figures and hyphens, 60 at most: "
            f"expected such as 'works-card', "
            f"found {name!r}."
        )


def _check_titles(meanings: Mapping[str, str], titles: list[str]) -> None:
    for title, field in meanings.items():
        if title not in titles:
            raise BadInput(f"No column has the title {title!r}; the card's are {', '.join(titles)}.")
        if field and field not in FIELDS:
            raise BadInput(f"{field!r} is no field of a line; there are {', '.join(FIELDS)}.")
