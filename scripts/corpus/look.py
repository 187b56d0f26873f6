"""How one sheet looks and how it lay on the scanner: plain choices, no pixels."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random
from typing import Final

from .papers import Paper

TINTS: Final = {
    "buff": (0.93, 0.87, 0.74),
    "cream": (0.95, 0.92, 0.83),
    "green": (0.85, 0.89, 0.79),
    "blue": (0.83, 0.87, 0.89),
    "pink": (0.93, 0.84, 0.80),
    "white": (0.94, 0.93, 0.89),
}
INKS: Final = {"black": (0.11, 0.10, 0.12), "blue-black": (0.10, 0.12, 0.24), "purple": (0.26, 0.13, 0.38)}
STAMP_INKS: Final = {"red": (0.72, 0.22, 0.20), "violet": (0.42, 0.24, 0.58), "blue": (0.22, 0.34, 0.62)}
STAMPS: Final = ("ENTERED", "CHECKED|14 OCT 1961", "COPIED", "C.M.E. OFFICE", "DRAWING OFFICE|COPY", "CLOSED")
FOLDED: Final = (2, 7, 9, 11)  # which of the papers from elsewhere were folded in a pocket
WHITE_BED, GREY_BED, BLACK_BED = 0.95, 0.22, 0.1


@dataclass(frozen=True, slots=True)
class Look:
    """How one sheet looks and how it lay on the scanner. Angles in degrees; `dpi` of the scan."""

    tint: str = "buff"
    ribbon: str = "black"
    fade: float = 1.0  # what is left of the ribbon's ink
    clog: float = 0.0  # how far dirty types fill their own letters, in pixels
    dry: float = 0.05  # how unevenly the platen pressed, so that parts of letters are faint
    grain: float = 0.012
    stains: int = 2
    ring: bool = False
    damp: bool = False  # a tide line along an edge
    foxing: int = 20
    fold: bool = False
    tape: bool = False
    clip: bool = False  # the rust of a paper clip
    ticks: bool = False  # somebody's pencil
    smudge: bool = False
    show_through: float = 0.0  # how much of the back can be seen
    holes: str = ""  # 'left' (two), 'treasury' (one, in a corner) or none
    stamp: str = ""  # the words of a rubber stamp, '|' between lines
    stamp_ink: str = "violet"
    torn: bool = False
    skew: float = 0.0
    perspective: float = 0.0  # how far a corner leans, as a share of the width
    gutter: float = 0.0  # how dark a book is towards its spine
    dpi: int = 250
    blur: float = 0.6
    noise: float = 0.006
    bed: float = GREY_BED  # lightness of what shows round the sheet
    light: float = 0.05  # how far the lamp falls off
    quality: int = 80
    grey: bool = False
    tones: int = 256  # of grey, where a scanner kept few


CLEAN: Final = Look(
    fade=0.97, stains=0, foxing=4, skew=0.25, bed=WHITE_BED, quality=88, light=0.02, noise=0.004
)


def usual_look(paper: Paper, rng: Random) -> Look:
    """The wear of a card of its age, drawn at random: most cards have something, none has everything."""
    tint = _tint(paper)
    if paper.form == "printed-list":
        return _page_of_a_book(rng)
    return Look(
        tint=tint,
        ribbon=rng.choice(("black", "black", "blue-black", "purple")),
        fade=rng.uniform(0.68, 1.0),
        clog=rng.choice((0.0, 0.0, 0.4, 0.8, 1.1)),
        dry=rng.uniform(0.05, 0.28),
        stains=rng.choice((0, 0, 1, 1, 2, 3)),
        ring=rng.random() < 0.12,
        damp=rng.random() < 0.2,
        foxing=rng.choice((0, 6, 15, 30, 55)),
        fold=rng.random() < 0.15,
        tape=rng.random() < 0.1,
        clip=rng.random() < 0.18,
        ticks=rng.random() < 0.25,
        smudge=rng.random() < 0.2,
        show_through=rng.choice((0.0, 0.0, 0.0, 0.05, 0.09)),
        holes=rng.choice(("left", "treasury", "", "")),
        stamp=rng.choice(STAMPS) if rng.random() < 0.36 else "",
        stamp_ink=rng.choice(("red", "violet", "blue")),
        torn=rng.random() < 0.15,
        skew=max(-2.0, min(2.0, rng.gauss(0, 0.9))),
        perspective=0.008 if rng.random() < 0.12 else 0.0,
        dpi=rng.choice((250, 250, 250, 300, 220)),
        blur=rng.uniform(0.6, 1.15),
        noise=rng.uniform(0.006, 0.014),
        quality=rng.choice((68, 76, 82)),
        bed=rng.choice((BLACK_BED, GREY_BED, WHITE_BED)),
    )


def _tint(paper: Paper) -> str:
    early = int(paper.covers[:4]) < 1920
    if paper.source_id == "S3":
        return "pink"
    return {"component-card": ("cream", "buff"), "engine-card": ("blue", "green")}.get(
        paper.form, ("white",) * 2
    )[early]


def _page_of_a_book(rng: Random) -> Look:
    return Look(
        tint="white",
        stains=rng.choice((0, 1, 2)),
        foxing=rng.choice((5, 20, 45)),
        show_through=rng.uniform(0.04, 0.1),
        skew=rng.gauss(0, 0.7),
        gutter=rng.uniform(0.12, 0.3),
        bed=rng.choice((BLACK_BED, WHITE_BED)),
    )


def special_looks(papers: list[Paper], spared: set[str]) -> dict[str, Look]:
    """Cards that get a look of their own: a few clean, a few photographed, two poor, some grey.

    `spared` are the cards that must stay legible, because a planted fault stands on them.
    """
    boilers = [p for p in papers if p.source_id == "S1" and p.card_id not in spared]
    engines = [p for p in papers if p.source_id == "S2" and p.card_id not in spared]
    pages = [p for p in papers if p.source_id == "S4"]
    tenders = [p for p in papers if p.source_id == "S3"]
    looks = {p.card_id: replace(CLEAN, tint=_tint(p)) for p in (*boilers[1:18:8], *engines[2:14:9], pages[0])}
    photo = Look(
        clog=0.5, dry=0.15, skew=1.4, perspective=0.022, light=0.14, blur=0.8, bed=0.33, stains=1, noise=0.009
    )
    for paper in (boilers[6], engines[4], engines[9]):
        looks[paper.card_id] = replace(photo, tint=_tint(paper))
    poor = Look(skew=-1.7, perspective=0.011, fade=0.56, dry=0.25, clog=0.5, damp=True, light=0.1)
    poor = replace(poor, blur=1.25, noise=0.03, quality=40)
    for paper, dpi in ((boilers[12], 150), (engines[7], 165)):
        looks[paper.card_id] = replace(poor, tint=_tint(paper), dpi=dpi)
    grey = Look(grey=True, stains=1, foxing=8, noise=0.014, grain=0.004, tones=40, bed=WHITE_BED, skew=-0.8)
    for paper in (boilers[4], engines[11], pages[1]):
        looks[paper.card_id] = replace(grey, gutter=0.15 if paper in pages else 0.0, tint=_tint(paper))
    for n, paper in enumerate(tenders):
        looks[paper.card_id] = Look(
            tint=_tint(paper),
            grey=True,
            skew=(0.9, -0.5, 1.6, -1.2, 0.2)[n % 5],
            stains=n % 3,
            stamp=STAMPS[n % 6] if n % 2 else "",
            holes="left",
            fade=0.85,
            dpi=200,
            bed=BLACK_BED,
            quality=74,
        )
    return looks


def looks_elsewhere(papers: list[Paper]) -> dict[str, Look]:
    """What survives besides the works' cards: pens that ran thin, a carbon copy, leaves that were handled."""
    pen = Look(tint="green", ribbon="blue-black", fade=0.95, stains=1, foxing=12, dpi=220, quality=74)
    leaf = Look(tint="white", fade=0.9, clog=0.3, stains=1, foxing=10, show_through=0.05, dpi=220, quality=74)
    carbon = Look(tint="white", ribbon="purple", fade=0.72, clog=0.6, foxing=6, dpi=220, quality=70)
    of_form = {"shed-card": pen, "ledger": leaf, "typed-list": carbon}
    looks = {}
    for n, paper in enumerate(p for p in papers if p.form in of_form):
        worn, look = n in FOLDED, of_form[paper.form]
        if paper.form == "shed-card":
            look = replace(
                look, tint=("green", "cream", "buff")[n % 3], ribbon=("blue-black", "black")[n % 2]
            )
        looks[paper.card_id] = replace(
            look,
            skew=(0.6, -0.9, 1.3, -0.4)[n % 4],
            stains=(0, 1, 2)[n % 3],
            ring=n % 5 == 4,
            damp=n % 4 == 3,
            fold=worn,
            dry=0.2 if worn else 0.06,
            holes="left" if paper.form == "ledger" else "",
        )
    return looks
