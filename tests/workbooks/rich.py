"""Workbooks with all that makers have in theirs, and the comparison of two packages part by part."""

import io
import struct
import zipfile
import zlib
from importlib.util import find_spec
from pathlib import Path

import xlsxwriter


def picture() -> io.BytesIO:
    """A 2 × 2 pixel PNG."""

    def chunk(kind, content):
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 2, 2, 8, 2, 0, 0, 0))
    pixels = chunk(b"IDAT", zlib.compress(b"\0" + b"\xff\0\0" * 2 + b"\0" + b"\0\xff\0" * 2))
    return io.BytesIO(b"\x89PNG\r\n\x1a\n" + head + pixels + chunk(b"IEND", b""))


def macros() -> bytes:
    """A VBA project that Excel made."""
    quickstart = Path(find_spec("xlwings").origin).with_name("quickstart.xlsm")
    return zipfile.ZipFile(quickstart).read("xl/vbaProject.bin")


def write_rich(path: Path, options=None) -> Path:
    """A recipe workbook with every kind of thing around its formulas. .xlsm gets macros and a button."""
    book = xlsxwriter.Workbook(str(path), options or {})
    bold, money = book.add_format({"bold": True}), book.add_format({"num_format": "0.00"})
    sheet = book.add_worksheet("Balm recipe")
    notes, hidden = book.add_worksheet("Notes & photos"), book.add_worksheet("Hidden")
    sheet.write_row("A1", ["Name", "Grams", "Share", "Scaled", "Cost"], bold)
    for row, (name, grams) in enumerate([("Beeswax", 25), ("Sweet almond oil", 60), ("Lavender", 2.5)], start=1):
        sheet.write(row, 0, name)
        sheet.write(row, 1, grams)
        sheet.write_formula(row, 4, f"=B{row + 1}*0.02", money, 99)
    sheet.write_array_formula("C2:C4", "{=TC_SHARES(B2:B4)}", None, 0)
    sheet.write_array_formula("D2:D4", "{=TC_SCALE(B2:B4,175,0.1)}", money, 0)
    sheet.write_formula("B5", "=SUM(B2:B4)", bold, 1)
    sheet.write_formula("D5", "=SUM(D2:D4)", bold, "")
    sheet.write_formula("B6", "=TC_TOP_UP(80,B5)", None, 0)
    sheet.write_formula("B7", '=IF(B5>80,"a lot & <more>","little")', None, "")
    sheet.write_formula("B8", "=B5>80", None, False)
    sheet.write_rich_string("G1", "rich ", bold, "text", " here")
    sheet.write_comment("A2", "from the shop")
    sheet.conditional_format("C2:C4", {"type": "data_bar", "data_bar_2010": True})
    sheet.conditional_format("E2:E4", {"type": "cell", "criteria": ">", "value": 1, "format": bold})
    sheet.data_validation("A2:A4", {"validate": "list", "source": ["Beeswax", "Lavender"]})
    sheet.add_sparkline("F2", {"range": "B2:B4"})
    columns = [{"header": "Name"}, {"header": "Cost"}]
    sheet.add_table("I1:J3", {"name": "Prices", "data": [["a", 2], ["b", 3]], "columns": columns})
    sheet.write_formula("I6", "=SUM(Prices[Cost])", None, 0)
    sheet.merge_range("A10:C10", "a merged note")
    sheet.freeze_panes(1, 1)
    sheet.insert_textbox("L2", "a text box")
    sheet.insert_image("L9", "dot.png", {"image_data": picture()})
    chart = book.add_chart({"type": "pie"})
    chart.add_series({"categories": "='Balm recipe'!$A$2:$A$4", "values": "='Balm recipe'!$B$2:$B$4"})
    notes.insert_chart("B2", chart)
    notes.write_string("A1", "=1+1")
    notes.set_header("&CPicture &G", {"image_center": "dot.png", "image_data_center": picture()})
    hidden.hide()
    hidden.write_formula("A1", "='Balm recipe'!B5*2", None, 0)
    book.define_name("Total", "='Balm recipe'!$B$5")
    hidden.write_formula("A2", "=Total+1", None, 0)
    line = book.add_chart({"type": "line"})
    line.add_series({"values": "='Balm recipe'!$E$2:$E$4"})
    book.add_chartsheet("Chart").set_chart(line)
    if path.suffix == ".xlsm":
        book.add_vba_project(io.BytesIO(macros()), is_stream=True)
        sheet.insert_button("L20", {"macro": "SampleCall", "caption": "press"})
    book.close()
    return path


def parts(path: Path) -> dict[str, bytes]:
    """All parts of a package, in its order."""
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def rewrite(source: Path, target: Path, changed=(), added=(), dropped=()) -> Path:
    """A copy of a package with some parts changed, added or dropped, made with zipfile alone."""
    changed, content = dict(changed), parts(source)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in content.items():
            if name not in dropped:
                archive.writestr(name, changed.get(name, data))
        for name, data in dict(added).items():
            archive.writestr(name, data)
    return target
