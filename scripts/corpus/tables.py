"""The authority tables, the sources and the cited events, as rows of the evidence package."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final, TypeAlias

from .papers import Paper
from .plantings import World
from .roster import BOILER_TYPE, CLASS_NOTE, RAILWAY, TENDER_CLASSES, TENDER_TYPE, WORKS, Borne, Locomotive
from .scans import ScanFile

Row: TypeAlias = dict[str, str]

REPOSITORY: Final = "Ostrey Town Museum (invented)"


def month(day: date) -> str:
    """A day as its month in EDTF."""
    return f"{day:%Y-%m}"


def sources() -> list[Row]:
    """The sources whose scans are here, and the one from which the events are cited."""
    cards = {
        "repository": REPOSITORY,
        "author": f"{RAILWAY}, {WORKS} Works",
        "rights": "CC0-1.0",
        "seen": "2024-05",
    }
    return [
        {
            "source_id": "S1",
            "kind": "component-card",
            "title": f"Boiler record cards, {WORKS} Works",
            "collection": "Records of the Chief Mechanical Engineer",
            "reference": "MOR/CME/4",
            "created": "1903/1962",
            **cards,
        },
        {
            "source_id": "S2",
            "kind": "engine-card",
            "title": f"Engine record cards, {WORKS} Works",
            "collection": "Records of the Chief Mechanical Engineer",
            "reference": "MOR/CME/3",
            "created": "1903/1962",
            **cards,
        },
        {
            "source_id": "S3",
            "kind": "component-card",
            "title": f"Tender record cards, {WORKS} Works",
            "collection": "Records of the Chief Mechanical Engineer",
            "reference": "MOR/CME/5",
            "created": "1904/1962",
            **cards,
        },
        {
            "source_id": "S4",
            "kind": "published",
            "title": "Boilers of the M. & O. Railway: a list",
            "author": "Oram, T. H.",
            "publisher": "Merrowdale Record Society, Thrunby",
            "created": "1964",
            "seen": "2024-06",
            "rights": "CC0-1.0",
            "compiled_from": "S1",
            "note": "Copied from the boiler cards while they were still at the works.",
        },
        {
            "source_id": "S5",
            "kind": "register",
            "title": "Locomotive Committee, minutes",
            "repository": REPOSITORY,
            "collection": "Records of the Company",
            "reference": "MOR/SEC/12",
            "created": "1903/1962",
            "seen": "2024-05",
            "rights": "CC0-1.0",
        },
        *_sources_elsewhere(),
    ]


def _sources_elsewhere() -> list[Row]:
    """What survives besides the works' cards."""
    museum = {"repository": REPOSITORY, "rights": "CC0-1.0", "seen": "2024-09"}
    return [
        {
            "source_id": "S6",
            "kind": "engine-card",
            "title": "Engine cards kept at the running sheds",
            "author": f"{RAILWAY}, shed clerks",
            "collection": "Papers of the running sheds",
            "reference": "MOR/SHD/2",
            "created": "1905/1962",
            "note": "By hand. A shed kept a card for as long as the engine was stationed there.",
            **museum,
        },
        {
            "source_id": "S7",
            "kind": "ledger",
            "title": "Boiler ledger, loose leaves",
            "author": f"{RAILWAY}, Accountant's office",
            "collection": "Records of the Company",
            "reference": "MOR/ACC/9",
            "created": "1927/1962",
            "compiled_from": "S1",
            "note": "Typed up from the boiler cards; three leaves survive.",
            **museum,
        },
        {
            "source_id": "S8",
            "kind": "works-list",
            "title": "Boilers of the tank engines, 1922 to 1939",
            "author": f"{RAILWAY}, {WORKS} Works, stores",
            "collection": "Records of the Chief Mechanical Engineer",
            "reference": "MOR/CME/11",
            "created": "1940",
            "note": "A typed list without rulings.",
            **museum,
        },
    ]


def cards(world: World, papers: list[Paper], scans: list[ScanFile], digests: dict[str, str]) -> list[Row]:
    """A row for every scanned card or page, and one for a card that is known of but was never copied."""
    where = {
        page.paper.card_id: (file.reference(page), digests[file.name])
        for file in scans
        for page in file.pages
    }
    rows = [
        {
            "card_id": p.card_id,
            "source_id": p.source_id,
            "form": p.form,
            "subject_id": p.subject_id,
            "covers": p.covers,
            "state": "seen",
            "scans": where[p.card_id][0],
            "sha256": where[p.card_id][1],
            "locator": p.locator,
        }
        for p in papers
    ]
    gap = world.railway.engine(world.slip("gap").stay.engine_id or "")
    number = gap.called("number", gap.withdrawn)
    rows.append(
        {
            "card_id": f"S2-{number}",
            "source_id": "S2",
            "form": "engine-card",
            "subject_id": gap.engine_id,
            "covers": f"{month(gap.built)}/{month(gap.withdrawn)}",
            "state": "known",
            "locator": f"card {number}",
            "note": "Listed in the finding aid; out on loan when the cards were copied.",
        }
    )
    return rows


