"""A supplier's price list as rows of cells: a CSV of any usual make, or a workbook."""

import csv
import io
import itertools
import warnings
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pandas

from tarecell.errors import SPREADSHEET_KINDS
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.strict import as_usual

MOST_BYTES = 64 << 20
MOST_ROWS, MOST_COLUMNS = 100_000, 256
SEPARATORS = {";": "semicolons", ",": "commas", "\t": "tabs", "|": "bars"}
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


@dataclass(frozen=True)
class Sheet:
    """The cells of a list, row by row, None where blank; `made` tells how they were read."""

    name: str
    rows: list[list[Any]]
    made: str


def read_sheets(path: str | Path) -> list[Sheet]:
    """The sheets of a workbook, or the one list of a CSV. WorkbookProblem where it is neither."""
    path = Path(path)
    data = _bytes(path)
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return _workbook(path)
    return [_csv(path, data)]


def _bytes(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise WorkbookProblem(f"{path.name} is a folder, not a price list")
        if not path.exists():
            raise WorkbookProblem(f"{path.name} was not found in {path.absolute().parent}")
        if not path.is_file():
            raise WorkbookProblem(f"{path.name} is not an ordinary file")
        if path.stat().st_size > MOST_BYTES:
            raise WorkbookProblem(f"{path.name} is larger than {MOST_BYTES >> 20} MB: too large for a price list")
        data = path.read_bytes()
    except OSError as error:
        raise WorkbookProblem(f"{path.name} cannot be read: {error.strerror or error}") from None
    if not data.strip(b"\x00 \r\n\t"):
        raise WorkbookProblem(f"{path.name} is empty")
    return data


def _workbook(path: Path) -> list[Sheet]:
    package = Package.open(path)
    visible = [sheet.name for sheet in package.sheets if sheet.kind == "worksheet" and not sheet.hidden]
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of things that are not read here
            book = openpyxl.load_workbook(io.BytesIO(as_usual(package)), read_only=True, data_only=True)
            return [_sheet(name, book[name]) for name in visible if name in book.sheetnames]
    except Exception as error:  # the reader's own refusals have no common class
        raise WorkbookProblem(f"{path.name} cannot be read as a workbook: {error or type(error).__name__}") from None


def _sheet(name: str, sheet: Any) -> Sheet:
    """A sheet's cells. One cell in the far corner does not make it seventeen thousand million."""
    rows = list(
        itertools.islice(sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS, values_only=True), MOST_ROWS + 1)
    )
    while rows and not any(cell is not None for cell in rows[-1]):
        rows.pop()
    cut = len(rows) > MOST_ROWS
    width = max((c for row in rows[:MOST_ROWS] for c, cell in enumerate(row, 1) if cell is not None), default=0)
    cells = [[_plain(cell) for cell in row[:width]] for row in rows[:MOST_ROWS]]
    return Sheet(name, cells, f"sheet “{name}”" + (f", its first {MOST_ROWS} rows" if cut else ""))


def _plain(cell: Any) -> Any:
    """A cell's value; None for a blank, an error, and text of spaces only. 3.0 becomes 3."""
    if isinstance(cell, str):
        return None if not cell.strip() or cell in SPREADSHEET_KINDS else cell
    if isinstance(cell, float) and cell.is_integer():
        return int(cell)
    return cell


def _cells(frame: pandas.DataFrame) -> list[list[Any]]:
    """Rows of plain Python values; blanks and text of spaces become None."""
    rows = frame.astype(object).where(frame.notna(), None).values.tolist()
    return [[None if isinstance(cell, str) and not cell.strip() else cell for cell in row] for row in rows]


# -- CSV -----------------------------------------------------------------------------------------------------------


def _csv(path: Path, data: bytes) -> Sheet:
    text, encoding = _text(path, data)
    first, _, rest = text.partition("\n")
    if first.strip().lower().startswith("sep=") and len(first.strip()) == 5:
        separator, text = first.strip()[4], rest
    else:
        separator = _separator(text)
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=separator))
        cells = _cells(_frame(text, separator, max(map(len, rows), default=1) or 1))
    except pandas.errors.ParserError:  # a stray quotation mark: its cell is taken as it stands
        cells = [[cell if cell.strip() else None for cell in row] for row in rows]
    except (csv.Error, ValueError) as error:
        raise WorkbookProblem(f"{path.name} cannot be read as a table: {error}") from None
    by = SEPARATORS.get(separator, f"“{separator}”")
    return Sheet("", cells, f"text ({encoding}), cells separated by {by}")


def _frame(text: str, separator: str, width: int) -> pandas.DataFrame:
    """All cells as text, so that no article number loses its zeros and no price is guessed at."""
    return pandas.read_csv(
        io.StringIO(text),
        sep=separator,
        header=None,
        names=range(width),
        index_col=False,
        dtype=str,
        keep_default_na=False,
        skip_blank_lines=False,
        engine="python",
    )


def _text(path: Path, data: bytes) -> tuple[str, str]:
    """The text of a CSV. Without a byte order mark it is UTF-8 where that fits, else the Western encoding of old."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            try:
                return data.decode(encoding), encoding.removesuffix("-sig")
            except UnicodeDecodeError:
                raise WorkbookProblem(f"{path.name} is damaged: it is not the {encoding} that it says") from None
    if b"\x00" in data[:4096]:
        raise WorkbookProblem(f"{path.name} is neither a workbook nor a text")
    for encoding in ("utf-8", "cp1252", "latin-1"):
        try:
            return data.decode(encoding), encoding
        except UnicodeDecodeError:
            continue
    raise WorkbookProblem(f"{path.name} is no text")  # latin-1 takes every byte, so this is never reached


def _separator(text: str) -> str:
    """The separator that gives the most rows of one and the same width."""
    lines = "\n".join(text.splitlines()[:200])

    def order(separator: str) -> tuple[float, int]:
        widths = Counter(len(row) for row in csv.reader(io.StringIO(lines), delimiter=separator) if any(row))
        wide = {width: count for width, count in widths.items() if width > 1}
        if not wide:
            return 0.0, 0
        width, count = max(wide.items(), key=lambda item: (item[1], item[0]))
        return count / sum(widths.values()), width

    try:
        return max(SEPARATORS, key=order)
    except csv.Error:
        return ","
