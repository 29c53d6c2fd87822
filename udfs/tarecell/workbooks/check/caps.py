"""Fragrance caps: blank, mistyped, or exceeded in a recipe."""

from tarecell.errors import CellError
from tarecell.functions.cells import is_blank, read_cap
from tarecell.tables import fold
from tarecell.workbooks.check.context import Context
from tarecell.workbooks.check.report import ERROR, WARNING, Finding, finding
from tarecell.workbooks.check.weights import product_in, shares_of
from tarecell.workbooks.find import words
from tarecell.workbooks.find.amounts import PERCENT_TEXT, TEXT_NUMBER, written
from tarecell.workbooks.find.grid import Cell, Grid
from tarecell.workbooks.find.lists import CapsList
from tarecell.workbooks.find.ranges import Range
from tarecell.workbooks.find.table import RecipeRow, RecipeTable
from tarecell.workbooks.references import address

_MANY = 3  # more of the same kind in one table are told together
_HAIR = 1e-9  # arithmetic on a share may miss its cap by a hair without being over it
_LABELS = ("ifra category", "category", "ifra", "product type", "product", "kategorie", "categorie", "categoria")
_USED = ("share", "used", "use", "dose", "in product", "actual", "einsatz", "anteil")
_CAP = ("cap", "limit", "ifra limit", "ifra max", "maximum", "max", "max %", "ifra cap", "grenzwert")


def blank_caps(context: Context) -> list[Finding]:
    """Fragrances without a cap for a category that others have; one finding for each fragrance."""
    found = []
    for caps in context.caps:
        grid = context.grid(caps.sheet)
        unused = [c for c in caps.categories if all(is_blank(grid[r, c].value) for r in caps.rows)]
        if unused:
            codes = ", ".join(caps.categories[c] for c in unused)
            context.notes.append(f"{caps.sheet}: no fragrance has a cap for category {codes}")
        for row in caps.rows:
            blank = [(c, code) for c, code in caps.categories.items() if is_blank(grid[row, c].value)]
            blank = [(c, code) for c, code in blank if c not in unused and not grid[row, c].computed]
            if not blank:
                continue
            codes = ", ".join(code for _, code in blank)
            found.append(
                finding(
                    "cap-blank",
                    WARNING,
                    caps.sheet,
                    ", ".join(address((row, c)) for c, _ in blank[:8]),
                    f"no cap is stated for “{grid.text(row, caps.name)}” in category {codes}",
                    "a blank cap means not stated, never unlimited: nothing of this kind may be made with it yet",
                    "take it from the supplier's certificate; type 0 for not allowed, or the words “no restriction”",
                )
            )
    return found


def odd_caps(context: Context) -> list[Finding]:
    """Caps that are no share from 0 to 1 and none of the words that a cap may be; one finding for many."""
    found = []
    for caps in context.caps:
        grid = context.grid(caps.sheet)
        odd = [(r, c, reason) for r in caps.rows for c in caps.categories if (reason := _odd(grid[r, c]))]
        for row, column, reason in odd[:1] if len(odd) > _MANY else odd:
            others = f", and {len(odd) - 1} more caps of this table likewise" if len(odd) > _MANY else ""
            found.append(
                finding(
                    "cap-value",
                    ERROR,
                    caps.sheet,
                    (row, column),
                    f"the cap of “{grid.text(row, caps.name)}” in category {caps.categories[column]} cannot be right: "
                    f"{reason}{others}",
                    "a cap is compared with shares, so it must be a share of the finished product",
                    "type it as on the certificate, with the percent sign: 2.1%",
                )
            )
    return found


def _odd(cell: Cell) -> str:
    if cell.error or is_blank(cell.value):
        return ""
    amount = written(cell.text) if cell.text else None
    if amount is not None and amount.form in (TEXT_NUMBER, PERCENT_TEXT):
        return ""  # told as a text number
    try:
        read_cap(cell.value, "the cell")
    except CellError as error:
        return error.reason.removeprefix("the cell: ")
    return ""


def shares_over_caps(context: Context) -> list[Finding]:
    """A share that is above the cap beside it, in tables with a column for each."""
    found = []
    for grid in context.book.grids:
        for header in grid.rows:
            heads = {c: fold(cell.text) for c, cell in grid.row(header) if cell.text and not cell.computed}
            used = [c for c, text in heads.items() if _is(text, _USED) or words.role(text) == words.PERCENT]
            caps = [c for c, text in heads.items() if _is(text, _CAP)]
            if len(used) == 1 and len(caps) == 1:
                found += _compared(grid, header, used[0], caps[0])
    return found


def _is(heading: str, wanted: tuple[str, ...]) -> bool:
    return heading.strip(" :%()") in wanted or words.heading(heading) in wanted


def _compared(grid: Grid, header: int, used: int, cap: int) -> list[Finding]:
    found = []
    for row in range(header + 1, grid.last_row + 1):
        share, most = grid[row, used], grid[row, cap]
        if share.value is None and most.value is None:
            break
        if share.number is None or most.number is None or share.percent != most.percent:
            continue
        if share.number > most.number * (1 + _HAIR):
            scale = 100 if share.percent else 1
            found.append(
                finding(
                    "over-cap",
                    ERROR,
                    grid.sheet,
                    (row, used),
                    f"{share.number * scale:.4g}{' %' if share.percent else ''} is over the cap of "
                    f"{most.number * scale:.4g}{' %' if share.percent else ''} in {address((row, cap))}",
                    "above the cap the product is not safe to sell",
                    "lower the share to the cap or below",
                )
            )
    return found


