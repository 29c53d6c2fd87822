"""Builds little_quay_recipes.xlsx: the recipe workbook of an invented studio, with the untidiness of a real one.

    python examples/build_recipes.py

Ounces beside grams, phases, title rows, notes beside the tables, empty rows, a price list with pack sizes and freight,
and the caps of two invented fragrances. All of it is made up; none of it is advice.
"""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font, PatternFill

NAME = "little_quay_recipes.xlsx"
HERE = Path(__file__).parent

CREAM = [
    ("water", "Water", 11.5, "oz", "distilled, from the shop"),
    ("water", "Glycerin", 0.6, "oz", None),
    None,
    ("oil", "Emulsifying wax", 0.9, "oz", "was 1.0, too thick in winter"),
    ("oil", "Sweet almond oil", 52, "g", None),
    ("oil", "Shea butter", 30, "g", "unrefined smells through!"),
    ("oil", "Cetyl alcohol", 8, "g", None),
    None,
    ("cool down", "Broad-spectrum preservative", 4.5, "g", "below 45 C, supplier says 1 %"),
    ("cool down", "Vitamin E", 2, "g", None),
]
BOMBS = [
    ("dry", "Baking soda", 2, "lb", None),
    ("dry", "Cornstarch", 8, "oz", None),
    ("dry", "Epsom salt", 5, "oz", "fine grade"),
    None,
    ("acid", "Citric acid", 1, "lb", "anhydrous, keep dry"),
    None,
    ("wet", "Coconut oil", 55, "g", None),
    ("wet", "Polysorbate 80", 14, "g", "so the oil does not float"),
    ("wet", "Water", 6, "g", "spray, not pour"),
    None,
    ("drizzle", "Cocoa butter", 1.5, "oz", "melt, wait till it thickens"),
    ("drizzle", "Mica, fig", 2, "g", None),
]
CANDLE = [
    ("wax", "Soy wax", 2, "lb", "blend for containers"),
    ("wax", "Dye flakes", 1.2, "g", None),
]
PRICES = [
    # material, pack, unit, price, freight, g per mL, note
    ("Water", 1, "gal", 1.29, None, 0.998, "supermarket"),
    ("Glycerin", 500, "mL", 7.40, 1.10, 1.261, None),
    ("Emulsifying wax", 1, "lb", 11.20, 1.60, None, None),
    ("Sweet almond oil", 16, "fl oz", 9.80, 1.40, 0.913, "price went up in May"),
    ("Shea butter", 1, "kg", 13.60, 2.20, None, None),
    ("Cetyl alcohol", 250, "g", 6.10, 0.70, None, None),
    ("Broad-spectrum preservative", 100, "g", 9.90, 0.90, None, None),
    ("Vitamin E", 2, "oz", 7.25, 0.50, None, None),
    None,
    ("Baking soda", 5, "lb", 6.99, None, None, None),
    ("Cornstarch", 3, "lb", 4.49, None, None, None),
    ("Epsom salt", 4, "lb", 5.79, None, None, None),
    ("Citric acid", 5, "lb", 17.50, 3.20, None, None),
    ("Coconut oil", 14, "oz", 5.99, None, None, None),
    ("Polysorbate 80", 8, "oz", 8.40, 0.80, None, None),
    ("Cocoa butter", 1, "lb", 15.75, 1.60, None, None),
    ("Mica, fig", 1, "oz", 5.50, 0.40, None, None),
    None,
    ("Soy wax", 5, "lb", 19.50, 6.00, None, "small bag"),
    ("Soy wax", 25, "lb", 74.00, 14.00, None, "big box, ask for two-day delivery"),
    ("Dye flakes", 1, "oz", 4.20, None, None, None),
    ("Harbour Fig", 8, "oz", 26.40, 2.00, None, "the fragrance"),
    None,
    ("Jar 4 oz with lid", 12, "each", 13.80, 2.40, None, None),
    ("Shrink wrap", 100, "each", 6.00, None, None, None),
    ("Candle tin 8 oz", 12, "each", 18.60, 3.60, None, None),
    ("Wick", 50, "each", 7.50, None, None, None),
    ("Label", 60, "each", 9.90, None, None, None),
    ("Gift box", 10, "each", 16.50, 2.50, None, None),
    ("Ribbon", 25, "yd", 5.25, None, None, "about 1.5 yd a box"),
]
CAPS = [
    ("fragrance", 4, "5A", "5B", "5C", 9, 12),
    ("Harbour Fig", 0.094, 0.021, 0.011, 0.021, 0.034, "no restriction"),
    ("Oat Meadow", 0.061, 0.018, None, 0.018, 0.027, "no restriction"),
    ("Rain on Slate", 0.0, 0.012, None, None, 0.02, 1),
]

