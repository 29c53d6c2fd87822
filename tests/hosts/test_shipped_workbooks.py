"""Every template and every example workbook: the same values in real Calc as in the embedded engine, nothing out of
date, no error, and the file itself sound."""

import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from openpyxl import load_workbook
from openxml_audit import OpenXmlValidator
from tarecell.errors import CellError
from tarecell.workbooks.evaluate import evaluate

ROOT = Path(__file__).parents[2]
SHIPPED = sorted([*(ROOT / "workbook_templates").glob("*.xlsx"), *(ROOT / "examples").glob("*.xlsx")])
TELLS_ITS_HOST = "TC_VERSION"


@pytest.fixture(params=SHIPPED, ids=[f"{p.parent.name}-{p.stem}" for p in SHIPPED])
def shipped(request):
    return request.param


def test_calc_and_the_embedded_engine_agree(shipped, calc):
    ours = evaluate(shipped)
    assert ours.left == {}, "the embedded engine computes every cell"
    theirs = calc.read(shipped)
    stored = load_workbook(shipped, data_only=True)
    differing = []
    for sheet, values in ours.values.items():
        for place, value in values.items():
            cell = theirs[sheet].get(place)
            if cell is not None and TELLS_ITS_HOST in cell.formula:
                continue
            kept = stored[sheet].cell(*place).value
            told = (cell.kind or cell.value) if cell is not None else None
            if not (_same(value, told) and _same(value, kept)):
                differing.append((sheet, place, value, told, kept))
    assert differing == []


def _same(value, other) -> bool:
    if isinstance(value, CellError):
        return other == value.kind
    if hasattr(other, "toordinal"):  # a stored date: the serial number is compared in Calc
        return True
    if isinstance(value, (int, float)) and isinstance(other, (int, float)):
        return abs(value - other) <= 1e-9 * max(1.0, abs(value))
    return (value or "") == (other or "")


# What the checker says of every file that openpyxl writes, and that no spreadsheet program minds.
HARMLESS = ("Unexpected element 'b'", "Unexpected element 'i'", "Unexpected element 'color'", "inline-string cell(s)")


def zip_defects(path):
    """What is wrong inside a package that the outside checker is known not to see."""
    found = []
    main = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
    with zipfile.ZipFile(path) as package:
        names = package.namelist()
        types = ElementTree.fromstring(package.read("[Content_Types].xml"))
        known = {e.get("PartName", "").lstrip("/") for e in types} | {e.get("Extension") for e in types}
        found += [f"{n} has no content type" for n in names if n not in known and n.rsplit(".", 1)[-1] not in known]
        styles = ElementTree.fromstring(package.read("xl/styles.xml"))
        formats = len(styles.find(f"{main}cellXfs"))
        for name in names:
            if not name.startswith("xl/worksheets/sheet"):
                continue
            cells = list(ElementTree.fromstring(package.read(name)).iter(f"{main}c"))
            places = [c.get("r") for c in cells]
            found += [f"{name}: {p} stands there twice" for p in set(places) if places.count(p) > 1]
            found += [f"{name}: {c.get('r')} has no such style" for c in cells if int(c.get("s", 0)) >= formats]
    return found


def defects(path):
    """The same, and what openpyxl shows of it."""
    book, found = load_workbook(path), zip_defects(path)
    found += [f"{s.title}: the name is too long" for s in book if len(s.title) > 31]
    found += [
        f"{s.title}: {v.sqref} has a list or note that is too long"
        for s in book
        for v in s.data_validations.dataValidation
        if len(v.formula1 or "") > 255 or len(v.prompt or "") > 255
    ]
    return found + [f"{n} points nowhere" for n, d in book.defined_names.items() if "#REF!" in d.attr_text]


def test_the_file_is_sound(shipped):
    """By a checker from outside, and by what that is known not to see."""
    told = [str(e.description) for e in OpenXmlValidator().validate(str(shipped)).errors]
    assert [t for t in told if not any(h in t for h in HARMLESS)] == []
    assert defects(shipped) == []


PLANTED = {
    "A1 stands there twice": (b'r="A2"', b'r="A1"'),
    "A2 has no such style": (b'<c r="A2" s="', b'<c r="A2" s="99'),
}


@pytest.mark.parametrize("wrong", PLANTED)
def test_planted_defects_are_seen(wrong, tmp_path):
    """A check that cannot fail would be none."""
    broken = tmp_path / "broken.xlsx"
    with zipfile.ZipFile(ROOT / "examples" / "little_quay_recipes.xlsx") as old, zipfile.ZipFile(broken, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                before, after = PLANTED[wrong]
                assert before in data
                data = data.replace(before, after, 1)
            new.writestr(entry, data)
    assert any(wrong in defect for defect in zip_defects(broken))
