"""Plain copies keep to what Excel 2016 takes, and lean on nothing that Calc and the embedded engine do more freely."""

import os
from pathlib import Path

import pytest
from hosts.excel_limits import Written, faults, formulas
from hosts.plain_book import Book
from tarecell.functions import REGISTRY
from tarecell.hosts.plain import TRANSLATIONS, Step
from tarecell.workbooks.share import share

TEMPLATES = sorted((Path(__file__).parents[2] / "workbook_templates").glob("*.xlsx"))
QUICK = ("cream_batch", "season_planner")
BOOKS = [path for path in TEMPLATES if os.environ.get("PLAIN_TRIALS") or path.stem in QUICK]


@pytest.mark.parametrize("in_cells", [True, False], ids=["cells", "typed"])
@pytest.mark.parametrize("name", sorted(TRANSLATIONS))
def test_the_steps_of_every_function(name, in_cells):
    book = Book()
    for example in REGISTRY[name].examples:
        book.add(name, example.args, in_cells)
    sheets = {"work": book.work, "reference": book.reference}
    steps = [(f"{s} {w}", c) for s, sheet in sheets.items() for w, c in sheet.cells.items() if isinstance(c, Step)]
    found = [(place, fault) for place, c in steps for fault in faults(Written(place, c.text, c.ref is not None))]
    assert not found


@pytest.mark.parametrize("book", BOOKS, ids=lambda path: path.stem)
def test_the_copies_of_the_templates(book, tmp_path):
    report = share(book, tmp_path / "copy.xlsx")
    written = list(formulas(tmp_path / "copy.xlsx"))
    assert len(written) > report.live_cells > 0
    assert not [(w.place, w.text[:100], fault) for w in written for fault in faults(w)]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("SUM(A1:A3*B1:B3)", "A1:A3 needs an array formula"),
        ('SUMPRODUCT(IF(A1:A3="x",1,0))', "A1:A3 needs an array formula"),
        ("MAX((A1:A3=1)*2)", "A1:A3 needs an array formula"),
        ("A1:A3*2", "A1:A3 needs an array formula"),
        ("INDEX(B1:B3,A1:A3)", "A1:A3 needs an array formula"),
        ('TEXTJOIN(",",TRUE,A1:A3)', "TEXTJOIN is no function of Excel 2016"),
        ("A1*1E12", "the number 1E12 is not written as Excel writes it"),
        (f'"{"x" * 256}"&A1', "a text of more than 255 characters"),
        ("ABS(" * 65 + "A1" + ")" * 65, "more than 64 functions in each other"),
        (f"SUM({','.join(['A1'] * 256)})", "SUM has more than 255 arguments"),
        ("+".join(["Workings!A1"] * 800), "9599 characters"),
        ("SUM(A1048577)", "A1048577 lies outside a sheet"),
    ],
)
def test_the_checks_see_what_is_wrong(text, fault):
    assert fault in faults(Written("A1", text))


@pytest.mark.parametrize(
    "text", ["SUM(A1:A3)", "SUMPRODUCT((A1:A3=B1)*C1:C3)", "SUMPRODUCT(MAX((A1:A3=1)*2))", "INDEX(B1:B3,2)+1E-09"]
)
def test_the_checks_pass_what_is_right(text):
    assert not faults(Written("A1", text))
