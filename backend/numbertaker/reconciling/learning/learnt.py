"""How often the papers of an archive are wrong, and how its engines ran: one value, stored, and an input.

It is made by an explicit step and by nothing else, so that an edit never changes it: with the same learnt
value, the same evidence gives the same history. `SHIPPED` is what is taken before anything was learnt; every
share that is learnt is drawn towards it by the cases that `WEIGHT` counts for it, so that a small archive
moves little (the posterior mean under a conjugate prior: A. Gelman and others, "Bayesian Data Analysis",
chapter 2).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from math import log, log2
from typing import Any, Final, Literal, TypeAlias

from numbertaker.evidence.errors import BadInput

FORMAT: Final = "numbertaker-learnt/1"
Says: TypeAlias = Literal["date", "figure", "reference"]
Json: TypeAlias = dict[str, Any]
EVERY: Final = ""
"""The class, or kind of source, that stands for all that have no entry of their own."""


@dataclass(frozen=True, slots=True)
class Share:
    """How often something is so, 0 to 1, and how many cases of this archive that rests on."""

    share: float
    cases: float = 0.0

    def after(self, hits: float, cases: float, weight: float) -> Share:
        """This share, taken for so many cases, with the hits among further cases counted in."""
        return Share((self.share * weight + hits) / (weight + cases), cases)


@dataclass(frozen=True, slots=True)
class Ran:
    """Miles a day of a class: the natural log of the median, and the standard deviation of single fitments
    about it.
    """

    log_rate: float
    spread: float
    cases: float = 0.0


@dataclass(frozen=True, slots=True)
class Apart:
    """The quartiles of the days between one fitment and the next, ten at least."""

    low: float
    high: float
    cases: float = 0.0

    @property
    def longest(self) -> float:
        """The longest time that is usual, in days.

        Times out of an engine are skewed, so the fence is set on their logarithm: the upper quartile and 1.5
        times the distance between the quartiles (J. Tukey, "Exploratory Data Analysis", 1977, inner fence).
        """
        return self.high * float((self.high / self.low) ** 1.5)


@dataclass(frozen=True, slots=True)
class InWorks(Apart):
    """The same of the days for which an engine stands without a component, and between which days nine of
    ten such times lie.
    """

    least: float = 10.0
    most: float = 100.0


def _r(number: float) -> float:
    return round(float(number), 6)


def _shares(**shares: float) -> Mapping[str, Share]:
    return {name.replace("__", "/").replace("_", "-"): Share(share) for name, share in shares.items()}


@dataclass(frozen=True, slots=True)
class Learnt:
    """Everything that is pooled over an archive.

    `lines` and `fitments` say from how much: lines in all, and fitments of which two independent cards tell.
    Shares go by name: `slips` and `copying` by what is said (`date`, `figure`, `reference`) and, after a
    stroke, the kind of source; `misread` is what a cell is wrong oftener, for each part of sureness that its
    reading lacks; `date_shapes` and `figure_shapes` how the wrong ones are wrong; `confusions` which digit
    is taken for which, of all such (`71`: a 7 read as a 1); `lost` how often a card that survives for the
    time leaves out a fitment (`line`), and a subject has no card at all (`card`), by side; `vague` how many
    dates give only the month, or only the year or less.
    """

    lines: int = 0
    fitments: int = 0
    slips: Mapping[str, Share] = field(
        default_factory=lambda: _shares(
            date=0.02,
            figure=0.015,
            reference=0.012,
            date__published=0.04,
            figure__published=0.035,
            date__recollection=0.09,
            figure__recollection=0.09,
            date__letter=0.045,
            figure__letter=0.045,
            date__photograph=0.03,
        )
    )
    copying: Mapping[str, Share] = field(
        default_factory=lambda: _shares(date=0.03, figure=0.03, reference=0.02, read=0.5, read_date=0.5)
    )
    misread: Mapping[str, Share] = field(default_factory=lambda: _shares(date=0.2, figure=0.3, reference=0.3))
    date_shapes: Mapping[str, Share] = field(
        default_factory=lambda: _shares(day=0.15, month=0.35, year=0.4, other=0.1)
    )
    figure_shapes: Mapping[str, Share] = field(
        default_factory=lambda: _shares(digit=0.7, swapped=0.2, length=0.04, other=0.06)
    )
    confusions: Mapping[str, Share] = field(default_factory=lambda: dict(_CONFUSED))
    lost: Mapping[str, Share] = field(
        default_factory=lambda: _shares(
            line__component=0.06, line__engine=0.06, card__component=0.03, card__engine=0.03
        )
    )
    vague: Mapping[str, Share] = field(default_factory=lambda: _shares(month=0.25, year=0.05))
    rates: Mapping[str, Ran] = field(default_factory=lambda: {EVERY: Ran(_r(log(95.0)), 0.4)})
    apart: Apart = Apart(20.0, 31.05)
    in_works: InWorks = InWorks(28.0, 50.0)
    silent: Share = Share(0.01)
    away: Apart = Apart(200.0, 1000.0)

    def slip(self, says: Says, kind: str) -> float:
        """How often a statement of a kind of source is wrong, but for its reading."""
        return _found(self.slips, says, kind).share

    def copied(self, says: Says, kind: str) -> float:
        """How often a copy has something else than its original."""
        return _found(self.copying, says, kind).share

    @property
    def read_after(self) -> float:
        """Which part of the wrong figures of a paper was misread, and so is not in copies of it."""
        return self._read("read")

    @property
    def dates_read_after(self) -> float:
        """The same of wrong dates."""
        return self._read("read-date")

    @property
    def rightly_read(self) -> float:
        """What it is worth that a copy has the date of its original, in log2: it is not misread, and by so
        much less likely wrong.
        """
        return -log2(1 - min(_MISREAD_AT_MOST, self.dates_read_after))

    def _read(self, name: str) -> float:
        read = self.copying.get(name)
        return read.share if read is not None else 0.5

    def misreading(self, says: Says, sureness: float | None) -> float:
        """How much oftener a cell is wrong that was read so surely; 0 for what a person typed."""
        return 0.0 if sureness is None else min(0.45, self.misread[says].share * (1 - sureness))

    @property
    def rate_spread(self) -> float:
        """The spread within a class, over all classes by their cases."""
        classes = [ran for name, ran in self.rates.items() if name != EVERY] or [self.rates[EVERY]]
        cases = sum(ran.cases for ran in classes)
        return sum(ran.spread * ran.cases for ran in classes) / cases if cases else classes[0].spread

    def ran(self, class_: str) -> Ran:
        """How far a class runs; what all run where nothing is known of it."""
        return self.rates.get(class_) or self.rates[EVERY]

    def usual_longest(self, gap_days: int) -> tuple[float, bool]:
        """For how long a component may be away before that is unusual, and whether that is time in works; so
        many days more than in works are a gap, unless components here are away longer without a word.
        """
        if not self.away.cases or self.silent.share <= _HARDLY_SILENT:
            return self.in_works.longest + gap_days, True
        return self.away.longest + gap_days, False

    def taken(self, true: str, written: str) -> float:
        """The share of this digit taken for that one among all digits that are taken for others."""
        pair = self.confusions.get(true + written)
        return pair.share if pair is not None else 0.0

    def to_json(self) -> Json:
        """The stored form: names in order, six decimals, so that the same value gives the same bytes."""
        tables = {name: _plain(getattr(self, name)) for name in _TABLES}
        rates = {
            name: {"log_rate": _r(ran.log_rate), "spread": _r(ran.spread), "cases": _r(ran.cases)}
            for name, ran in sorted(self.rates.items())
        }
        times = {name: _times(getattr(self, name)) for name in ("apart", "in_works", "away")}
        silent = [_r(self.silent.share), _r(self.silent.cases)]
        counts = {"lines": self.lines, "fitments": self.fitments}
        return {"format": FORMAT, **counts, **tables, "rates": rates, **times, "silent": silent}


def _times(apart: Apart) -> Json:
    return {field.name: _r(getattr(apart, field.name)) for field in fields(apart)}


_MISREAD_AT_MOST: Final = 0.95
_HARDLY_SILENT: Final = 0.003
"""Where more of all times between fitments than this are long and silent, silence is no sign of a gap."""


_TABLES: Final = (
    "slips", "copying", "misread", "date_shapes", "figure_shapes", "confusions", "lost", "vague"
)  # fmt: skip
_ALIKE: Final = ("38", "56", "17", "06", "08", "49", "47", "79", "12", "35", "69", "36", "39", "18", "59")


def _confused() -> dict[str, Share]:
    """Look-alike pairs take most of the whole, evenly and either way; the other pairs share the rest.

    The pairs are those of `numbertaker.linking.similarity`; the shares are a weak prior of our own.
    """
    pairs = [f"{a}{b}" for a in range(10) for b in range(a + 1, 10)]
    alike, rest = 0.8 / len(_ALIKE), 0.2 / (len(pairs) - len(_ALIKE))
    return _either_way({pair: Share(alike if pair in _ALIKE else rest) for pair in pairs})


def _either_way(pairs: Mapping[str, Share]) -> dict[str, Share]:
    """Pairs of digits as each taken for the other, half and half."""
    halves = {pair: Share(_r(share.share / 2), share.cases / 2) for pair, share in pairs.items()}
    return dict(sorted((halves | {pair[::-1]: half for pair, half in halves.items()}).items()))


_CONFUSED: Final[Mapping[str, Share]] = _confused()


def _found(table: Mapping[str, Share], says: str, kind: str) -> Share:
    return table.get(f"{says}/{kind}") or table[says]


def _plain(table: Mapping[str, Share]) -> Json:
    return {name: [_r(share.share), _r(share.cases)] for name, share in sorted(table.items())}


def of_json(plain: Json) -> Learnt:
    """The value that `to_json` gave; `BadInput` where the format is another one."""
    if plain.get("format") != FORMAT:
        raise BadInput(expected=f"a learnt value of the format {FORMAT}", found=str(plain.get("format")))
    tables: dict[str, Any] = {
        name: {key: Share(*pair) for key, pair in plain[name].items()} for name in _TABLES
    }
    if "10" not in tables["confusions"]:
        # What was stored before each way was learnt by itself has pairs.
        tables["confusions"] = _either_way(tables["confusions"])
    rates = {name: Ran(**ran) for name, ran in plain["rates"].items()}
    # What was stored before times in works were learnt has nothing of them.
    times: dict[str, Any] = {
        name: kind(**plain[name])
        for name, kind in (("apart", Apart), ("in_works", InWorks), ("away", Apart))
        if name in plain
    }
    if "silent" in plain:
        times["silent"] = Share(*plain["silent"])
    return Learnt(plain["lines"], plain["fitments"], **tables, rates=rates, **times)


SHIPPED: Final = Learnt()
"""What is taken of an archive before anything was learnt of it; starting values from the habits of clerks."""
