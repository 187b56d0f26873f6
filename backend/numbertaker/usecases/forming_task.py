"""What a worker process runs to learn a form: a page, its table, the form that it makes. Light to import."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from numbertaker.evidence.errors import NumbertakerError


def learn_from_page(path: str, page: int, name: str, headings: str) -> dict[str, Any]:
    """The form of page `page` (from 1) of a file as it is kept, still without a name; `{"failed": why}` where
    no table is found on it. `name` is the file's, for messages; `headings` are the archive's own, as JSON.
    """
    import cv2

    from numbertaker.reading.finding import tables_of
    from numbertaker.reading.headings import subject_of
    from numbertaker.reading.learnt import learn
    from numbertaker.reading.pages import open_page
    from numbertaker.reading.recognisers import choose
    from numbertaker.reading.table import Table

    cv2.setNumThreads(1)
    try:
        found = tables_of(open_page(Path(path).read_bytes(), page, name=name), choose(), json.loads(headings))
    except NumbertakerError as error:
        return {"failed": error.message}
    for desk, table in found:
        if isinstance(table, Table):
            said = (subject_of(w.text) for line in table.above for w in line)
            side = next((s for s in said if s), "statement")
            return learn("", side, table.columns, desk.plane, ruled=table.ruled).to_json()
    why = "; ".join(table.reason for _, table in found if not isinstance(table, Table))
    return {"failed": f"No table was found on it, so it has no form to be learnt. {why}".strip()}
