"""The three kinds of error that a cell can show, each with a reason in plain words.

A calculation raises one of the three classes below; every host turns `.kind` into a real error cell and
`TC_EXPLAIN` shows `.reason`.
"""

KINDS = ("#N/A", "#NUM!", "#VALUE!")
# Errors that a spreadsheet makes by itself; they pass through a function unchanged.
SPREADSHEET_KINDS = KINDS + ("#DIV/0!", "#NAME?", "#NULL!", "#REF!", "#SPILL!", "#CALC!")


class CellError(Exception):
    """A value that cannot be given: `.kind` is what the cell shows, `.reason` says what to do about it."""

    kind = "#VALUE!"

    def __init__(self, reason: str, kind: str | None = None):
        super().__init__(reason)
        self.reason = reason
        if kind is not None:
            self.kind = kind

    def __str__(self) -> str:
        return f"{self.kind} {self.reason}"

    def __reduce__(self):
        return type(self), (self.reason, self.kind)


class NotFound(CellError):
    """Not in the table, or not stated there."""

    kind = "#N/A"


class OutOfRange(CellError):
    """Outside what is possible or allowed."""

    kind = "#NUM!"


class WrongValue(CellError):
    """The wrong kind of value, or none."""

    kind = "#VALUE!"


class Fault(CellError):
    """A mistake in Tarecell itself: never expected, and no test accepts it."""


class Problem(Exception):
    """Something that was asked for, other than a cell's value, cannot be done: why, in one line of plain words."""
