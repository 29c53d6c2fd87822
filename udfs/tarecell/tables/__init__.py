"""Reference data: CSV files, each row with its source and how certain it is, and the one way to read them."""

from tarecell.tables.names import Names, fold, shortened, squeeze
from tarecell.tables.reader import CERTAINTY, rows, tables

__all__ = ["CERTAINTY", "Names", "fold", "rows", "shortened", "squeeze", "tables"]
