"""Price lists: prices that cannot be turned into a cost, because nobody says for how much."""

from tarecell.workbooks.check.context import Context
from tarecell.workbooks.check.report import WARNING, Finding, finding
from tarecell.workbooks.find.amounts import WRITTEN, read
from tarecell.workbooks.find.grid import Grid
from tarecell.workbooks.find.lists import PriceList
from tarecell.workbooks.references import letters

_WHY = "without it the price cannot become a cost per gram, and a recipe that uses the material has no cost"


def without_pack(context: Context) -> list[Finding]:
    """Prices without a pack size, or with one that has no unit."""
    found = []
    for prices in context.prices:
        grid = context.grid(prices.sheet)
        if prices.pack is None:
            if not _states_unit(prices):
                found.append(_no_column(prices))
            continue
        for row in prices.rows:
            if grid[row, prices.price].number is None:
                continue
            told = _row(grid, prices, row)
            if told:
                found.append(told)
    return found


def _states_unit(prices: PriceList) -> bool:
    """Whether the price's own heading says for how much: "price per kg"."""
    heading = prices.columns.get(prices.price, "").casefold()
    return any(word in heading.replace("/", " / ").split() for word in ("per", "/", "pro", "je", "par", "por", "al"))


def _no_column(prices: PriceList) -> Finding:
    return finding(
        "price-without-pack",
        WARNING,
        prices.sheet,
        (prices.header_row, prices.price),
        f"the prices in column {letters(prices.price)} have no column for the pack size",
        _WHY,
        "add a column for the pack size and one for its unit",
    )


def _row(grid: Grid, prices: PriceList, row: int) -> Finding | None:
    pack = grid[row, prices.pack]
    amount = read(pack)
    name = grid.text(row, prices.name)
    if pack.value is None or (amount is not None and amount.value == 0 and amount.form != WRITTEN):
        what, do = f"“{name}” has a price but no pack size", "type how much the price buys"
    elif prices.unit and not grid.text(row, prices.unit) and (amount is None or amount.form != WRITTEN):
        what, do = f"the pack of “{name}” has no unit", "type the unit: g, oz, mL, each"
    else:
        return None
    return finding("price-without-pack", WARNING, prices.sheet, (row, prices.pack), what, _WHY, do)
