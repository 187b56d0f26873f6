"""The corpus's own README: what it is, and everything that was planted in it, with the lines to look at."""

from __future__ import annotations

from typing import Final

from .faults import Fault, faults
from .papers import Paper
from .plantings import World
from .roster import Borne, Locomotive
from .tables import month

HEAD: Final = """# The Merrowdale & Ostrey Railway

An invented railway, so that the whole way from a scan to a footnoted history can be walked without
anybody's real papers. Its works at Brackwith, its engines, their names and numbers, its clerks and
every figure are made up; any likeness to a real railway, engine or person is an accident. It ran from
1903 to 1962, with {engines} engines in four classes, {boilers} boilers of three types and {tenders}
tenders. This folder may be used freely (CC0 1.0).

- `scans/`: {pages} worn cards and pages in {files} files: JPEG, PNG, a TIFF and a PDF of several pages
  each, two photographs that are stored on their side, and four that a telephone's camera took of papers
  on a dark desk, two of them with two cards each.
- `authority/`: the tables that a researcher would have before reading a card: sources, cards, engines,
  components, designations, what fits what, events.
- `package/`: the same tables and `lines.csv`: every line of every scan exactly as it stands on the
  paper.
- `truth.json`: what really happened, to the day and the mile, what every cell means, and the planted
  faults.
- `cells.json`: where every cell lies on its scan (in pixels of the upright picture), its text and its
  marks.

Boiler cards (`S1`), engine cards (`S2`) and tender cards (`S3`) were typed at the works; four pages
survive of a printed list (`S4`) that was copied from the boiler cards. Engine cards have no column for
tenders, and the cards of {lost} engines are lost: those engines are known from the other side only.

What else survives tells of the same fitments. The sheds kept a card of an engine for as long as it was
stationed there, by hand (`S6`): eight of them, three in two hands each, with ditto marks and figures struck
out and put right. Three leaves are left of a typed boiler ledger (`S7`), faintly ruled, with a heading over
both dates; one begins with a total brought forward. Two sheets of a carbon copy list the tank engines'
boilers, without any ruling (`S8`).

## Making it again

    .venv/bin/python scripts/make_corpus                  # the same seed gives the same corpus
    .venv/bin/python scripts/make_corpus --seed 7 --out /tmp/another
    .venv/bin/python scripts/make_corpus --package-only   # tables and truth only; the scans stay

Nothing depends on the fonts of the machine. The seed of this folder is {seed}. The same command writes
this file, so that the lists below always fit the scans.

## Faults planted, and the finding that should say so

| planted | lines | finding | what is wrong |
| --- | --- | --- | --- |
"""

MIDDLE: Final = """
Nothing else should be flagged when `package/` is reconciled. The right mileage of the fitment that the
list copied stands on `{engine_line}`; the list only repeats the wrong one and must not outvote it. In
truth a fitment of boiler {gap} on engine {lost_engine} fills the silence, but no paper that survives has
it; the card of {lost_engine} is known to exist and was never copied.

## Awkward things planted that are no fault, and that no finding should name

| planted | where |
| --- | --- |
"""

FONTS: Final = """
## Fonts

The letters on the scans are drawn with fonts shipped in `scripts/corpus/fonts/`, each with its licence
beside it: Courier Prime, Cutive Mono, Old Standard TT and Archivo Narrow (SIL Open Font License 1.1),
and Special Elite (Apache License 2.0). The hands are drawn faces too, nobody's own: Damion, Neucha and
Ephesis (SIL Open Font License 1.1), and Satisfy (Apache License 2.0); the reader was trained on none of these
four. All are the Latin subsets that the Fontsource packages distribute.

## What the scans leave out

A face writes every letter alike, however it is moved about: real hands will be much harder. Every card of
one printing of a form has the same columns, as real ones had, which flatters a reader that knows the form.
"""


