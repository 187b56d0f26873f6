"""What stands in the cells of register cards: invented numbers, figures, dates, names, remarks and headings.

Drawn at random from what clerks may write, far more widely than any one register does. Names and odd words are
put together from syllables, so that no list of words is learnt by heart; nothing real is among them but the
plain words of the trade.
"""

# ruff: noqa: E501, SIM905 (tables of words are read more easily in long lines)
from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from numpy.random import Generator

SIGNS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz .,-/'\"&()[]:;+*?!%=£½¼¾~"
"""What the recogniser can say; '~' stands before a word that is struck out."""
STRUCK: Final = "~"
DITTO: Final = '"'

MONTHS: Final = (
    "January February March April May June July August September October November December".split()
)
WORDS: Final = """new old to from at by with for of and the in on off see card cards back front sheet page line stock spare
store scrapped scrap condemned withdrawn sold broken cut up built rebuilt renewed repaired repair repairs heavy light
general intermediate casual classified half full set tubes tube firebox box copper steel stays crown plate plates flues
superheated superheater saturated dome safety valves pressure tested test hydraulic steam boiler boilers engine engines
tender tenders wheels wheel axle axles tyres tyre cylinders cylinder frames frame patched welded riveted retubed barrel
smokebox chimney backhead mountings fitted removed transferred exchanged returned received sent shops works yard shed
date miles mileage total totals carried forward brought over remarks number class type first second third last since
before after not known uncertain altered corrected entered checked copy book register ledger folio part side left right
hand end ends water leaking worn thin bulged cracked fractured corroded pitted grooved sound fair good bad poor order
examined passed inspector reduced raised lbs lb sq in ft cwt tons ton inch gauge thickness drawing pattern maker order
contract lot batch lent loan collision accident damaged stored awaiting under cover reserved preserved""".split()
REMARKS: Final = (
    "stock", "In stock", "Stock", "Spare", "spare", "scrapped", "Scrapped", "Condemned", "Condemned & cut up", "cut up",
    "Cut up", "c/f", "C/F", "b/f", "B/F", "c/fwd", "b/fwd", "Carried forward", "Brought forward", "see card 2", "See card 2",
    "See back", "see over", "Total", "TOTAL", "Totals", "Withdrawn", "Sold", "New", "new", "Built new", "do.", "Do.", "ditto",
    "Ditto", "nil", "Nil", "None", "--", "-", "?", "n/k", "N.K.", "Heavy repair", "Gen. repair", "New firebox", "Half tubes",
    "Stays renewed", "New tubes", "Retubed", "H.G.", "L.I.", "H.I.", "GEN", "Broken up", "In store", "Works spare", "Lent",
    "illegible", "(sic)", "& tender", "sat.", "s'heated", "1/2 tubes", "½ tubes", "¾ tubes", "¼ plate", "5/8 in. stays",
    "160 lbs.", "175 lb. pressure", "Pressure 180 lbs", "200 lbs/sq.in.",
)  # fmt: skip
HEADINGS: Final = (
    "ENGINE No.", "BOILER No.", "TENDER No.", "FITTED", "REMOVED", "MILES", "TOTAL MILES", "WORKS", "REMARKS", "Engine",
    "Boiler", "Tender", "Name", "Fitted", "Removed", "Miles", "Remarks", "Date Fitted", "Date Removed", "Mileage", "MILEAGE",
    "Total", "Put on", "Taken off", "PUT ON", "TAKEN OFF", "Eng. No.", "Engine Number", "Loco. No.", "No.", "Blr. No.", "DATE",
    "FROM", "TO", "From", "To", "Class", "CLASS", "TYPE", "Shops", "Where fitted", "Works", "Miles run", "MILES RUN", "Wheelset",
    "AXLE No.", "Cylinder", "Total to date", "HISTORY", "REGISTER", "BOILER", "ENGINE", "TENDER", "No. of Engine",
    "On", "Off", "IN", "OUT", "Place", "Depot", "Running No.", "Heading", "Maker", "Built", "Pressure", "Notes", "Sheet",
)  # fmt: skip
ONSETS: Final = "b br bl c ch cl cr d dr f fl fr g gl gr h j k kn l m n p pl pr qu r s sc sh sk sl sp st str sw t th tr v w wh y z".split()
VOWELS: Final = "a e i o u a e o ai ea ee ie oa oo ou ow y".split()
CODAS: Final = ("", "", "", "b", "ck", "d", "ff", "g", "l", "ll", "m", "n", "nd", "ng", "nt", "p", "r", "rd", "rn", "s",
                "ss", "st", "t", "th", "x")  # fmt: skip
