"""What an archive came to as tables for analysis: CSV and Parquet, with a data dictionary.

`TABLES` says what each column is; `rows` makes the rows; `writing` the files. The dictionary is a Data
Package (Frictionless standards, version 1), so that programs can check the tables against it.
"""

from __future__ import annotations

from numbertaker.publishing.analysis.columns import TABLES, Column, Table
from numbertaker.publishing.analysis.dictionary import dictionary
from numbertaker.publishing.analysis.rows import rows_of
from numbertaker.publishing.analysis.writing import csv_text, write_parquet

__all__ = ["TABLES", "Column", "Table", "csv_text", "dictionary", "rows_of", "write_parquet"]
