"""`recalculate`: the embedded engine's values written into a copy of a workbook, and nothing else changed."""

from dataclasses import dataclass, field
from pathlib import Path

from tarecell.errors import CellError
from tarecell.workbooks.cells import FormulaCell
from tarecell.workbooks.collecting import no_collecting
from tarecell.workbooks.evaluate import Evaluation, evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import with_results
from tarecell.workbooks.references import address

_IN_ARRAY = "part of an array formula"


@dataclass(frozen=True)
class Finding:
    """A cell worth telling of: an error and its reason, or a cell that was left alone and why."""

    sheet: str
    cell: str
    formula: str
    reason: str
    kind: str = ""

    @property
    def follows(self) -> bool:
        """Whether the cell is an error only because a cell that it reads is one: nothing to mend here."""
        return self.reason == _IN_ARRAY or self.reason.endswith((" already", "mend that cell first"))

    def __str__(self) -> str:
        return f"{self.sheet}!{self.cell}: " + " ".join(part for part in (self.kind, self.reason) if part)


@dataclass
class Report:
    """What a recalculation did: the file written, the backup if it was in place, cells by kind."""

    file: Path
    out: Path
    backup: Path | None = None
    written: int = 0  # cells whose value was computed, array formulas' cells included
    changed: int = 0  # of these, the ones that showed another value, or none, before
    errors: list[Finding] = field(default_factory=list)
    left_alone: list[Finding] = field(default_factory=list)


def calculated_name(file: Path) -> Path:
    """The name that a recalculated copy gets: recipe.xlsx → recipe.calc.xlsx."""
    return file.with_name(f"{file.stem}.calc{file.suffix}")


@no_collecting()
def recalculate(file: str | Path, out: str | Path | None = None, in_place: bool = False) -> Report:
    """Computes all formulas and writes their values into a new file; formulas stay formulas.

    `out`: the new file, beside the input as NAME.calc.xlsx if left out. `in_place`: over the input, with a backup.
    Raises WorkbookProblem, with nothing written, where the file cannot be read or the new one not be written.
    """
    file = Path(file)
    package = Package.open(file)
    target = file if in_place else Path(out) if out is not None else calculated_name(file)
    evaluation = evaluate(package)
    report = Report(file, target)
    parts = {}
    for name, (sheet, layout) in evaluation.sheets.items():
        values = evaluation.values[name]
        report.written += len(values)
        xml, changed = with_results(layout, values)
        if changed:
            report.changed += changed
            parts[sheet.part] = xml
    report.errors, report.left_alone = _errors(evaluation), _left_alone(evaluation)
    report.backup = package.write(target, parts, in_place=in_place)
    return report


def _errors(evaluation: Evaluation) -> list[Finding]:
    found = []
    for name, values in evaluation.values.items():
        for where, value in values.items():
            if isinstance(value, CellError):
                formula = evaluation.formulas.get((name, where))
                reason = evaluation.reasons.get((name, where), _IN_ARRAY)
                found.append(Finding(name, address(where), _shown(formula), reason, value.kind))
    return found


def _left_alone(evaluation: Evaluation) -> list[Finding]:
    left = evaluation.left
    cells = [place for place in evaluation.formulas if place in left] if left else []  # in the file's order
    return [
        Finding(name, address(where), _shown(evaluation.formulas[name, where]), left[name, where])
        for name, where in cells
    ]


def _shown(formula: FormulaCell | None) -> str:
    """A formula as its cell shows it."""
    if formula is None:
        return ""
    text = "=" + formula.text
    if formula.shift == (0, 0):
        return text
    from openpyxl.formula.translate import Translator, TranslatorError

    row, column = formula.position
    origin = address((row - formula.shift[0], column - formula.shift[1]))
    try:
        return Translator(text, origin).translate_formula(address(formula.position))
    except (TranslatorError, ValueError):
        return text