TAILS: Final = "ton ham ley wick worth ford bridge field dale moor hill by thorpe stead mouth bury den combe pool well gate".split()


def pick(rng: Generator, choices: Sequence[str]) -> str:
    return choices[int(rng.integers(len(choices)))]


def odd_word(rng: Generator) -> str:
    """A word that nobody knows, of one to three syllables."""
    syllables = int(rng.integers(1, 4))
    return "".join(pick(rng, ONSETS) + pick(rng, VOWELS) + pick(rng, CODAS) for _ in range(syllables))[:12]


def cased(rng: Generator, word: str) -> str:
    p = rng.random()
    return word.upper() if p < 0.2 else word.capitalize() if p < 0.7 else word


def number(rng: Generator) -> str:
    """The number of an engine or component."""
    digits = str(
        int(rng.integers(1, 10 ** int(rng.choice([1, 2, 3, 4, 5], p=[0.06, 0.24, 0.4, 0.25, 0.05]))))
    )
    p = rng.random()
    if p < 0.8:
        return digits
    if p < 0.86:
        return digits + pick(rng, ["A", "B", "C", "D", "a", "b", "X", "S"])
    if p < 0.93:
        return (
            pick(rng, ["B", "T", "E", "No.", "No. ", "L", "R", "W", "M", "Eng. ", "Blr. ", "BOILER No. "])
            + digits
        )
    if p < 0.97:
        return f"{rng.integers(1, 100)}/{rng.integers(1, 1000)}"
    return digits + " " + odd_word(rng).capitalize()


def figure(rng: Generator) -> str:
    """Miles, mostly in thousands with a comma."""
    value = int(rng.integers(0, 10 ** int(rng.choice([3, 4, 5, 6, 7], p=[0.06, 0.12, 0.45, 0.32, 0.05]))))
    grouped = f"{value:,}"
    p = rng.random()
    if p < 0.7:
        return grouped
    if p < 0.9:
        return str(value)
    return grouped.replace(",", pick(rng, [" ", "."])) + ("" if rng.random() < 0.8 else " miles")


def date(rng: Generator) -> str:
    """A date in one of the ways in which clerks wrote them."""
    day, month, year = int(rng.integers(1, 32)), int(rng.integers(1, 13)), int(rng.integers(1850, 1975))
    short, named = f"{year % 100:02d}", MONTHS[month - 1]
    tick = "'" if rng.random() < 0.2 else ""
    mark = pick(rng, [".", ".", "/", "-"])
    d = f"{day:02d}" if rng.random() < 0.25 else str(day)
    m = f"{month:02d}" if rng.random() < 0.2 else str(month)
    y = short if rng.random() < 0.65 else str(year)
    nick = named[:3] + pick(rng, ["", "", ".", "t."] if named == "September" else ["", "", "."])
    ordinal = (
        f"{day}{'st' if day in (1, 21, 31) else 'nd' if day in (2, 22) else 'rd' if day in (3, 23) else 'th'}"
    )
    numeric, partial = f"{d}{mark}{m}{mark}{y}", f"{m}{mark}{y}"
    worded = pick(rng, [f"{nick} {year}", f"{nick} {tick}{short}", f"{named} {year}", f"{d} {nick} {y}", f"{d} {named} {year}",
                        f"{ordinal} {nick} {year}", f"{nick} {ordinal}, {year}", f"{d}-{nick}-{y}", f"{nick}{year}",
                        f"{nick.upper()} {year}", f"{d} {nick.upper()} {y}", f"{nick}/{short}"])  # fmt: skip
    p = rng.random()
    if p < 0.4:
        return numeric
    if p < 0.58:
        return partial
    if p < 0.84:
        return worded
    if p < 0.88:
        return str(year) if rng.random() < 0.7 else f"{year}-{(year + 1) % 100:02d}"
    base = pick(rng, [numeric, partial, worded, str(year)])
    around = ["w/e {}", "w/e. {}", "W/E {}", "w.e. {}", "week ending {}", "c.{}", "c. {}", "circa {}", "abt {}", "about {}",
              "before {}", "after {}", "by {}", "{}?", "New {}", "since {}", "m/e {}", "y/e {}", "early {}", "late {}", "end {}",
              "prob. {}", "q/e {}", "({})", "{} or " + str(year + 1), "bet. {} & " + str(year + 1), "not known", "Spring {}"]  # fmt: skip
    return pick(rng, around).format(base)


