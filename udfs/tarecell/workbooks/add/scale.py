"""`scale` and `shares`: the recipe at another weight, and each ingredient's share."""

from tarecell.workbooks.add.grams import amounts
from tarecell.workbooks.add.request import Request
from tarecell.workbooks.add.sketch import SHARE, Column, Line, Sketch, batch_lines, step_format
from tarecell.workbooks.add.subject import Subject
from tarecell.workbooks.find.grid import Book
from tarecell.workbooks.problems import WorkbookProblem


def scale(subject: Subject, request: Request, book: Book) -> Sketch:
    """A column of grams for so many pieces or for a weight, rounded to the scale's step with the total kept."""
    lines = batch_lines(request)
    if not lines:
        raise WorkbookProblem("scale to what? Give --pieces and --fill, or --target")
    key, helper = amounts(subject, weights=False)
    step = request.number("step")
    call = "TC_SCALE({" + key + "},{batch}" + (",{step})" if step is not None else ")")
    if step is not None:
        lines.append(Line("step", "step (g)", "General", step))
    sketch = Sketch([helper] if helper else [], lines, "scaled to", functions=["TC_BATCH", "TC_SCALE"])
    sketch.columns.append(Column("scaled", "scaled (g)", step_format(step), whole=call))
    return sketch


def shares(subject: Subject, request: Request, book: Book) -> Sketch:
    """A column with each amount's share of the total."""
    key, helper = amounts(subject, weights=False)
    sketch = Sketch([helper] if helper else [], functions=["TC_SHARES"])
    sketch.columns.append(Column("shares", "share", SHARE, whole="TC_SHARES({" + key + "})"))
    return sketch
