"""The timeline as inline SVG: one engine one lane, the component one thread, miles growing beneath.

A soft end frays over its interval; a gap leaves the lanes and runs hatched below them; a stay that certainly
overlaps another is drawn as a second thread with its word. The weight of the line is the degree of evidence:
plain, thinner, dotted, wavy. Colour comes from the page's own custom properties, so that it follows light
and dark and prints.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from numbertaker.evidence.days import Day, civil, day_of
from numbertaker.publishing.figures import grouped
from numbertaker.publishing.plain import plain
from numbertaker.publishing.timeline import Silence, Stretch, Timeline

WIDTH: Final = 960
LABEL: Final = 212
RIGHT: Final = 24
LANE: Final = 26
TOP: Final = 12
MILES: Final = 110
_SHORTEST_FRAY: Final = 2.0
_LONGEST_LABEL: Final = 28
_STEPS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_MOST_TICKS: Final = 10
_THICK: Final = {"near certain": 7.0, "probable": 4.0}


@dataclass(frozen=True, slots=True)
class Axis:
    """From days to x, over the whole width to the right of the labels."""

    first: Day
    last: Day
    left: int = LABEL
    right: int = RIGHT

    def x(self, day: Day) -> float:
        """Where a day stands."""
        wide = WIDTH - self.left - self.right
        return self.left + wide * (day - self.first) / max(1, self.last - self.first)


def timeline_svg(
    line: Timeline,
    title: str,
    description: str,
    key: str,
    *,
    lanes_only: bool = False,
    links: Sequence[str] = (),
) -> str:
    """The drawing; `key` makes its ids unique in the page. Empty where nothing is dated.

    `lanes_only` leaves out the miles; `links` has the anchor that each stretch leads to, empty for none.
    """
    bounds = line.bounds()
    if bounds is None:
        return ""
    axis = Axis(*bounds)
    rows = len(line.lanes) + bool(line.silences)
    foot = TOP + rows * LANE
    with_miles = line.has_miles and not lanes_only
    height = foot + 30 + (MILES + 16 if with_miles else 0)
    parts = [
        opening(title, description, key, height, leads=bool(links)),
        *_grid(axis, foot, height - 18),
        *_lanes(line),
        *_thread(line, axis, links),
        *(part for silence in line.silences for part in _silence(silence, axis, foot - LANE, key)),
        *(_miles(line, axis, foot + 30, key) if with_miles else ()),
        "</svg>",
    ]
    return "\n".join(part for part in parts if part)


def opening(title: str, description: str, key: str, height: float, *, leads: bool = False) -> str:
    """The start of a drawing: its names for those who can't see it, and the hatching of the unknown.

    One with links in it is a group of them (`leads`), for a picture can't have any.
    """
    return "\n".join(
        (
            f'<svg class="timeline" viewBox="0 0 {WIDTH} {height:g}" '
            f'role="{"group" if leads else "img"}" aria-labelledby="{key}-t {key}-d">',
            f'<title id="{key}-t">{_safe(title)}</title><desc id="{key}-d">{_safe(description)}</desc>',
            f'<defs><pattern id="{key}-h" width="6" height="6" patternUnits="userSpaceOnUse" '
            'patternTransform="rotate(45)"><line class="hatch" x1="0" y1="0" x2="0" y2="6"/></pattern>'
            "</defs>",
        )
    )


def _safe(text: str) -> str:
    return escape(plain(text))


def short(value: float) -> str:
    """A length to a tenth of a unit, without a nought at its end."""
    return _f(value)


def _f(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def ticks(first: Day, last: Day) -> tuple[int, ...]:
    """The years to mark: whole steps of one, two, five or ten, at most ten of them."""
    start, end = civil(first)[0], civil(last)[0]
    step = next((s for s in _STEPS if (end - start) / s <= _MOST_TICKS), _STEPS[-1])
    years = range(start - start % step, end + 1, step)
    return tuple(year for year in years if first <= day_of(year, 1, 1) <= last)


def _grid(axis: Axis, foot: int, bottom: int) -> Iterator[str]:
    for year in ticks(axis.first, axis.last):
        x = _f(axis.x(day_of(year, 1, 1)))
        yield f'<line class="grid" x1="{x}" y1="{TOP}" x2="{x}" y2="{bottom}"/>'
        yield f'<text class="tick" x="{x}" y="{foot + 16}" text-anchor="middle">{year}</text>'


def _lanes(line: Timeline) -> Iterator[str]:
    labels = [*line.lanes, *(["no record"] if line.silences else [])]
    for n, label in enumerate(labels):
        y = TOP + n * LANE + LANE / 2
        shown = plain(label).replace("\n", " ")
        short = shown if len(shown) <= _LONGEST_LABEL else f"{shown[: _LONGEST_LABEL - 1]}…"
        yield f'<line class="lane" x1="{LABEL}" y1="{_f(y)}" x2="{WIDTH - RIGHT}" y2="{_f(y)}"/>'
        said = f"{escape(short)}<title>{escape(shown)}</title>"
        yield f'<text class="label" x="{LABEL - 12}" y="{_f(y + 4)}" text-anchor="end">{said}</text>'


def _thread(line: Timeline, axis: Axis, links: Sequence[str]) -> Iterator[str]:
    """The stays, and thin ties from the end of each to the start of the next."""
    before: tuple[float, float] | None = None
    for n, stretch in enumerate(line.stretches):
        goal = links[n] if n < len(links) else ""
        ends = stretch.ends()
        if ends is None:
            continue
        a, b, c, d = (axis.x(day) for day in ends)
        y = TOP + stretch.lane * LANE + LANE / 2
        if before is not None and line.adds and not _silent_between(line, before, b, axis):
            yield f'<path class="tie" d="M{_f(before[0])} {_f(before[1])}L{_f(b)} {_f(y)}"/>'
        if goal:
            yield f'<a href="#{goal}" aria-label="{escape(plain(stretch.says))}">'
        yield f'<g class="stay"><title>{_safe(stretch.says)} ({stretch.degree})</title>'
        yield from _fray(a, b, y, opening=True)
        yield from _solid(b, c, y, stretch)
        yield from _fray(c, d, y, opening=False)
        yield from _doubled(stretch, axis, y)
        yield "</g></a>" if goal else "</g>"
        before = (c, y)


def _silent_between(line: Timeline, before: tuple[float, float], start: float, axis: Axis) -> bool:
    return any(axis.x(s.first) < start and axis.x(s.last) > before[0] for s in line.silences)


def _solid(b: float, c: float, y: float, stretch: Stretch) -> Iterator[str]:
    end = max(c, b + 1.5)
    if stretch.degree == "contradicted":
        yield f'<path class="wavy" d="{_wave(b, end, y)}"/>'
    elif stretch.degree in ("doubtful", "improbable", "unknown"):
        yield f'<line class="dotted" x1="{_f(b)}" y1="{_f(y)}" x2="{_f(end)}" y2="{_f(y)}"/>'
    else:
        thick = _THICK[stretch.degree]
        size = f'width="{_f(end - b)}" height="{_f(thick)}"'
        yield f'<rect class="ink" x="{_f(b)}" y="{_f(y - thick / 2)}" {size}/>'


def _doubled(stretch: Stretch, axis: Axis, y: float) -> Iterator[str]:
    """A second thread beside the first, and the word for it, over the time that is claimed twice."""
    span = stretch.doubled
    if span is None or span.first is None or span.last is None:
        return
    start, end = axis.x(max(axis.first, span.first)), axis.x(min(axis.last, span.last))
    end = max(end, start + 3)
    yield f'<line class="second" x1="{_f(start)}" y1="{_f(y + 7)}" x2="{_f(end)}" y2="{_f(y + 7)}"/>'
    yield f'<text class="warn" x="{_f(start - 5)}" y="{_f(y + 11)}" text-anchor="end">overlap</text>'


def _wave(start: float, end: float, y: float) -> str:
    """A wavy line in half-waves of four units."""
    count = max(1, round((end - start) / 4))
    step = (end - start) / count
    path = [f"M{_f(start)} {_f(y)}"]
    for n in range(count):
        bow = -5 if n % 2 == 0 else 5
        path.append(f"q{_f(step / 2)} {bow} {_f(step)} 0")
    return "".join(path)


def _fray(start: float, end: float, y: float, *, opening: bool) -> Iterator[str]:
    """Three strands of unequal length, together at the certain end and apart at the uncertain one."""
    if end - start < _SHORTEST_FRAY:
        return
    knot, loose = (end, start) if opening else (start, end)
    for reach, apart in ((1.0, 0.0), (0.8, -4.0), (0.6, 4.0)):
        tip = knot + (loose - knot) * reach
        yield f'<line class="fray" x1="{_f(knot)}" y1="{_f(y)}" x2="{_f(tip)}" y2="{_f(y + apart)}"/>'


def _silence(silence: Silence, axis: Axis, top: int, key: str) -> Iterator[str]:
    start, end = axis.x(silence.first), axis.x(silence.last)
    width = _f(max(3.0, end - start))
    yield f'<g class="silence"><title>{_safe(silence.says)}</title>'
    yield f'<rect x="{_f(start)}" y="{top + 6}" width="{width}" height="{LANE - 12}" fill="url(#{key}-h)"/>'
    yield f'<rect class="edge" x="{_f(start)}" y="{top + 6}" width="{width}" height="{LANE - 12}"/></g>'


def _miles(line: Timeline, axis: Axis, top: int, key: str) -> Iterator[str]:
    """Miles over time and the band that the true ones lie in; where there is no figure it is hatched."""
    parts = list(run_parts(line, axis))
    base = top + MILES
    height = (MILES - 18) / max(1, line.supported, *(part.high[1] for part in parts))
    yield f'<line class="base" x1="{LABEL}" y1="{base}" x2="{WIDTH - RIGHT}" y2="{base}"/>'
    yield f'<text class="label" x="{LABEL - 12}" y="{base}" text-anchor="end">supported miles</text>'
    for silence in line.silences:
        x, width = axis.x(silence.first), axis.x(silence.last) - axis.x(silence.first)
        yield _unknown(x, width, top, key, "Nothing known of its miles")
    banded = any(part.low != part.high for part in parts)
    if banded:
        yield band_path(parts, lambda miles: base - miles * height)
    for part in parts:
        if part.known:
            ends_at = f'x2="{_f(part.x1)}" y2="{_f(base - part.run[1] * height)}"'
            yield (f'<line class="run" x1="{_f(part.x0)}" y1="{_f(base - part.run[0] * height)}" {ends_at}/>')
        else:
            yield _unknown(part.x0, part.x1 - part.x0, top, key, "No figure of miles")
    run = line.supported
    # A band lies over the line for the most part, and the figure then below it.
    place = f'x="{WIDTH - RIGHT}" y="{_f(base - run * height + (16 if banded else -6))}"'
    yield f'<text class="total" {place} text-anchor="end">{grouped(run)}</text>'


@dataclass(frozen=True, slots=True)
class RunPart:
    """A stay among miles: where it begins and ends, and the miles run before it and by its end."""

    x0: float
    x1: float
    run: tuple[int, int]
    low: tuple[int, int]
    high: tuple[int, int]
    known: bool


def run_parts(line: Timeline, axis: Axis) -> Iterator[RunPart]:
    """The stays in order, each from its likeliest start to its likeliest end and never before the last."""
    past, run, low, high = 0.0, 0, 0, 0
    for stretch in line.stretches:
        ends = stretch.ends()
        if ends is None:
            continue
        x0, x1 = axis.x((ends[0] + ends[1]) // 2), axis.x((ends[2] + ends[3]) // 2)
        x0, x1 = max(x0, past), max(x0, past, x1)
        least, most = _range(stretch)
        figure = stretch.miles or 0
        known = stretch.miles is not None
        yield RunPart(x0, x1, (run, run + figure), (low, low + least), (high, high + most), known)
        past, run, low, high = x1, run + figure, low + least, high + most


def _range(stretch: Stretch) -> tuple[int, int]:
    """The least and the most miles of a stay; where no end is known, what is stated stands for it."""
    figure = stretch.miles or 0
    low = stretch.low if stretch.low is not None else figure
    high = stretch.high if stretch.high is not None else figure
    return min(low, high), max(low, high)


def band_path(parts: Sequence[RunPart], y: Callable[[float], float]) -> str:
    """The range of the miles so far, from the first stay to the last."""
    over = [(part.x0, part.high[0], part.x1, part.high[1]) for part in parts]
    under = [(part.x1, part.low[1], part.x0, part.low[0]) for part in reversed(parts)]
    corners = [pair for x0, m0, x1, m1 in (*over, *under) for pair in ((x0, m0), (x1, m1))]
    path = "L".join(f"{short(x)} {short(y(value))}" for x, value in corners)
    return f'<path class="band" d="M{path}Z"/>'


def _unknown(x: float, width: float, top: int, key: str, says: str) -> str:
    """A time without a figure of miles, hatched from top to foot."""
    size = f'width="{_f(max(2.0, width))}" height="{MILES}"'
    return f'<rect x="{_f(x)}" y="{top}" {size} fill="url(#{key}-h)"><title>{says}</title></rect>'
