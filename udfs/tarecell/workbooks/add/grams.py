"""The amounts of a recipe in one unit: the recipe's own column where that will do, else a column of grams beside it."""

from tarecell.calculations import units
from tarecell.workbooks.add.sketch import GRAMS, Column
from tarecell.workbooks.add.subject import Subject
from tarecell.workbooks.find.table import NO_UNIT, ONE_UNIT, PERCENT, WITH_UNIT_COLUMN, WRITTEN
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.references import letters

KEY = "grams"


def amounts(subject: Subject, weights: bool) -> tuple[str, Column | None]:
    """The key of the column to calculate with, and the column to add for it, if any.

    weights: real grams are needed; otherwise any one unit will do, as proportions stay what they are.
    """
    helper = _formula(subject, weights)
    if helper is None and subject.left_out:
        helper = "{amount}"
    if helper is None:
        return "amount", None
    # LEN(…)=0, not …="": in an .xlsx, Calc says FALSE to the latter for a blank that an array formula filled in.
    heading = "grams" if weights or subject.kind in (WITH_UNIT_COLUMN, WRITTEN) else "counted"
    if subject.kind == ONE_UNIT and (weights or subject.unit == "g" or subject.densities):
        heading = "grams"
    return KEY, Column(KEY, heading, GRAMS, each='IF(LEN({amount})=0,"",' + helper + ")")


def _formula(subject: Subject, weights: bool) -> str | None:
    """What turns a row's amount into grams; None where the amounts can be used as they are."""
    density = ",{density}" if subject.densities else ""
    if subject.kind == WITH_UNIT_COLUMN:
        return 'TC_CONVERT({amount},{unit},"g"' + density + ")"
    if subject.kind == WRITTEN:
        written = 'TC_AMOUNT({amount},"g"' + density + ")"
        if subject.unit is None:
            return written
        number = "TC_CONVERT({amount}," + f'"{subject.unit}","g"' + density + ")"
        return f"IF(ISNUMBER({{amount}}),{number},{written})"
    if subject.kind == PERCENT:
        if weights:
            raise WorkbookProblem(
                "the recipe states percentages only: add a scaled column first (scale), then name it with --amounts"
            )
        return None
    if subject.kind == NO_UNIT or subject.unit is None:
        if weights:
            raise WorkbookProblem(
                f"the sheet does not say the unit of column {letters(subject.amounts)}: say it, such as --unit g"
            )
        return None
    return _from_one_unit(subject, weights, density)


def _from_one_unit(subject: Subject, weights: bool, density: str) -> str | None:
    dimension = units.unit(subject.unit).dimension
    if dimension == "mass":
        return "TC_CONVERT({amount}," + f'"{subject.unit}"' + ',"g")' if weights and subject.unit != "g" else None
    if dimension == "volume" and subject.densities:
        return "TC_CONVERT({amount}," + f'"{subject.unit}"' + ',"g"' + density + ")"
    if dimension == "volume":
        raise WorkbookProblem(
            f"the amounts are volumes ({subject.unit}): name a column with g per mL, --densities F5:F14, so that they "
            "can be weighed"
        )
    raise WorkbookProblem(f"the amounts are counted in {subject.unit}, not weighed: no weight can be made of them")
