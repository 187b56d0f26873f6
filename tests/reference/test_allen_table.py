"""Allen's composition table.

Sources: J. F. Allen, "Maintaining knowledge about temporal intervals", CACM 26(11), 1983; order and letters
from T. Alspaugh's page. The file holds the table as worked out apart from this program, over integer
intervals with ends 0 to 8; rows are the first relation, columns the second in the order of the rows.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from numbertaker.evidence.allen import ORDER, compose

SHORT = {"full": "pmoFDseSdfOMP", "conc": "oFDseSdfO"}
LINES = (Path(__file__).parent / "allen_table.txt").read_text(encoding="utf-8").splitlines()
TABLE = {
    (row, column): SHORT.get(cell, cell)
    for row, cells in (line.split(":") for line in LINES)
    for column, cell in zip(ORDER, cells.split(), strict=True)
}


@pytest.mark.parametrize("row", ORDER)
def test_a_row_of_the_table(row: str) -> None:
    """Thirteen compositions a row, each as in the table."""
    expected = {column: TABLE[row, column] for column in ORDER}

    assert {column: compose(row, column) for column in ORDER} == expected


def test_the_table_has_the_known_counts() -> None:
    """169 entries with 27 distinct results: 97 of one, 42 of three, 24 of five, 3 of nine, 3 of all."""
    results = [compose(one, two) for one in ORDER for two in ORDER]

    assert len(results) == 169
    assert len(set(results)) == 27
    assert Counter(map(len, results)) == {1: 97, 3: 42, 5: 24, 9: 3, 13: 3}