def recipes_over_caps(context: Context) -> list[Finding]:
    """Recipes that hold more of a fragrance than its cap allows in the finished product."""
    found = []
    for table in context.sure_tables:
        shares = None
        for row in table.rows:
            for caps, line in _lines(context, row):
                shares = shares if shares is not None else shares_of(table, context.grid(table.sheet)) or {}
                if row.row not in shares:
                    context.notes.append(
                        f"{table.sheet}!{address((row.row, table.amount_column))}: the share of {row.name} could not "
                        "be told, so it was not compared with its caps"
                    )
                    continue
                told = _over(context, table, row, shares[row.row], caps, line)
                if told:
                    found.append(told)
    return found


def _lines(context: Context, row: RecipeRow) -> list[tuple[CapsList, int]]:
    """The lines of caps tables that are about this ingredient."""
    name = _plain(row.name)
    found = []
    for caps in context.caps:
        grid = context.grid(caps.sheet)
        for line in caps.rows:
            fragrance = _plain(grid.text(line, caps.name))
            if fragrance and (name == fragrance or (len(fragrance) > 4 and f" {fragrance} " in f" {name} ")):
                found.append((caps, line))
    return found


def _plain(name: str) -> str:
    text = fold(name)
    for ending in (" fragrance oil", " fragrance", " essential oil", " parfum", " (fo)", " fo"):
        text = text.removesuffix(ending)
    return text.removeprefix("fragrance: ").removeprefix("fragrance ").strip()


def _over(
    context: Context, table: RecipeTable, row: RecipeRow, share: float, caps: CapsList, line: int
) -> Finding | None:
    grid = context.grid(caps.sheet)
    stated = {code: _cap(grid[line, column]) for column, code in caps.categories.items()}
    category, how = _category(context, table)
    fragrance = grid.text(line, caps.name)
    place = (row.row, table.amount_column)
    if category is None or category not in stated:
        over = {c: cap for c, cap in stated.items() if cap is not None and share > cap * (1 + _HAIR)}
        if not over:
            return None
        within = [c for c, cap in stated.items() if cap is not None and c not in over]
        if within:
            context.notes.append(
                f"{table.sheet}!{address(place)}: {share * 100:.4g} % of {fragrance} is within its cap in category "
                f"{', '.join(within)} but over it in {', '.join(over)}; the sheet does not say which it is"
            )
            return None
        category, how = ", ".join(over), "the caps table: it is over in all of them"
        cap = max(over.values())
    else:
        cap = stated[category]
    if cap is None:
        return finding(
            "cap-not-stated",
            WARNING,
            table.sheet,
            place,
            f"{fragrance} is used at {share * 100:.4g} %, and no cap is stated for category {category} ({how})",
            "not stated is not unlimited",
            f"ask the supplier for the certificate and fill in the cap in {caps.sheet}",
        )
    if share <= cap * (1 + _HAIR):
        return None
    allowed = "0: not allowed" if cap == 0 else f"{cap * 100:.4g} %"
    return finding(
        "over-cap",
        ERROR,
        table.sheet,
        place,
        f"{fragrance} is {share * 100:.4g} % of the finished product; its cap ({category}) is {allowed}",
        f"above the cap the product is not safe to sell (the category is taken from {how})",
        "leave it out"
        if cap == 0
        else f"take at most {cap / share:.4g} times the amount, or less, and fill up the rest",
    )


def _cap(cell: Cell) -> float | None:
    try:
        return read_cap(cell.value, "cap")
    except CellError:
        return None


def _category(context: Context, table: RecipeTable) -> tuple[str | None, str]:
    """The IFRA category of a recipe and where it comes from: a cell that says so, the title, or the sheet's name."""
    grid = context.grid(table.sheet)
    if sum(t.sheet == table.sheet for t in context.tables) == 1:
        for row, column in grid.cells:
            if fold(grid.text(row, column)).strip(" :") in _LABELS and (row, column) not in _inside(table):
                code = _from_cell(grid[row, column + 1])
                if code:
                    return code, address((row, column + 1))
    for text, how in ((table.title, "the title"), (table.sheet, "the sheet's name")):
        product = product_in(text or "")
        if product is not None and product["category"]:
            return product["category"], f"{how}: {product['product']}"
    return None, ""


def _inside(table: RecipeTable) -> Range:
    top = table.header_row or table.first_row
    return Range(table.sheet, top, table.first_column, table.last_row, table.last_column)


def _from_cell(cell: Cell) -> str | None:
    from tarecell.calculations.products import CODES, code

    text = f"{cell.number:g}" if cell.number is not None else cell.text
    known = code(text) if text else None
    if known in CODES:
        return known
    product = product_in(text) if text else None
    return product["category"] or None if product else None


def statuses(context: Context) -> list[Finding]:
    """Status cells of our own functions that say over, not allowed or not in this product."""
    found = []
    for grid, where, cell, formula in context.formulas():
        ours = {c.name for c in formula.calls} & {"TC_CAP_STATUS", "TC_PRESERVATIVE_STATUS"}
        text = cell.text
        bad = text.startswith(("over", "not allowed", "not in this product"))
        if ours and (bad or text.startswith("not stated")):
            found.append(
                finding(
                    "over-cap" if bad else "cap-not-stated",
                    ERROR if bad else WARNING,
                    grid.sheet,
                    where,
                    f"{ours.pop()} says: {text}",
                    "the product is not within its limit" if bad else "not stated is not unlimited",
                    "lower the share or choose another material" if bad else "ask the supplier for the certificate",
                )
            )
    return found
