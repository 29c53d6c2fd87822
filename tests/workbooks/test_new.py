"""Templates given out by `tarecell new`."""

from pathlib import Path

import pytest
from openpyxl import load_workbook
from tarecell.workbooks.new import TEMPLATES, listing, new
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem

ROOT = Path(__file__).parents[2]


def test_the_list_is_the_folder():
    assert set(TEMPLATES) == {p.stem for p in (ROOT / "workbook_templates").glob("*.xlsx")}
    assert all(name in listing() and line in listing() for name, line in TEMPLATES.items())


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_opens_and_shows_no_error(name, tmp_path):
    made = new(name.replace("_", " "), tmp_path)
    assert made == tmp_path / f"{name}.xlsx"
    assert Package.open(made).sheets[0].name == "Start here"
    book = load_workbook(made, data_only=True)
    found = [f"{s.title}!{c.coordinate}" for s in book for row in s.iter_rows() for c in row if c.data_type == "e"]
    if name == "function_tests":  # errors are what some of its examples show
        assert {cell.split("!")[0] for cell in found} == {"Tests"} and book["Summary"]["B4"].value is True
    else:
        assert found == []


def test_nothing_is_overwritten(tmp_path):
    made = new("bar soap", tmp_path / "mine.xlsx")
    made.write_bytes(b"my own")
    with pytest.raises(WorkbookProblem, match="there already"):
        new("bar soap", made)
    assert made.read_bytes() == b"my own"


def test_an_unknown_template_names_the_nearest(tmp_path):
    with pytest.raises(WorkbookProblem, match="bar_soap"):
        new("bar soup", tmp_path)
    with pytest.raises(WorkbookProblem, match="xlsx"):
        new("bar soap", tmp_path / "soap.xls")
