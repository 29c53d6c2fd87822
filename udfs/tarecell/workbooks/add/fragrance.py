"""`fragrance`: grams of fragrance for the batch against the cap that the maker's own table states."""

from tarecell.errors import CellError
from tarecell.functions import REGISTRY, run
from tarecell.tables import fold
from tarecell.workbooks.add.grams import amounts
from tarecell.workbooks.add.request import Request
from tarecell.workbooks.add.sketch import GRAMS, TEXT, Line, Sketch, batch_lines, step_format
from tarecell.workbooks.add.subject import Subject, absolute, outside
from tarecell.workbooks.find.grid import Book
from tarecell.workbooks.find.table import PERCENT
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.problems import WorkbookProblem

_WORDS = ("fragrance", "parfum", "perfume", "scent", "duft", "profumo")
_FINE = "0.00%"


def fragrance(subject: Subject, request: Request, book: Book) -> Sketch:
    """A block: fragrance, product, share, batch, cap, grams, status."""
    for option in ("caps", "fragrance", "product", "share"):
        if not getattr(request, option):
            raise WorkbookProblem(
                f"--{option} is missing: give --caps Caps!A4:G7 --fragrance NAME --product “body lotion” --share 1.5%"
            )
    product = str(request.product).strip()
    try:
        run("TC_CATEGORY", [product])
    except CellError as error:
        raise WorkbookProblem(f"--product: {error.reason}") from None
    basis = _basis(request)
    share, step = request.fraction("share"), request.number("step")
    sketch = Sketch(heading="fragrance", functions=["TC_FRAGRANCE"])
    sketch.lines = [
        Line("fragrance", "fragrance", TEXT, str(request.fragrance).strip()),
        Line("product", "product", TEXT, product),
        Line("share", "share", _FINE, share),
    ]
    area, _ = outside(book, request.caps, subject.sheet, "caps")
    if area.top == area.bottom or area.left == area.right:
        raise WorkbookProblem("--caps: the table begins with its row of categories and its column of fragrances")
    sketch.ranges["caps"] = absolute(area)
    _batch(sketch, subject, request, basis)
    options = ',"finished"' if basis == "finished" and step is not None else ""
    if basis != "finished":
        options = f',"{basis}"'
    if step is not None:
        sketch.lines.append(Line("step", "step (g)", "General", step))
        options += ",{step}"
    finished = "{share}" if basis == "finished" else "{share}/(1+{share})"
    sketch.lines += [
        Line("cap", "cap", _FINE, formula="TC_CAP({caps},{fragrance},{product})"),
        Line("amount_g", "amount (g)", step_format(step), formula="TC_FRAGRANCE({batch},{share},{cap}" + options + ")"),
        Line("status", "status", TEXT, formula='IF(ISNA({cap}),"not stated",TC_CAP_STATUS(' + finished + ",{cap}))"),
    ]
    sketch.notes.append(REGISTRY["TC_CAP"].cautions)
    return sketch


def _basis(request: Request) -> str:
    basis = (request.basis or "finished").strip().lower()
    if basis not in ("finished", "base", "wax"):
        raise WorkbookProblem(f"--basis {harmless(request.basis, 20)}: choose finished, base or wax")
    return basis


def _batch(sketch: Sketch, subject: Subject, request: Request, basis: str) -> None:
    """The lines that give the weight the share is taken of: as asked for, or the recipe's own total."""
    asked = batch_lines(request, "batch")
    if asked:
        sketch.lines += asked
        return
    if subject.kind == PERCENT:
        raise WorkbookProblem("the recipe states percentages only: give --batch, or --pieces and --fill")
    key, helper = amounts(subject, weights=True)
    if helper:
        sketch.columns.append(helper)
    total = "SUM({" + key + "})"
    inside = _listed(subject, request)
    if basis != "finished":
        if inside:
            raise WorkbookProblem(
                f"the recipe lists {inside} itself, so its total is not the {basis} alone: give --batch"
            )
        sketch.lines.append(Line("batch", f"{basis} (g)", GRAMS, formula=total))
    elif inside:
        sketch.lines.append(Line("batch", "batch (g)", GRAMS, formula=total))
        sketch.notes.append(f"the batch is the recipe's total, in which {inside} is listed already")
    else:
        sketch.lines.append(Line("batch", "batch (g)", GRAMS, formula=total + "/(1-{share})"))
        sketch.notes.append("the batch is the recipe's total and the fragrance, which the recipe does not list")


def _listed(subject: Subject, request: Request) -> str:
    """The row of the recipe that is the fragrance; '' if there is none."""
    wanted = fold(str(request.fragrance))
    for row, name in subject.ingredients:
        plain = fold(name)
        if wanted and wanted in plain or any(word in plain for word in _WORDS):
            return f"“{harmless(name, 40)}” (row {row})"
    return ""
