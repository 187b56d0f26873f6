"""The built pages, and what stands there while they are not built."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from fastapi import FastAPI, Request, Response
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles

STATIC: Final = Path(__file__).parent / "static"
COMMAND: Final = "./scripts/start"

_NOT_BUILT: Final = f"""<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><title>Numbertaker</title></head>
<body><h1>The pages are not built yet</h1>
<p>The program runs, but its pages have not been built. In its folder, type:</p>
<pre>{COMMAND}</pre>
<p>Everything that the pages show can be had at <a href="/api/openapi.json">/api</a> meanwhile.</p>
</body></html>
"""


def serve_pages(app: FastAPI, folder: Path) -> None:
    """Serve the built files; any other address that is not of the API gives the one page of the application.

    The folder is looked at when a page is asked for, so pages that are built later are found.
    """
    if (folder / "assets").is_dir():
        app.mount("/assets", _Assets(directory=folder / "assets"), name="assets")

    @app.get("/{path:path}", include_in_schema=False)
    def page(request: Request, path: str) -> Response:
        if path == "api" or path.startswith("api/"):
            raise HTTPException(404)
        return _page(folder, path)


class _Assets(StaticFiles):
    """Files whose names change with their content."""

    def file_response(self, *args: object, **kwargs: object) -> Response:
        reply = super().file_response(*args, **kwargs)  # type: ignore[arg-type]
        reply.headers["Cache-Control"] = "public, max-age=31536000, immutable"
        return reply


def _page(folder: Path, path: str) -> Response:
    from fastapi.responses import FileResponse, HTMLResponse

    fresh = {"Cache-Control": "no-cache"}
    wanted = (folder / path).resolve()
    if path and wanted.is_relative_to(folder.resolve()) and wanted.is_file():
        return FileResponse(wanted, headers=fresh)
    index = folder / "index.html"
    if not index.is_file():
        return HTMLResponse(_NOT_BUILT, headers=fresh)
    if "." in path.rpartition("/")[2] and path.startswith("assets/"):
        raise HTTPException(404)
    return FileResponse(index, headers=fresh)
