"""What is to be added, before it has a place: columns beside the recipe's rows, and a block of labelled cells.

Formulas are templates; `{batch}` stands for the cell or range of that key. Only templates from this package become
formulas; texts from a workbook or from the command line are cell contents and never part of one.
"""

from dataclasses import dataclass, field

from tarecell.workbooks.add.request import Request
from tarecell.workbooks.add.subject import Subject
from tarecell.workbooks.problems import WorkbookProblem

GRAMS, WHOLE, SHARE, TEXT, MONEY, UNIT_MONEY = "#,##0.0", "0", "0.0%", "General", "0.00", "0.00000"


@dataclass(frozen=True)
class Column:
    """A column over the recipe's rows. `each`: the formula of every row; `whole`: one array formula over all rows.

    In `each`, {amount}, {unit}, {density}, {name} and the keys of columns are cells of the row; elsewhere the keys of
    columns are the whole ranges.
    """

    key: str
    heading: str
    format: str
    each: str = ""
    whole: str = ""
    total: bool = True


@dataclass(frozen=True)
class Line:
    """A labelled cell of the block: a typed-in value, or a formula."""

    key: str
    label: str
    format: str
    value: float | str | None = None
    formula: str = ""


@dataclass
class Sketch:
    """Columns from left to right, lines from top to bottom, the block's heading, and what is worth telling."""

    columns: list[Column] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    heading: str = ""
    notes: list[str] = field(default_factory=list)
    ranges: dict[str, str] = field(default_factory=dict)  # references outside the recipe, by key
    functions: list[str] = field(default_factory=list)  # whose cautions are shown


def step_format(step: float | None) -> str:
    """A number format that shows as many decimals as the scale does."""
    if step is None:
        return GRAMS
    decimals = len(f"{step:.10f}".rstrip("0").split(".")[1])
    return "#,##0" + ("." + "0" * decimals if decimals else "")


def batch_lines(request: Request, weight: str = "target") -> list[Line]:
    """The cells that say how much is made: a weight, or pieces and their fill. None of them if nothing is said."""
    by_weight, by_piece = request.grams(weight), request.number("pieces")
    fill = request.grams("fill")
    if by_weight is not None and (by_piece is not None or fill is not None):
        raise WorkbookProblem(f"say either --{weight}, or --pieces and --fill, not both")
    extras = [name for name in ("loss", "spare") if getattr(request, name) is not None]
    if by_weight is not None:
        if extras:
            raise WorkbookProblem(f"--{extras[0]} goes with --pieces and --fill")
        return [Line("batch", "batch (g)", GRAMS, by_weight)]
    if by_piece is None and fill is None:
        if extras:
            raise WorkbookProblem(f"--{extras[0]} goes with --pieces and --fill")
        return []
    if by_piece is None or fill is None:
        raise WorkbookProblem("--pieces and --fill go together: how many, and how much goes into each")
    lines = [Line("pieces", "pieces", "General", by_piece), Line("fill", "fill (g)", GRAMS, fill)]
    loss, spare = request.fraction("loss") or 0.0, request.fraction("spare")
    lines.append(Line("loss", "loss", SHARE, loss))
    if spare is not None:
        lines.append(Line("spare", "spare", SHARE, spare))
    more = ",{spare}" if spare is not None else ""
    return [*lines, Line("batch", "batch (g)", GRAMS, formula="TC_BATCH({pieces},{fill},{loss}" + more + ")")]


def subject_ranges(subject: Subject) -> dict[str, int]:
    """The recipe's own columns, by the keys that templates use."""
    columns = {"amount": subject.amounts, "unit": subject.units, "density": subject.densities, "name": subject.names}
    return {key: column for key, column in columns.items() if column}
