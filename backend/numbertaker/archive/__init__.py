"""What is kept: the rows of the evidence as they came, scans by digest, readings, jobs, the log of decisions.

archive = open_archive("archive")
evidence = archive.evidence()
with archive.writing() as writer:
    writer.add("lines", new_lines)
"""

from __future__ import annotations

from numbertaker.archive.archive import Archive
from numbertaker.archive.opening import open_archive
from numbertaker.archive.scans import ScanStore
from numbertaker.archive.values import CardScan, ImportNote, Job, JobItem, KeptReading, Lesson, Scan
from numbertaker.archive.writer import Writer

__all__ = [
    "Archive",
    "CardScan",
    "ImportNote",
    "Job",
    "JobItem",
    "KeptReading",
    "Lesson",
    "Scan",
    "ScanStore",
    "Writer",
    "open_archive",
]
