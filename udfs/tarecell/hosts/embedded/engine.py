"""A workbook in the embedded engine: cells in, formulas computed with the functions of this package, values out."""

import functools
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from tarecell.errors import CellError, Problem
from tarecell.functions import REGISTRY, Host, result
from tarecell.functions.cells import EPOCH_1900, EPOCH_1904
from tarecell.functions.records import Record
from tarecell.hosts.embedded import book, values

Position = tuple[int, int]  # row and column, from 1
Box = tuple[int, int, int, int]  # first row, first column, last row, last column
Columns = dict[int, dict[int, Any]]  # a sheet's cells by column and row
_FILL = "TARECELL.FILL"  # internal: makes an array formula fill its cells, no more and no less
_SCRATCH = (1, 16384)  # the far corner of a sheet, where no formula of a maker looks


class EngineMissing(Problem):
    """formualizer is not installed: the reason in one line."""


class Uncomputed(Exception):
    """The engine cannot tell a cell's value: the reason in one line."""


def load_formualizer() -> Any:
    """The engine's module, imported only when it is needed."""
    try:
        import formualizer
    except ImportError:
        raise EngineMissing(
            "the embedded engine is not installed: run “pip install formualizer” "
            "(64-bit Windows, macOS or Linux), or open the workbook in Calc or Excel with the add-in"
        ) from None
    return formualizer


@functools.cache
def _version(module: Any) -> str:
    """The engine's version, from the name of the folder that is installed beside it.

    importlib.metadata would tell it too, and take a twentieth of a second to be loaded, which every command would pay.
    """
    packages = Path(module.__file__).parent.parent
    found = next(packages.glob("formualizer-*.dist-info"), None)
    return found.name.removeprefix("formualizer-").removesuffix(".dist-info") if found else ""


class _Calls:
    """What the engine calls. It does not hold the engine's workbook, which holds it: neither would ever be given up."""

    def __init__(self, host: Host):
        self.host = host
        self.heard: list[tuple[str, str]] = []  # kinds and reasons; an exception would hold all that led to it
        self.arrays: list[tuple[int, int]] = []
        self.shapes: dict[int, tuple[int, int]] = {}

    def callback(self, record: Record):
        host, shape, argument = self.host, record.result, values.argument

        def call(*args):
            try:
                # Most arguments and results are numbers and texts, which are the same on both sides.
                given = [arg if arg.__class__ is float or arg.__class__ is str else argument(arg) for arg in args]
                value = result(record, given, host)
                return value if value.__class__ is float else values.result(value, shape)
            except CellError as error:
                self.heard.append((error.kind, error.reason))
                return values.failed(error.kind, record.room(args))

        return call

    def fill(self, raw: Any, number: float) -> list[list[Any]]:
        number = int(number)
        rows, columns = self.arrays[number]
        if isinstance(raw, list):
            self.shapes[number] = len(raw), max((len(r) if isinstance(r, list) else 1 for r in raw), default=1)
        else:
            self.shapes[number] = 1, 1
        return values.fitted(raw, rows, columns)


