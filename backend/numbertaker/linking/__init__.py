"""From what is written to who is meant: candidates over designations and the dates they were borne.

>>> from numbertaker.evidence.records import Designation, Engine, Evidence
>>> from numbertaker.evidence.designations import read_number
>>> index = Index(Evidence(engines=(Engine(engine_id="E1"),),
...     designations=(Designation(subject_id="E1", scheme="number", value="208"),)))
>>> best(link_candidates(index, read_number("Engine No. 208")))
'E1'
"""

from __future__ import annotations

from numbertaker.linking.candidates import (
    NOBODY,
    OPEN_BELOW,
    Bearer,
    Candidate,
    Ranked,
    Weight,
    best,
    link_candidates,
    match_weight,
    probability_of,
    weight_of,
)
from numbertaker.linking.index import Borne, Index, Life, Sort

__all__ = [
    "NOBODY",
    "OPEN_BELOW",
    "Bearer",
    "Borne",
    "Candidate",
    "Index",
    "Life",
    "Ranked",
    "Sort",
    "Weight",
    "best",
    "link_candidates",
    "match_weight",
    "probability_of",
    "weight_of",
]
