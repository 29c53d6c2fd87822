"""What is believed about a recipe table: where its columns and rows are, and why."""

from dataclasses import dataclass, field
from typing import NamedTuple

from tarecell.workbooks.references import letters

# How a table states its amounts.
WITH_UNIT_COLUMN = "number with unit column"
ONE_UNIT = "one unit"
WRITTEN = "text amounts"  # "2 oz", "1 lb 4 oz"
PERCENT = "percent"
NO_UNIT = "no unit stated"
SURE, LIKELY, UNSURE = "sure", "likely", "unsure"


class RecipeRow(NamedTuple):
    """One ingredient. `amount`: a number, or the text as written; None where the cell is blank or an error."""

    row: int
    phase: str | None
    name: str
    amount: float | str | None
    unit: str | None


@dataclass(frozen=True)
class AmountColumn:
    """A column of amounts: its number, how it states them, its unit ("%" for percentages), and its heading."""

    column: int
    kind: str
    unit: str | None = None
    heading: str | None = None
    percent_of: float | None = None  # 1 where 65 % is 0.65, 100 where it is 65


@dataclass
class RecipeTable:
    """A recipe in a sheet. Rows and columns are numbers from 1; `first_row` to `last_row` are ingredient rows, though
    blank rows and phase headings may stand between them. `columns` are None where the table has none."""

    sheet: str
    title: str | None
    header_row: int | None
    first_row: int
    last_row: int
    name_column: int
    amount_column: int
    unit_column: int | None = None
    phase_column: int | None = None
    amount_kind: str = NO_UNIT
    amount_unit: str | None = None  # the unit of the whole amount column, as the units table spells it; "%" for percent
    percent_of: float | None = None  # 1 where 65 % is 0.65, 100 where it is 65; None unless amount_kind is PERCENT
    phase_rows: list[tuple[int, str]] = field(default_factory=list)  # phase headings between the ingredients
    total_row: int | None = None
    subtotal_rows: list[int] = field(default_factory=list)
    other_amounts: list[AmountColumn] = field(default_factory=list)
    last_column: int = 0  # the last column that belongs to the table, remarks included
    first_column: int = 0
    rows: list[RecipeRow] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    hidden: bool = False
    confidence: str = LIKELY

    def reference(self, column: int) -> str:
        """A column's ingredient rows as a reference, with the sheet: 'Bath bombs'!$C$5:$C$16."""
        letter = letters(column)
        return f"{quoted(self.sheet)}!${letter}${self.first_row}:${letter}${self.last_row}"

    @property
    def area(self) -> str:
        """The table as "A4:E14", headings and totals included."""
        top = self.header_row or min([self.first_row, *(row for row, _ in self.phase_rows)])
        bottom = max(self.last_row, self.total_row or 0)
        return f"{letters(self.first_column or self.name_column)}{top}:{letters(self.last_column)}{bottom}"


def quoted(sheet: str) -> str:
    """A sheet's name as formulas write it."""
    # Without quotes only where no program could read the name as something else (a cell, a number, R1C1).
    if sheet.isascii() and sheet.isalpha() and len(sheet) > 3 and sheet.upper() not in ("TRUE", "FALSE"):
        return sheet
    return "'" + sheet.replace("'", "''") + "'"
