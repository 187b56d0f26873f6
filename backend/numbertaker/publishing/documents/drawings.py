"""The figures of a document as drawings for print: SVG for the PDF, PNG for word processors."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from numbertaker.publishing.document import Document, Figure
from numbertaker.publishing.documents.glyphs import showable
from numbertaker.publishing.miles_chart import miles_svg
from numbertaker.publishing.plain import plain
from numbertaker.publishing.svg import timeline_svg
from numbertaker.publishing.timeline import Timeline

_INK, _SOFT, _HAIR, _FAINT, _WARN = "#1c1b19", "#57534c", "#8b857a", "#ddd7cb", "#8a3d0c"
SHEET: Final = f"""
text{{font-family:"EB Garamond","Libertinus Serif","DejaVu Sans Mono";font-size:14.5px;fill:{_INK}}}
.tick{{fill:{_SOFT};font-size:13.5px}}.grid{{stroke:{_FAINT};stroke-width:.8}}
.lane{{stroke:{_FAINT};stroke-dasharray:1 3}}.ink{{fill:{_INK}}}
.dotted{{stroke:{_INK};stroke-width:4;stroke-dasharray:1 5;stroke-linecap:round}}
.wavy{{fill:none;stroke:{_WARN};stroke-width:2.5}}.fray{{stroke:{_INK};stroke-width:1}}
.tie{{fill:none;stroke:{_HAIR};stroke-width:1}}.second{{stroke:{_WARN};stroke-width:3}}
.warn{{fill:{_WARN};font-style:italic}}.hatch{{stroke:{_HAIR};stroke-width:1}}
.edge{{fill:none;stroke:{_HAIR};stroke-width:.75;stroke-dasharray:3 2}}.base{{stroke:{_HAIR}}}
.run{{stroke:{_INK};stroke-width:2.2;stroke-linecap:round}}
.band{{fill:{_FAINT};fill-opacity:.75;stroke:{_HAIR};stroke-width:.8;stroke-dasharray:2 2}}
""".strip()
"""The look of a drawing on paper; the page has the same in `page.css`, in colours that follow the screen."""


def drawings(document: Document) -> dict[str, str]:
    """Every drawing of a document by its name, as SVG that stands alone."""
    drawn: dict[str, str] = {}
    for block in document.blocks:
        if isinstance(block, Figure):
            for name, title, says in block.drawn():
                svg = _drawing(block, name, title, says)
                if svg:
                    drawn[name] = svg
    return drawn


def _drawing(figure: Figure, name: str, title: str, says: str) -> str:
    line = _showable(figure.timeline)
    if name.endswith("-miles"):
        svg = miles_svg(line, title, says, "m")
    else:
        svg = timeline_svg(line, title, says, "t", lanes_only=True)
    svg = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    return svg.replace("<defs>", f"<style>{SHEET}</style><defs>", 1)


def _showable(line: Timeline) -> Timeline:
    """The timeline with labels that the fonts of the drawing can show."""
    return replace(line, lanes=tuple(showable(plain(lane)) for lane in line.lanes))
