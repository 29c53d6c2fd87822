"""`cost`: what a batch and a piece of it cost, from the maker's own price table."""

from tarecell.workbooks.add.grams import amounts
from tarecell.workbooks.add.prices import check_names, prices
from tarecell.workbooks.add.request import Request
from tarecell.workbooks.add.sketch import MONEY, UNIT_MONEY, Column, Line, Sketch
from tarecell.workbooks.add.subject import Subject, outside
from tarecell.workbooks.find.grid import Book
from tarecell.workbooks.problems import WorkbookProblem


def cost(subject: Subject, request: Request, book: Book) -> Sketch:
    """A column with each ingredient's cost per gram, and a block: pieces, cost of the batch, cost per piece."""
    if not request.prices:
        raise WorkbookProblem("--prices is missing: the price table with its row of headings, such as Prices!A3:F33")
    if subject.names is None:
        raise WorkbookProblem("--names is missing: prices are found by the ingredients' names")
    pieces = request.number("pieces")
    area, grid = outside(book, request.prices, subject.sheet, "prices")
    table = prices(grid, area)
    check_names(grid, table, tuple(i for i in subject.ingredients if i[0] not in subject.left_out))
    key, helper = amounts(subject, weights=True)
    sketch = Sketch([helper] if helper else [], heading="cost", functions=["TC_UNIT_COST", "TC_RECIPE_COST"])
    sketch.ranges = table.ranges()
    each = 'IF(LEN({amount})=0,"",' + table.unit_cost("g") + ")"
    sketch.columns.append(Column("unit_cost", "cost per g", UNIT_MONEY, each=each, total=False))
    sketch.lines = [
        Line("batch_cost", "batch cost", MONEY, formula="TC_RECIPE_COST({" + key + "},{unit_cost})"),
    ]
    if pieces is not None:
        sketch.lines += [
            Line("pieces", "pieces", "General", pieces),
            Line("piece_cost", "per piece", MONEY, formula="{batch_cost}/{pieces}"),
        ]
    else:
        sketch.notes.append("no --pieces was given, so the cost is that of the whole batch")
    sketch.notes.append("the cost counts the materials only: no packaging, labour or fees")
    return sketch
