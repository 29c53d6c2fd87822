"""What a workbook's cells hold, as they are read for calculation."""

import zipfile

import pytest
from openpyxl import Workbook, load_workbook
from tarecell.workbooks.recalculate import recalculate


@pytest.mark.parametrize("before", ["[1]!", "'C:\\Add-ins\\Tarecell.xlam'!"])
def test_our_functions_are_ours_wherever_excel_says_they_come_from(tmp_path, before):
    """Excel writes an add-in's file before its functions; the formula in the file stays as Excel wrote it."""
    book = Workbook()
    book.active["A1"] = f"={before}TC_TOP_UP(500,{before}TC_EXTRA(450,0.1))"
    book.active["A2"] = '="[1]!TC_TOP_UP("&A1'
    file = tmp_path / "from Excel.xlsx"
    book.save(file)
    report = recalculate(file)
    assert report.left_alone == [] and report.errors == []
    sheet = load_workbook(report.out, data_only=True).active
    assert sheet["A1"].value == 455 and sheet["A2"].value.endswith("TC_TOP_UP(455")
    with zipfile.ZipFile(report.out) as package:
        assert before.encode() in package.read("xl/worksheets/sheet1.xml")