TITLE = Font(name="Liberation Serif", size=16, bold=True, color="5B3A5E")
HEAD = PatternFill("solid", fgColor="E4D7C5")
SOFT = Font(italic=True, color="7A6A58")


def title(sheet, text, under, columns):
    sheet["A1"] = text
    sheet["A1"].font = TITLE
    sheet.merge_cells(start_row=1, start_column=1, end_row=1, end_column=columns)
    sheet["A2"] = under
    sheet["A2"].font = SOFT


def table(sheet, row, headings, lines):
    """Headings and lines from `row` on; None is an empty row. The last row used."""
    for column, text in enumerate(headings, 1):
        cell = sheet.cell(row, column, text)
        cell.font, cell.fill = Font(bold=True), HEAD
    for offset, line in enumerate(lines, 1):
        for column, value in enumerate(line or (), 1):
            sheet.cell(row + offset, column, value)
    return row + len(lines)


def widths(sheet, *sizes):
    for letter, size in zip("ABCDEFGHIJ", sizes, strict=False):
        sheet.column_dimensions[letter].width = size


def recipe(book, name, heading, under, lines, aside):
    sheet = book.create_sheet(name)
    title(sheet, heading, under, 5)
    table(sheet, 4, ("phase", "ingredient", "amount", "unit", "remarks"), lines)
    for offset, note in enumerate(aside):
        sheet.cell(5 + 2 * offset, 7, note).font = SOFT
        sheet.cell(5 + 2 * offset, 7).alignment = Alignment(wrap_text=True, vertical="top")
    widths(sheet, 12, 28, 9, 7, 30, 3, 44)
    return sheet


def build(path: Path) -> Path:
    book = Workbook()
    book.remove(book.active)
    recipe(
        book,
        "Cream",
        "Hand & body cream",
        "makes a good 4 jars as written — the fragrance goes in last, see Caps",
        CREAM,
        ("March batch: lost about 15 g of water while heating, weigh and put back!", "jar takes 110 g with some room"),
    )
    recipe(
        book,
        "Bath bombs",
        "Bath bombs with a fig drizzle",
        "2.5 inch mould, about 150 g each with drizzle",
        BOMBS,
        ("turn after one day, wrap after two", "too wet = warts"),
    )
    recipe(
        book,
        "Candle",
        "Tin candle",
        "200 g of wax and fragrance to a tin",
        CANDLE,
        ("add fragrance where the wax sheet says, stir two minutes", "wick test of last autumn is in the blue book"),
    )
    prices = book.create_sheet("Prices")
    title(prices, "What things cost", "checked in September, freight is per pack", 7)
    table(prices, 3, ("material", "pack", "unit", "price", "freight", "g per mL", "note"), PRICES)
    widths(prices, 30, 8, 8, 9, 9, 10, 34)
    for row in prices.iter_rows(min_row=4, min_col=4, max_col=5):
        for cell in row:
            cell.number_format = "0.00"
    caps = book.create_sheet("Caps")
    title(caps, "Highest share of each fragrance in the finished product", "typed from the suppliers' certificates", 7)
    table(caps, 4, CAPS[0], CAPS[1:])
    for row in caps.iter_rows(min_row=5, min_col=2, max_col=7):
        for cell in row:
            cell.number_format = "0.0%"
    caps["D6"].comment = Comment("no certificate for face products yet", "studio")
    widths(caps, 26, 9, 9, 9, 9, 9, 16)
    for sheet in book:
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
    book.save(path)
    return path


if __name__ == "__main__":
    print(build(HERE / NAME))
