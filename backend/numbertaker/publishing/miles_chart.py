"""The chart of miles for print: supported miles over time, and the band that the true ones lie in.

A stay or a silence without a figure is hatched from top to foot, and no line crosses it: what is not known is
never drawn as known. The band widens where a stay has an estimate only; the bracket at the right is the
range of the true total, gaps counted in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from numbertaker.evidence.days import day_of
from numbertaker.publishing.figures import grouped
from numbertaker.publishing.svg import WIDTH, Axis, RunPart, band_path, opening, run_parts, short, ticks
from numbertaker.publishing.timeline import Timeline

HEIGHT: Final = 300
LEFT: Final = 92
RIGHT: Final = 96
TOP: Final = 16
FOOT: Final = 262
_STEPS: Final = (1, 2, 5)
_MOST_MARKS: Final = 6


def miles_svg(line: Timeline, title: str, description: str, key: str) -> str:
    """The drawing; empty where nothing is dated or no figure is known."""
    bounds = line.bounds()
    if bounds is None or not line.has_miles:
        return ""
    axis = Axis(*bounds, left=LEFT, right=RIGHT)
    parts = list(run_parts(line, axis))
    top = max(line.supported, line.high or 0, *(part.high[1] for part in parts), 1)
    drawn = [
        opening(title, description, key, HEIGHT),
        *_grid(axis, top),
        *_hatched(line, parts, axis, key),
        *_band(parts, top),
        *_lines(parts, top),
        *_ends(line, top),
        "</svg>",
    ]
    return "\n".join(drawn)


def _y(value: float, top: int) -> float:
    return FOOT - (FOOT - TOP) * value / top


def marks(top: int) -> tuple[int, ...]:
    """The miles to mark on the scale: whole steps of 1, 2 or 5 times a power of ten, at most six."""
    power = 1
    while True:
        for step in _STEPS:
            if top / (step * power) <= _MOST_MARKS:
                return tuple(range(0, top + 1, step * power))
        power *= 10


def _grid(axis: Axis, top: int) -> Iterator[str]:
    for year in ticks(axis.first, axis.last):
        x = short(axis.x(day_of(year, 1, 1)))
        yield f'<line class="grid" x1="{x}" y1="{TOP}" x2="{x}" y2="{FOOT}"/>'
        yield f'<text class="tick" x="{x}" y="{FOOT + 18}" text-anchor="middle">{year}</text>'
    for mark in marks(top):
        y = _y(mark, top)
        kind = "base" if mark == 0 else "grid"
        yield f'<line class="{kind}" x1="{LEFT}" y1="{short(y)}" x2="{WIDTH - RIGHT}" y2="{short(y)}"/>'
        yield (
            f'<text class="tick" x="{LEFT - 10}" y="{short(y + 4)}" text-anchor="end">{grouped(mark)}</text>'
        )
    yield f'<text class="label" x="{LEFT - 10}" y="{FOOT + 18}" text-anchor="end">miles</text>'


def _hatched(line: Timeline, parts: list[RunPart], axis: Axis, key: str) -> Iterator[str]:
    spans = [(axis.x(silence.first), axis.x(silence.last)) for silence in line.silences]
    spans += [(part.x0, part.x1) for part in parts if not part.known]
    for x0, x1 in spans:
        size = f'width="{short(max(2.0, x1 - x0))}" height="{FOOT - TOP}"'
        yield f'<rect x="{short(x0)}" y="{TOP}" {size} fill="url(#{key}-h)"/>'


def _band(parts: list[RunPart], top: int) -> Iterator[str]:
    """The range of the miles so far, where there is one."""
    if any(part.low != part.high for part in parts):
        yield band_path(parts, lambda miles: _y(miles, top))


def _lines(parts: list[RunPart], top: int) -> Iterator[str]:
    """The supported miles: a line for each stay with a figure, none where there is no figure."""
    for part in parts:
        if part.known:
            y0, y1 = short(_y(part.run[0], top)), short(_y(part.run[1], top))
            yield f'<line class="run" x1="{short(part.x0)}" y1="{y0}" x2="{short(part.x1)}" y2="{y1}"/>'


def _ends(line: Timeline, top: int) -> Iterator[str]:
    """At the right: the supported miles, and the bracket of the true total."""
    x = WIDTH - RIGHT + 8
    y = _y(line.supported, top)
    yield f'<text class="total" x="{x + 10}" y="{short(y + 4)}">{grouped(line.supported)}</text>'
    if line.low is None or line.high is None or line.low == line.high:
        return
    y0, y1 = _y(line.high, top), _y(line.low, top)
    yield f'<path class="tie" d="M{x - 3} {short(y0)}H{x + 3}V{short(y1)}H{x - 3}"/>'
    if y - y0 > 14:
        yield f'<text class="tick" x="{x + 10}" y="{short(y0 + 4)}">{grouped(line.high)}</text>'
    if y1 - y > 14:
        yield f'<text class="tick" x="{x + 10}" y="{short(y1 + 4)}">{grouped(line.low)}</text>'
