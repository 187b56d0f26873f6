"""The evidence package: tables as files, read into rows and written out of them. Values in, values out.

Reading goes through `read_files` (a folder or an opened zip) or `read_workbook` (.xlsx), then `check`, then
`merge` with what is known already; writing through `write_files`. Nothing here touches a disk.
"""

from __future__ import annotations

from numbertaker.evidence.package.checking import check
from numbertaker.evidence.package.delimited import read_files
from numbertaker.evidence.package.merging import Merge, merge
from numbertaker.evidence.package.prefixing import prefixed
from numbertaker.evidence.package.values import Package, Row, TableIn
from numbertaker.evidence.package.workbook import read_workbook, template, write_workbook
from numbertaker.evidence.package.writing import Outgoing, outgoing, write_files
from numbertaker.evidence.package.zipped import unzip, zipped

__all__ = [
    "Merge",
    "Outgoing",
    "Package",
    "Row",
    "TableIn",
    "check",
    "merge",
    "outgoing",
    "prefixed",
    "read_files",
    "read_workbook",
    "template",
    "unzip",
    "write_files",
    "write_workbook",
    "zipped",
]