def built(engine: Locomotive) -> str:
    """When an engine was built, in EDTF: a month, or the span that is all that is known."""
    return (
        f"[{engine.built.year}-05-01..{engine.built.year}-08-31]" if engine.span_only else month(engine.built)
    )


def engines(world: World) -> list[Row]:
    """One row an engine."""
    return [
        {
            "engine_id": e.engine_id,
            "class": e.called("class", e.built),
            "built": built(e),
            "withdrawn": month(e.withdrawn),
            "works": WORKS,
            "note": CLASS_NOTE[e.called("class", e.built)],
        }
        for e in world.railway.engines
    ]


def components(world: World) -> list[Row]:
    """One row a boiler or tender."""
    return [
        {
            "component_id": p.component_id,
            "kind": p.kind,
            "type": p.type,
            "built": str(p.built.year) if p.built.year == 1903 else month(p.built),
            "condemned": month(p.condemned),
        }
        for p in world.railway.parts
    ]


def designations(world: World) -> list[Row]:
    """Numbers and names of every engine, both classes of the rebuilt one, and the components' numbers."""
    rows = []
    for engine in world.railway.engines:
        rows += [_borne(engine, b) for b in engine.borne if b.scheme != "class" or engine.rebuilt]
    for part in world.railway.parts:
        rows.append({"subject_id": part.component_id, "scheme": "number", "value": part.number})
    return rows


def _borne(engine: Locomotive, borne: Borne) -> Row:
    first = str(engine.built.year) if engine.span_only and borne.first == engine.built else month(borne.first)
    return {
        "subject_id": engine.engine_id,
        "scheme": borne.scheme,
        "value": borne.value,
        "from": first,
        "to": month(borne.last),
    }


def fits() -> list[Row]:
    """Which type of boiler or tender a class could carry."""
    rows = [{"component_type": type_, "engine_class": class_} for class_, type_ in BOILER_TYPE.items()]
    return rows + [{"component_type": TENDER_TYPE, "engine_class": class_} for class_ in TENDER_CLASSES]


def events(world: World) -> list[Row]:
    """A few dated statements from the minutes about engines that carried the boilers."""
    stories = sorted([*_changes(world), *_adventures(world)], key=lambda story: story[1])
    return [
        {
            "event_id": f"V{n}",
            "subject_id": engine_id,
            "date": month(day),
            "statement": statement,
            "source_id": "S5",
            "locator": f"minute {61 + 37 * n}",
        }
        for n, (engine_id, day, statement) in enumerate(stories, start=1)
    ]


Story: TypeAlias = tuple[str, date, str]  # the engine's id, when, and what the minutes say


def _changes(world: World) -> list[Story]:
    """When an engine was renamed, renumbered or rebuilt."""
    stories = []
    for engine in world.railway.engines:
        for scheme, words in (
            ("name", "Renamed {new}; it had been {old}."),
            ("number", "Renumbered {new}; it had been {old}."),
            ("class", "Rebuilt from class {old} to class {new}, with a larger boiler."),
        ):
            borne = [b for b in engine.borne if b.scheme == scheme]
            if len(borne) == 2:
                text = words.format(old=borne[0].value, new=borne[1].value)
                stories.append((engine.engine_id, borne[1].first, text))
    return stories


def _adventures(world: World) -> list[Story]:
    """What befell the engines of the silent boiler, and the last engine of all."""
    gap = world.slip("gap").stay
    before = [s for s in world.railway.stays_of(gap.component_id) if s.fitted < gap.fitted][-1]
    last = max(world.railway.engines, key=lambda e: e.withdrawn)
    collision = "In collision with a goods brake van at Thrunby; frame straightened at Brackwith."
    lent = "Lent to the contractors for the Skelholm reservoir."
    return [
        (before.engine_id or "", before.fitted + timedelta(days=240), collision),
        (gap.engine_id or "", gap.fitted + timedelta(days=150), lent),
        (last.engine_id, last.withdrawn, "Set aside for preservation by the town of Ostrey."),
    ]