def readme(world: World, papers: list[Paper], *, seed: int, files: int) -> str:
    """The text of the README for this corpus."""
    planted = faults(world, papers)
    kinds = [part.kind for part in world.railway.parts]
    gap = world.slip("gap").stay
    lost_engine = world.railway.engine(gap.engine_id or "")
    head = HEAD.format(
        engines=len(world.railway.engines),
        boilers=kinds.count("boiler"),
        tenders=kinds.count("tender"),
        pages=len(papers),
        files=files,
        lost=sum(not e.carded for e in world.railway.engines),
        seed=seed,
    )
    middle = MIDDLE.format(
        engine_line=_engine_line(world, papers),
        gap=gap.component_id[1:],
        lost_engine=lost_engine.called("number", gap.fitted),
    )
    harmless = "".join(f"| {what} | {where} |\n" for what, where in _harmless(world, papers))
    return head + "".join(_row(f) for f in planted) + middle + harmless + FONTS


def _row(fault: Fault) -> str:
    lines = ", ".join(f"`{line}`" for line in fault.lines)
    return f"| {fault.key} | {lines} | `{fault.expected}` | {fault.note} |\n"


def _engine_line(world: World, papers: list[Paper]) -> str:
    """The line of the engine's card that has the right mileage."""
    stay = world.slip("miles").stay
    return next(p.line_id(x) for p in papers if p.form == "engine-card" for x in p.lines if x.stay == stay)


def _harmless(world: World, papers: list[Paper]) -> list[tuple[str, str]]:
    engines = world.railway.engines
    rows = [
        (f"an engine {verb}", f"{e.engine_id}: {_change(e, scheme)}")
        for scheme, verb in (("name", "renamed"), ("number", "renumbered"), ("class", "rebuilt"))
        for e in engines
        if sum(b.scheme == scheme for b in e.borne) == 2
    ]
    rows.append(("a number given out twice", _given_twice(engines)))
    span = next(e for e in engines if e.span_only)
    new = next(s for s in world.railway.stays_on(span.engine_id, "boiler"))
    year = span.built.year
    known = f"{span.engine_id}: May to August {year} in the tables, 'c.{year}' on its card"
    rows.append(("a built date known only as a span", known))
    rows.append(
        (
            "a boiler that went new to a new engine",
            f"boiler {new.component_id[1:]} to {span.engine_id}, and others",
        )
    )
    spare = [p.line_id(x) for p in papers for x in p.lines if x.says == "spare"]
    rows.append(("a component in stock, and written down so", ", ".join(f"`{line}`" for line in spare)))
    hands = [p for p in papers if p.second is not None]
    rows.append(
        (
            "two hands on one card",
            ", ".join(f"`{p.card_id}`, from line {(p.second or (0,))[0]}" for p in hands),
        )
    )
    begun = [p.line_id(p.lines[0]) for p in papers if p.lines[0].says == "total"]
    rows.append(("a total brought forward", ", ".join(f"`{line}`" for line in begun)))
    struck = sum(mark.startswith("struck") for p in papers for x in p.lines for mark in x.marks.values())
    rows.append(("figures struck out and typed again", f"{struck} cells, marked in `lines.csv`"))
    return rows


def _change(engine: Locomotive, scheme: str) -> str:
    old, new = (b for b in engine.borne if b.scheme == scheme)
    return f"{old.value} until {month(old.last)}, {new.value} from {month(new.first)}"


def _given_twice(engines: tuple[Locomotive, ...]) -> str:
    borne: dict[str, list[tuple[Locomotive, Borne]]] = {}
    for engine in engines:
        for b in (b for b in engine.borne if b.scheme == "number"):
            borne.setdefault(b.value, []).append((engine, b))
    number, twice = next((n, pairs) for n, pairs in borne.items() if len(pairs) > 1)
    spans = " and ".join(f"{e.engine_id} ({month(b.first)} to {month(b.last)})" for e, b in twice)
    return f"{number}: {spans}"
