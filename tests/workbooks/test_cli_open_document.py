"""An .ods file on the command line: read by way of real Calc."""

from openpyxl import load_workbook
from tarecell.cli import main


def test_an_open_document_file_is_read_through_calc(calc, tmp_path, capsys):
    ods = tmp_path / "recipe.ods"
    calc.read(enter={"Sheet1": {"A1": 500.0, "A2": "=TC_TOP_UP(A1;487.5)"}}, save_as=[ods])
    assert main(["calc", str(ods)]) == 0
    assert load_workbook(tmp_path / "recipe.calc.xlsx", data_only=True).active["A2"].value == 12.5
    assert main(["find", str(ods)]) == 1
    capsys.readouterr()
    assert main(["check", str(ods)]) == 0
    assert capsys.readouterr().out.startswith("recipe.ods:")
