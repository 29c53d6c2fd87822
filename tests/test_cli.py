"""The command line, called as a person calls it."""

import subprocess
import sys

import pytest
from openpyxl import Workbook, load_workbook

import tarecell
from tarecell.cli import main


@pytest.fixture
def workbook(tmp_path):
    book = Workbook()
    sheet = book.active
    for row, amount in enumerate((300, 150, 50), 1):
        sheet[f"A{row}"] = amount
    sheet["B1"] = "=TC_TOP_UP(500,487.5)"
    sheet["B2"] = "=TC_TOP_UP(500,512)"
    file = tmp_path / "my recipe.xlsx"
    book.save(file)
    return file


def test_calc_writes_values_beside_the_input(workbook, capsys):
    before = workbook.read_bytes()
    assert main(["calc", str(workbook)]) == 1
    out = capsys.readouterr().out
    assert "my recipe.calc.xlsx" in out and "check the tare" in out
    sheet = load_workbook(workbook.with_name("my recipe.calc.xlsx"), data_only=True).active
    assert sheet["B1"].value == 12.5 and sheet["B2"].value == "#NUM!"
    assert workbook.read_bytes() == before


@pytest.mark.parametrize("command", [["calc"], ["find"], ["check"]])
def test_a_file_that_is_not_there_is_one_line(command, tmp_path, capsys):
    assert main([*command, str(tmp_path / "none.xlsx")]) == 2
    err = capsys.readouterr().err
    assert err.startswith("tarecell: ") and err.count("\n") == 1


def test_functions_guide(capsys):
    assert main(["functions", "tc_lye"]) == 0
    assert "Caution:" in capsys.readouterr().out
    assert main(["functions", "TC_LIE"]) == 2
    assert "TC_LYE" in capsys.readouterr().err


def test_version_and_help():
    shown = subprocess.run(
        [sys.executable, "-m", "tarecell.cli", "--version"], capture_output=True, text=True, check=True
    )
    assert shown.stdout.strip() == f"Tarecell {tarecell.__version__}"
    helped = subprocess.run(
        [sys.executable, "-m", "tarecell.cli", "--help"], capture_output=True, text=True, check=True
    )
    assert "tour" in helped.stdout and "start here" in helped.stdout


def test_importing_stays_light():
    """The functions come without pandas, openpyxl and numpy, and pint only when units are converted."""
    code = (
        "import sys, tarecell; tarecell.call('TC_TOP_UP', 5, 4); "
        "print([m for m in ('pandas', 'openpyxl', 'numpy', 'pint') if m in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
