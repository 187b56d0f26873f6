"""Which faults are found, and what is found that is no fault."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

Json = dict[str, Any]
_MOST_LINES = 12
_LEAST = 0.5


def rates(truth: Json, history: Json) -> Json:
    """Shares of faults found, of those that anything contradicts and of all, by kind too; false alarms per
    100 clean lines.

    A fault is found if a finding of a kind that tells of it names a line that it touched, and no more than
    twelve lines; a false alarm names none that any fault touched.
    """
    findings = {f["id"]: f for c in history["components"] for f in c["findings"]}
    findings |= {f["id"]: f for f in history["findings"]}
    sure = [f for f in findings.values() if f["confidence"] >= _LEAST]
    at: dict[str, set[str]] = defaultdict(set)
    for finding in sure:
        for line in finding["lines"] if len(finding["lines"]) <= _MOST_LINES else ():
            at[line].add(finding["kind"])
    seen: Counter[str] = Counter()
    planted: Counter[str] = Counter()
    shown: Counter[tuple[bool, bool]] = Counter()
    for fault in truth["faults"]:
        if fault["lines"]:
            found = any(at[line] & set(fault["accept"]) for line in fault["lines"])
            shown[fault["visible"], found] += 1
            if fault["visible"]:
                planted[fault["kind"]] += 1
                seen[fault["kind"]] += found
    touched = {line for line, row in truth["lines"].items() if row[1]}
    alarms = sum(not touched & set(f["lines"]) for f in sure)
    visible = shown[True, True] + shown[True, False]
    return {
        "visible": shown[True, True] / max(1, visible),
        "all": (shown[True, True] + shown[False, True]) / max(1, sum(shown.values())),
        "alarms": 100 * alarms / max(1, len(truth["lines"]) - len(touched)),
        "kinds": {kind: (seen[kind], count) for kind, count in sorted(planted.items())},
    }