class Engine:
    """One workbook. `functions=False` leaves the TC_ functions out, as on a machine without the add-in."""

    def __init__(self, sheets: Sequence[str], date1904: bool = False, functions: bool = True):
        self._module = load_formualizer()
        self._date1904 = date1904
        self._cells: dict[str, Columns] = {sheet: defaultdict(dict) for sheet in sheets}
        self._book: Any = None  # made by `evaluate`
        self.host = Host("embedded engine", _version(self._module), EPOCH_1904 if date1904 else EPOCH_1900)
        self._calls = _Calls(self.host)
        self._known: dict[str, bool] = {}
        self.functions = functions

    def _build(self) -> None:
        """Hands all cells to the engine."""
        settings = self._module.EvaluationConfig()
        settings.date_system = "1904" if self._date1904 else "1900"
        # Our functions are Python, one at a time whatever the number of threads: one thread is twice as fast.
        settings.enable_parallel = False
        config = self._module.WorkbookConfig(eval_config=settings)
        self._book = self._module.Workbook.from_bytes(book.write(self._cells, self._date1904), config=config)
        self._book.set_temporal_egress("serial")
        self._book.register_function(_FILL, self._calls.fill, min_args=2, max_args=2)
        if self.functions:
            for record in REGISTRY.values():
                self._book.register_function(record.name, self._calls.callback(record), min_args=0)
        for sheet, columns in self._cells.items():
            for column, cells in columns.items():
                for row in [row for row, value in cells.items() if value.__class__ is str and not value]:
                    self._book.set_value(sheet, row, column, "")  # a file cannot tell empty text from nothing

    # -- functions -----------------------------------------------------------------------------------------------

    def knows(self, function: str) -> bool:
        """Whether the engine can compute a function of this name (as it stands in the file)."""
        name = function.upper()
        if name.startswith("TC_"):
            return self.functions and name in REGISTRY
        if name not in self._known:
            probe = self._module.Workbook()
            probe.add_sheet("S")
            try:
                probe.set_formula("S", 1, 1, f"={name}()")
                answer = probe.evaluate_cell("S", 1, 1)
                self._known[name] = not (values.is_error(answer) and answer["kind"] in ("Name", "NImpl"))
            except Exception:  # whatever the engine stumbles over, it does not know
                self._known[name] = False
        return self._known[name]

    def tokens(self, formula: str) -> list[Any] | None:
        """The formula's tokens, None if the engine cannot read it."""
        try:
            return list(self._module.tokenize("=" + formula))
        except Exception:
            return None

    # -- cells ---------------------------------------------------------------------------------------------------

    def cells(self) -> dict[str, Columns]:
        """What all cells hold, for `begin_again`."""
        return {sheet: _copied(columns) for sheet, columns in self._cells.items()}

    def begin_again(self, cells: dict[str, Columns]) -> None:
        """Cells as they were at one time; all of them are computed anew at the next `evaluate`."""
        self._book = None
        self._cells = {sheet: _copied(columns) for sheet, columns in cells.items()}
        self._calls.shapes.clear()

    def set_value(self, sheet: str, where: Position, value: Any) -> None:
        """A typed-in value; CellError for an error cell, None for a blank one."""
        row, column = where
        if value is None:
            self._cells[sheet][column].pop(row, None)
        else:
            self._cells[sheet][column][row] = value
        if self._book is None:
            return
        if isinstance(value, CellError):
            value = self._module.LiteralValue.error(values.engine_name(value.kind), None)
        elif isinstance(value, int) and not isinstance(value, bool):
            value = float(value)
        self._book.set_value(sheet, *where, value)

    def load(self, sheet: str, columns: Columns) -> None:
        """Typed-in values of many cells that are still blank, before the first `evaluate`."""
        for column, cells in columns.items():
            self._cells[sheet][column].update(cells)

    def load_formulas(self, sheet: str, column: int, texts: dict[int, str]) -> None:
        """Formulas in cells of one column, by their rows, as `set_formula`."""
        self._cells[sheet][column].update(zip(texts, map(book.Formula, texts.values()), strict=True))

    def set_formula(self, sheet: str, where: Position, text: str, box: Box | None = None) -> int | None:
        """A formula without "=", before the first `evaluate`.

        With `box` an array formula over those cells: the number for `shape` is returned.
        """
        number = None
        if box is not None:
            number = len(self._calls.arrays)
            self._calls.arrays.append((box[2] - box[0] + 1, box[3] - box[1] + 1))
            text = f"{_FILL}({text},{number})"
        self._cells[sheet][where[1]][where[0]] = book.Formula(text)
        return number

    def evaluate(self) -> None:
        """Computes everything. Raises Uncomputed when the engine refuses as a whole."""
        try:
            if self._book is None:
                self._build()
            self._book.evaluate_all()
        except Exception as error:
            raise Uncomputed(f"the embedded engine refused: {error}") from None

    def refused(self) -> Iterator[tuple[str, Position, str]]:
        """The formulas that the engine refuses to compute, one by one, after `evaluate` has failed."""
        for sheet, columns in self._cells.items():
            for column, cells in columns.items():
                for row in [row for row, held in cells.items() if held.__class__ is book.Formula]:
                    try:
                        self._book.evaluate_cell(sheet, row, column)
                    except Exception as error:
                        yield sheet, (row, column), f"the embedded engine refused: {error}"

    def shape(self, number: int) -> tuple[int, int] | None:
        """Rows and columns of an array formula's whole result."""
        return self._calls.shapes.get(number)

    def value(self, sheet: str, where: Position) -> Any:
        """A cell's value; CellError for an error cell. Raises Uncomputed where the engine does not know."""
        value = self._book.get_value(sheet, *where)
        if value.__class__ is not dict or not values.is_error(value):
            if value.__class__ is float and value - value != 0:
                return CellError("the result is too large to be a number", "#NUM!")
            return value
        kind = value.get("kind") or "Value"
        if kind not in values.KINDS or kind == "Spill" or (kind == "Name" and self.functions):
            raise Uncomputed(values.LIMITS.get(kind, values.LIMITS["NImpl"]))
        return CellError("", values.KINDS[kind])

    def reason(self, sheet: str, where: Position, kind: str) -> str:
        """Why a cell with a TC_ function is an error, in the function's own words; '' if none of them said so."""
        text = self._cells[sheet][where[1]].get(where[0])
        if text.__class__ is not book.Formula:
            return ""
        # Computed once more in a cell that nothing refers to: in its own cell all that depends on it would speak too.
        self._calls.heard.clear()
        try:
            self._book.set_formula(sheet, *_SCRATCH, "=" + text)
            self._book.evaluate_cell(sheet, *_SCRATCH)
        except Exception:
            return ""
        finally:
            self._book.set_value(sheet, *_SCRATCH, None)
        return next((reason for heard, reason in self._calls.heard if heard == kind), "")


def _copied(columns: Columns) -> Columns:
    return defaultdict(dict, {column: dict(cells) for column, cells in columns.items()})