def name(rng: Generator) -> str:
    """The name of an engine or of works."""
    stem = odd_word(rng)
    first = (stem[: int(rng.integers(3, 8))] + (pick(rng, TAILS) if rng.random() < 0.5 else "")).capitalize()
    p = rng.random()
    if p < 0.55:
        return first
    if p < 0.75:
        return f"{first} {odd_word(rng).capitalize()}"
    if p < 0.82:
        return f"{first} {pick(rng, ['Hall', 'Castle', 'Grange', 'Manor', 'Keep', 'Chase', 'Park', 'Abbey', 'Court'])}"
    if p < 0.88:
        return f"{pick(rng, ['Sir', 'Lady', 'Lord', 'King', 'Queen', 'Duke of', 'Earl of', 'City of', 'St.'])} {first}"
    if p < 0.94:
        return first.upper()
    return f"{first[0]}. {pick(rng, ['Wks', 'Works', 'Shed', 'Shops', 'Wks.', '& O.', 'Jcn.'])}"


def remark(rng: Generator) -> str:
    """A remark: the trade's usual words, or a few words in any order, with a number or figure among them."""
    if rng.random() < 0.3:
        return pick(rng, REMARKS)
    words = []
    for _ in range(int(rng.integers(1, 5))):
        p = rng.random()
        words.append(
            pick(rng, WORDS)
            if p < 0.62
            else odd_word(rng)
            if p < 0.78
            else number(rng)
            if p < 0.9
            else date(rng)
        )
    p = rng.random()
    text = " ".join(words)
    text = text.upper() if p < 0.1 else text.capitalize() if p < 0.75 else text
    return text + pick(rng, ["", "", "", ".", ",", "?"])


def heading(rng: Generator) -> str:
    """A printed heading of a column or card."""
    p = rng.random()
    if p < 0.55:
        return pick(rng, HEADINGS)
    words = [
        pick(rng, WORDS) if rng.random() < 0.7 else odd_word(rng) for _ in range(int(rng.integers(1, 4)))
    ]
    text = " ".join(words)
    return text.upper() if rng.random() < 0.6 else text.title()


def any_signs(rng: Generator) -> str:
    """Signs in no order at all, so that each is known wherever it stands."""
    signs = SIGNS.replace(" ", "").replace(STRUCK, "")
    text = "".join(pick(rng, signs) for _ in range(int(rng.integers(2, 9))))
    return text if rng.random() < 0.7 else f"{text[: len(text) // 2]} {text[len(text) // 2 :]}"


MAKERS: Final[tuple[tuple[float, str, Callable[[Generator], str]], ...]] = (
    (0.19, "number", number), (0.22, "figure", figure), (0.27, "date", date), (0.1, "name", name), (0.11, "remark", remark),
    (0.07, "heading", heading), (0.04, "signs", any_signs),
)  # fmt: skip


def cell(rng: Generator) -> tuple[str, str]:
    """A cell's kind and text; only the recogniser's own signs are in it."""
    at = rng.random() * sum(share for share, _, _ in MAKERS)
    for share, kind, make in MAKERS:  # noqa: B007
        at -= share
        if at <= 0:
            break
    text = " ".join("".join(sign for sign in make(rng) if sign in SIGNS).split())
    return kind, text[:44].strip() or "1"
