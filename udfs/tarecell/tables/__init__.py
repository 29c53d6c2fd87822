"""Reference data: CSV files, each row with its source and how certain it is, and the one way to read them."""

from tarecell.tables.names import Names, fold, squeeze
from tarecell.tables.reader import CERTAINTY, rows, tables

__all__ = ["CERTAINTY", "Names", "fold", "rows", "squeeze", "tables"]
