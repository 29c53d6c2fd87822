"""Values in and out of the engine, as cells have them elsewhere: number, text, TRUE or FALSE, None, CellError."""

from typing import Any

from tarecell.errors import CellError
from tarecell.functions.records import COLUMN

# The engine's own names of the errors that a cell can show.
KINDS = {
    "Na": "#N/A",
    "Num": "#NUM!",
    "Value": "#VALUE!",
    "Div": "#DIV/0!",
    "Name": "#NAME?",
    "Ref": "#REF!",
    "Null": "#NULL!",
    "Spill": "#SPILL!",
    "Calc": "#CALC!",
}
_ENGINE_KINDS = {kind: name for name, kind in KINDS.items()}
# What the engine says when it cannot tell the value; no cell may show these.
LIMITS = {
    "Circ": "the formula refers to itself in a circle",
    "NImpl": "the formula uses something that the embedded engine does not know",
    "Error": "the embedded engine cannot read the formula",
    "Cancelled": "the calculation was stopped",
    "Spill": "the result does not fit where it stands",
    "Name": "the formula uses a name that the embedded engine does not know",
}


def is_error(value: Any) -> bool:
    return value.__class__ is dict and value.get("type") == "Error"


def kind_of(value: dict) -> str:
    """The kind of the engine's error, in the words of a cell."""
    kind = value.get("kind") or "Value"
    return KINDS.get(kind, kind if kind.startswith("#") else "#VALUE!")


def engine_error(kind: str) -> dict:
    """An error to hand to the engine."""
    return {"type": "Error", "kind": kind}


def failed(kind: str, room: tuple[int, int]) -> Any:
    """A function's error as the engine takes it, in as many rows and columns as its result would take."""
    wrong = engine_error(kind)
    rows, columns = room
    return wrong if room == (1, 1) else [[wrong] * columns for _ in range(rows)]


def engine_name(kind: str) -> str:
    return _ENGINE_KINDS.get(kind, "Value")


def argument(raw: Any) -> Any:
    """An argument as the functions take it. A single blank cell counts as 0, as it does in Calc, which cannot tell."""
    if raw is None:
        return 0.0
    if raw.__class__ is list:
        for row in raw:
            for i, cell in enumerate(row if row.__class__ is list else ()):
                if cell.__class__ is dict:
                    row[i] = engine_error(kind_of(cell))
        return raw
    if is_error(raw):
        return engine_error(kind_of(raw))
    return raw


def result(value: Any, shape: str) -> Any:
    """A function's value as the engine takes it; blanks are empty text, so that they show nothing and add nothing."""
    if isinstance(value, (list, tuple)):
        if not any(isinstance(row, (list, tuple)) for row in value):
            value = [[cell] for cell in value] if shape == COLUMN else [value]
        return [[_cell(cell) for cell in row] for row in value]
    return _cell(value)


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, CellError):
        return engine_error(value.kind)
    if isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    return value


def fitted(raw: Any, rows: int, columns: int) -> list[list[Any]]:
    """An array formula's result over its cells: one row or column repeats, what is missing is #N/A, the rest is cut."""
    values = [row if isinstance(row, list) else [row] for row in raw] if isinstance(raw, list) else [[raw]]
    values = values or [[engine_error("#CALC!")]]

    def at(r: int, c: int) -> Any:
        row = values[0] if len(values) == 1 else values[r] if r < len(values) else None
        if row is None:
            return engine_error("#N/A")
        cell = row[0] if len(row) == 1 else row[c] if c < len(row) else engine_error("#N/A")
        return 0.0 if cell is None else cell

    return [[at(r, c) for c in range(columns)] for r in range(rows)]
