"""Workbooks that Excel saved with the add-in's file before our functions: every command does with them what it does."""

import re
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from tarecell.workbooks.check import check_workbook
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.find import find_recipes
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.share import share
from workbooks.excel_saved import as_excel_saves

TEMPLATE = Path(__file__).parents[2] / "workbook_templates" / "cream_batch.xlsx"
PREFIXES = ("[1]!", "'C:\\Users\\o''neil\\tarecell.xlam'!", "tarecell.xlam!")


@pytest.fixture
def saved(tmp_path):
    return as_excel_saves(TEMPLATE, tmp_path / TEMPLATE.name)


@pytest.mark.parametrize("prefix", PREFIXES)
def test_the_values_are_the_same(prefix, tmp_path):
    saved = as_excel_saves(TEMPLATE, tmp_path / TEMPLATE.name, prefix)
    found = evaluate(saved)
    assert found.values == evaluate(TEMPLATE).values and not found.left
    recalculate(saved, tmp_path / "out.xlsx")
    with zipfile.ZipFile(tmp_path / "out.xlsx") as archive:  # Excel's own writing is left as it is
        assert archive.read("xl/worksheets/sheet2.xml").count(b"!TC_SCALE(") >= 1


def test_check_and_find_say_the_same(saved):
    said, before = check_workbook(saved).text(), check_workbook(TEMPLATE).text()
    assert said == before and "tarecell.xlam" not in said
    assert [str(t) for t in find_recipes(saved)] == [str(t) for t in find_recipes(TEMPLATE)]


def test_the_plain_copy_needs_no_add_in(saved, tmp_path):
    report = share(saved, tmp_path / "copy.xlsx")
    assert report.live == share(TEMPLATE, tmp_path / "other.xlsx").live
    with zipfile.ZipFile(tmp_path / "copy.xlsx") as archive:
        for name in archive.namelist():
            content = archive.read(name)
            assert b"xlam" not in content and "externalLink" not in name
            assert not re.search(rb"<f[^>]*>[^<\"]*\bTC_", content), name


def test_another_file_that_is_read_is_still_told(tmp_path):
    book = Workbook()
    book.active["A1"], book.active["A2"] = 4, "=TC_EXTRA(A1,0.5)"
    book.save(tmp_path / "book.xlsx")
    saved = as_excel_saves(tmp_path / "book.xlsx", tmp_path / "saved.xlsx")
    with zipfile.ZipFile(saved) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    link = parts["xl/externalLinks/externalLink1.xml"].decode()
    link = link.replace("<definedNames>", '<sheetNames><sheetName val="Prices"/></sheetNames><definedNames>')
    held = (
        '<sheetDataSet><sheetData sheetId="0"><row r="1"><cell r="A1"><v>2</v></cell></row></sheetData></sheetDataSet>'
    )
    parts["xl/externalLinks/externalLink1.xml"] = link.replace("</definedNames>", f"</definedNames>{held}").encode()
    with zipfile.ZipFile(tmp_path / "reads.xlsx", "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    assert "another file is read: tarecell.xlam" in check_workbook(tmp_path / "reads.xlsx").text()


def test_a_name_for_one_of_our_functions_is_read_without_the_file(tmp_path):
    book = Workbook()
    book.active["A1"], book.active["A2"] = 4, "=Extra*2"
    book.defined_names["Extra"] = DefinedName("Extra", attr_text="[1]!TC_EXTRA(Sheet!$A$1,0.5)")
    book.save(tmp_path / "book.xlsx")
    assert evaluate(tmp_path / "book.xlsx").values["Sheet"][2, 1] == 4
    report = share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx")
    assert [str(cell) for cell in report.watched] == ["Sheet!A2: a name in it stands for a Tarecell function"]
