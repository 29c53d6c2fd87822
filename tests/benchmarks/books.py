"""The workbooks that are timed."""

import os
import struct
import zlib
from pathlib import Path

import xlsxwriter


def unit_costs(path: Path, formulas: int) -> Path:
    """A price list: for each row the cost per gram by TC_UNIT_COST, and a price from it in plain arithmetic."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Prices")
    for r in range(formulas // 2):
        sheet.write_row(r, 0, [5 + r / 16, 1 + r % 9, "kg", "g", (r % 5) / 2])
        sheet.write_formula(r, 5, f"=TC_UNIT_COST(A{r + 1},B{r + 1},C{r + 1},D{r + 1},E{r + 1})")
        sheet.write_formula(r, 6, f"=F{r + 1}*1.25")
    book.close()
    return path


def last_price(formulas: int) -> float:
    """What the last formula of `unit_costs` gives, worked out here."""
    r = formulas // 2 - 1
    return (5 + r / 16 + (r % 5) / 2) / ((1 + r % 9) * 1000) * 1.25


def large(path: Path, megabytes: int = 50) -> Path:
    """A recipe in a workbook that is large by a photograph, which does not compress, and a log of 100,000 rows."""
    picture = path.with_suffix(".png")
    picture.write_bytes(_noise(int((megabytes * 1e6 / 3) ** 0.5)))
    book = xlsxwriter.Workbook(path)
    recipe = book.add_worksheet("Recipe")
    lines = [("Water", 610), ("Emulsifying wax", 60), ("Oat oil", 220), ("Glycerin", 80), ("Preservative", 10)]
    recipe.write_row(0, 0, ["Ingredient", "Grams"])
    for r, (name, grams) in enumerate(lines, 1):
        recipe.write_row(r, 0, [name, grams])
    recipe.write(len(lines) + 1, 0, "Total")
    recipe.write_formula(len(lines) + 1, 1, f"=SUM(B2:B{len(lines) + 1})", None, sum(g for _, g in lines))
    recipe.insert_image("F2", picture)
    log = book.add_worksheet("Log")
    for r in range(100_000):
        log.write_row(r, 0, [r, "jar of cream", r % 97, r * 0.25])
    book.close()
    picture.unlink()
    return path


def _noise(side: int) -> bytes:
    """A square picture of chance colours, as a PNG."""
    rows = b"".join(b"\0" + os.urandom(side * 3) for _ in range(side))
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 0)), (b"IEND", b""))
    written = [struct.pack(">I", len(c)) + t + c + struct.pack(">I", zlib.crc32(t + c)) for t, c in chunks]
    return b"\x89PNG\r\n\x1a\n" + b"".join(written)
