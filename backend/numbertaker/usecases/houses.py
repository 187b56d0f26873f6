"""What an archive's people keep for its documents: house styles of their own, comparisons to recompute.

Both are files beside the rows, and go along in a bag: `styles/NAME.toml`, and `comparisons.json` with the
lines for each component.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from numbertaker.archive import Archive
from numbertaker.archive.scans import write_whole
from numbertaker.evidence.errors import BadInput, NotFound
from numbertaker.publishing.citations import Notes
from numbertaker.publishing.comparisons import Comparison, parse_comparison
from numbertaker.publishing.document import Run
from numbertaker.publishing.house import STYLES, HouseStyle, style_of, style_text
from numbertaker.publishing.matter import Matter
from numbertaker.publishing.reckoned import Reckoner
from numbertaker.usecases.naming import component_id_of
from numbertaker.usecases.reconcile import current

FOLDER: Final = "styles"
COMPARISONS: Final = "comparisons.json"
MOST: Final = 50
"""How many comparisons a component may have."""
_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")


@dataclass(frozen=True, slots=True)
class StyleView:
    """A house style: the name to ask for it by, what it is called, and whether it is of the archive's own."""

    name: str
    title: str
    own: bool


@dataclass(frozen=True, slots=True)
class ComparisonView:
    """A comparison as its line, its sentence, whether the figures bear it out, and what they say."""

    line: str
    says: str
    stands: bool
    told: str


def styles(archive: Archive) -> list[StyleView]:
    """The styles to choose from: those of the program, then the archive's own by name."""
    known = [StyleView(name, style.title, own=False) for name, style in STYLES.items()]
    return known + [StyleView(name, style_named(archive, name).title, own=True) for name in _own(archive)]


def _own(archive: Archive) -> list[str]:
    found = sorted(file.stem for file in (archive.folder / FOLDER).glob("*.toml"))
    return [name for name in found if _NAME.fullmatch(name) and name not in STYLES]


def style_named(archive: Archive, name: str) -> HouseStyle:
    """A style by its name; `BadInput` where there is none of that name."""
    if name in STYLES:
        return STYLES[name]
    if name not in _own(archive):
        known = ", ".join((*STYLES, *_own(archive)))
        raise BadInput(expected=f"one of the styles {known}", found=name)
    return style_of(_text(archive, name), f"{name}.toml")


def text_of_style(archive: Archive, name: str) -> str:
    """The text of a style, to begin one's own with; `NotFound` where there is none of that name."""
    if name in STYLES:
        return style_text(name)
    if name not in _own(archive):
        raise NotFound("style", name)
    return _text(archive, name)


def _text(archive: Archive, name: str) -> str:
    return (archive.folder / FOLDER / f"{name}.toml").read_text(encoding="utf-8")


def keep_style(archive: Archive, name: str, text: str) -> StyleView:
    """Keep a style of one's own under a name; `BadInput` says what is wrong with either, and where."""
    if not _NAME.fullmatch(name):
        raise BadInput(
            expected="a name of small letters, digits and hyphens, such as our-journal", found=name
        )
    if name in STYLES:
        raise BadInput(f"The style {name} comes with the program and stays as it is; take another name.")
    style = style_of(text, f"{name}.toml")
    (archive.folder / FOLDER).mkdir(exist_ok=True)
    write_whole(archive.folder / FOLDER / f"{name}.toml", text.encode("utf-8"))
    return StyleView(name, style.title, own=True)


def drop_style(archive: Archive, name: str) -> None:
    """Drop a style of one's own; `NotFound` where the archive has none of that name."""
    if name not in _own(archive):
        raise NotFound("style", name)
    (archive.folder / FOLDER / f"{name}.toml").unlink()


def kept_comparisons(archive: Archive) -> Mapping[str, tuple[Comparison, ...]]:
    """The comparisons that are kept, by component."""
    return {i: tuple(map(parse_comparison, lines)) for i, lines in _lines(archive).items()}


def comparisons(archive: Archive, component: str) -> list[ComparisonView]:
    """The comparisons that are kept for a component, each held against its figures."""
    ruled = archive.ruled()
    component_id = component_id_of(ruled.evidence, component)
    lines = _lines(archive).get(component_id, ())
    if not lines:
        return []
    matter = Matter(current(archive), ruled)
    reckoner = Reckoner(matter, matter.component(component_id), Notes(matter.citations), {})
    return [_held(reckoner, line) for line in lines]


def keep_comparisons(archive: Archive, component: str, lines: Sequence[str]) -> list[ComparisonView]:
    """Keep these comparisons for a component, in this order, instead of those it had.

    `BadInput` says which line is none, what was expected, and nothing is kept then.
    """
    component_id = component_id_of(archive.ruled().evidence, component)
    if len(lines) > MOST:
        raise BadInput(expected=f"{MOST} comparisons at most", found=str(len(lines)))
    known = {source.source_id for source in archive.evidence().sources}
    for line in lines:
        source = parse_comparison(line).source_id
        if source and source not in known:
            raise BadInput(f"Expected a source of this archive after @, found ‘{source}’ in ‘{line}’.")
    kept = {**_lines(archive), component_id: list(lines)}
    text = json.dumps({i: said for i, said in sorted(kept.items()) if said}, ensure_ascii=False, indent=1)
    write_whole(archive.folder / COMPARISONS, f"{text}\n".encode())
    return comparisons(archive, component_id)


def _lines(archive: Archive) -> dict[str, list[str]]:
    """What the file of comparisons has; `BadInput` where it has something else."""
    file = archive.folder / COMPARISONS
    if not file.exists():
        return {}
    try:
        body = json.loads(file.read_text(encoding="utf-8"))
        return {str(i): [str(line) for line in lines] for i, lines in body.items()}
    except (ValueError, TypeError, AttributeError) as error:
        raise BadInput(f"{COMPARISONS}: expected lists of comparisons by component; {error}.") from error


def _held(reckoner: Reckoner, line: str) -> ComparisonView:
    paragraph = reckoner.compared(parse_comparison(line))
    said, *rest = (part for part in paragraph.inlines if isinstance(part, Run))
    told = "".join(part.text for part in rest).strip()
    return ComparisonView(line, said.text, said.degree != "contradicted", told)
