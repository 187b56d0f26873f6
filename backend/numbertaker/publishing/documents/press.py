"""The press: sets pages in a process of its own, whose memory goes back when it ends.

The typesetter keeps what it has laid out for the next run in the same process, and a book takes hundreds of
megabytes of that. This file is run by its path, in a folder with `press.json`, and imports nothing of ours.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, Final

HERE: Final = Path(__file__).parent
JOBS: Final = "press.json"
"""What is to be made, in the folder: a list of objects with `template` (a file beside this one), `inputs` for
it, `form` (pdf or png), `standards`, `ppi`, and `out`, the file to write there."""
_DAY: Final = 0
"""The day in the file, in seconds since 1970: the document rests on a state, not on a day."""


def run(root: Path) -> None:
    """Make everything that is listed in the folder."""
    import typst

    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(HERE / "fonts")]
    )
    for job in json.loads((root / JOBS).read_text(encoding="utf-8")):
        _make(job, root, fonts)


def _make(job: dict[str, Any], root: Path, fonts: Any) -> None:
    import typst

    compiler = typst.Compiler(
        (HERE / job["template"]).read_bytes(),
        root=root,
        font_paths=fonts,
        sys_inputs=job["inputs"],
        ignore_system_fonts=True,
    )
    form: Any = job["form"]
    out = str(root / job["out"])
    compiler.compile(output=out, format=form, pdf_standards=job["standards"], timestamp=_DAY, ppi=job["ppi"])


if __name__ == "__main__":
    run(Path(sys.argv[1]))
