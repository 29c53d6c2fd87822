"""The workbook that is shared: its cells, its values, and what stays out of the copy."""

from dataclasses import dataclass
from functools import cached_property

from tarecell.hosts.plain import Untranslatable
from tarecell.workbooks import cells
from tarecell.workbooks.evaluate import Evaluation, Place, Trials, Value
from tarecell.workbooks.package import Package
from tarecell.workbooks.references import Position
from tarecell.workbooks.share import formulas
from tarecell.workbooks.share.precedents import Precedents


@dataclass
class Original:
    """The workbook that is shared, its values, and what stays out of the copy."""

    package: Package
    without: list[str]
    modern: bool

    @cached_property
    def trials(self) -> Trials:
        return Trials(self.package)

    @property
    def evaluation(self) -> Evaluation:
        return self.trials.first

    @cached_property
    def precedents(self) -> Precedents:
        return Precedents(self.evaluation)

    @cached_property
    def strings(self) -> list[str]:
        return cells.shared_strings(self.package)

    @cached_property
    def names(self):
        return cells.names(self.package, self.evaluation.sheets)

    @property
    def kept(self) -> list[str]:
        return [name for name in self.evaluation.sheets if name not in self.without]

    def value(self, sheet: str, where: Position) -> Value | None:
        """What a cell shows: computed, or as the file has it where it cannot be."""
        if where in self.evaluation.values[sheet]:
            return self.evaluation.values[sheet][where]
        cell = self.evaluation.sheets[sheet][1].cell(where)
        return cells.stored(cell, self.strings, self.package.date1904) if cell else None

    @cached_property
    def texts(self) -> dict[Place, str]:
        """Every formula of the sheets that stay, as its own cell has it; "" for one that cannot be read."""
        found = {}
        for (sheet, where), cell in self.evaluation.formulas.items():
            if sheet not in self.without:
                try:
                    found[sheet, where] = formulas.text_at(cell)
                except Untranslatable:
                    found[sheet, where] = ""
        return found
