"""What the tour prints: the workbook's own cells as a table that a maker reads."""

from pathlib import Path

from openpyxl import load_workbook

from tarecell.workbooks.recalculate import Report
from tarecell.workbooks.tour.gift_set import BUY, FIRST, PLAN, RESULT
from tarecell.workbooks.tour.plan import PRODUCTS, SET


def _number(value, decimals: int = 1) -> str:
    """A cell's number, or the error it shows."""
    return f"{value:,.{decimals}f}" if isinstance(value, (int, float)) else str(value)


def _percent(value, decimals: int = 2) -> str:
    return f"{value * 100:.{decimals}f} %" if isinstance(value, (int, float)) else str(value)


def printed(result: Path, recipes: Path, report: Report, seconds: float) -> str:
    """The text of the tour, every figure read back from the computed workbook."""
    book = load_workbook(result, data_only=True)
    plan = book[PLAN]
    lines = [f"{_number(plan['C10'].value, 0)} gift sets in “{plan['C11'].value}”", ""]
    for product in PRODUCTS:
        lines += _batch(book[f"{product.sheet} batch"], product)
    lines += _set(book[RESULT]) + _to_buy(book[BUY]) + _files(result, recipes, report, seconds)
    return "\n".join(lines)


def _batch(sheet, product) -> list[str]:
    pieces, fill, batch, cap, fragrance = (sheet[f"C{row}"].value for row in range(4, 9))
    lines = [
        f"{product.item}: {_number(pieces, 0)} × {_number(fill, 0)} g, a batch of {_number(batch)} g",
        f"  {'phase':<11}{'ingredient':<30}{'weigh':>11}",
    ]
    shown = None
    for row in sheet.iter_rows(min_row=14, max_col=6, values_only=True):
        if not row[1] or row[1] == "together":
            break
        phase = "" if row[0] == shown else row[0]
        shown = row[0]
        lines.append(f"  {phase or '':<11}{row[1]:<30}{_number(row[5]):>9} g")
    lines += [
        f"  fragrance {_number(fragrance)} g = {_percent(sheet['C11'].value)} of the product,"
        f" cap for {product.product_type}: {'no restriction' if cap == 1 else _percent(cap)} → {sheet['D11'].value}",
        "",
    ]
    return lines


def _set(sheet) -> list[str]:
    lines = ["cost of one"]
    row = FIRST
    for product in PRODUCTS:
        lines.append(f"  {product.item:<40}{_number(sheet[f'B{row}'].value, 2):>9}")
        row += 1
    labels = (SET, "price of a set", "margin at that price", "sets to sell until the stall is paid")
    for offset, label in enumerate(labels):
        value = sheet[f"B{row + offset}"].value
        text = _percent(value, 1) if "margin" in label else _number(value, 0 if "sell" in label else 2)
        lines.append(f"  {label:<40}{text:>9}")
    return [*lines, ""]


def _to_buy(sheet) -> list[str]:
    lines = [f"{'to buy':<32}{'needed':>12}      {'packs':>5}  {'to pay':>8}"]
    for row in sheet.iter_rows(min_row=FIRST, max_col=7, values_only=True):
        name, needed, use, pack, _, packs, pay = row
        if name == "together":
            lines.append(f"  {'together':<30}{'':>12}      {'':>5}  {_number(pay, 2):>8}")
            break
        if packs == 0:
            continue
        lines.append(
            f"  {name:<30}{_number(needed):>12} {use:<5}{_number(packs, 0):>5}  {_number(pay, 2):>8}"
            f"   a pack holds {_number(pack)} {use}"
        )
    return [*lines, ""]


def _files(result: Path, recipes: Path, report: Report, seconds: float) -> list[str]:
    return [
        f"{report.written} cells computed in {seconds:.1f} s, {len(report.errors)} with an error.",
        "",
        f"  {recipes}   the studio's recipes, as they were",
        f"  {result}   the same with the gift set worked out",
        "",
        "Open the second in any spreadsheet program or viewer: it shows these numbers. In LibreOffice Calc 25.2 or",
        "newer they follow your changes after “tarecell libreoffice install”. Without it: change an orange cell, save,",
        f"and run “tarecell calc {result}”.",
        "",
        "The studio, its recipes, prices and certificate figures are invented. They are no recipe to follow.",
    ]
