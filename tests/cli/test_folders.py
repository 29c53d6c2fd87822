"""`tarecell check FOLDER` and `tarecell calc FOLDER`, as a person calls them."""

import json

import pytest
from openpyxl import load_workbook
from tarecell.cli import main
from tarecell.cli.progress import bar
from workbooks.sheets import write

GOOD = [["Ingredient", "g"], ["Water", 70], ["Oil", 30], ["Total", "=SUM(B2:B3)"]]
ERROR = [["pot", 500, 540], ["put back", "=TC_TOP_UP(B1,C1)"]]


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "books" / "spring").mkdir(parents=True)
    write(tmp_path / "books" / "a.xlsx", {"S": GOOD})
    write(tmp_path / "books" / "spring" / "b.xlsx", {"S": ERROR})
    return tmp_path / "books"


def test_check_tells_each_file_and_the_worst_is_the_status(folder, capsys):
    assert main(["check", str(folder), "--workers", "2"]) == 1
    out = capsys.readouterr().out
    assert "2 workbooks checked: 1 good, 1 with findings" in out and "spring/b.xlsx" in out
    (folder / "spring" / "b.xlsx").write_bytes(b"PK cut short")
    assert main(["check", str(folder), "--json", "--workers", "1"]) == 2
    assert json.loads(capsys.readouterr().out)["counts"] == {"good": 1, "found": 0, "problem": 1}


def test_calc_puts_the_results_into_the_folder_asked_for(folder, tmp_path, capsys):
    assert main(["calc", str(folder), str(tmp_path / "out"), "--workers", "1"]) == 1
    assert "2 workbooks computed" in capsys.readouterr().out
    sheet = load_workbook(tmp_path / "out" / "spring" / "b.calc.xlsx", data_only=True)["S"]
    assert sheet["B2"].value == "#NUM!"
    assert sorted(path.name for path in folder.rglob("*.xlsx")) == ["a.xlsx", "b.xlsx"]


def test_calc_of_one_file_for_a_program(folder, capsys):
    assert main(["calc", str(folder / "spring" / "b.xlsx"), "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["out"].endswith("b.calc.xlsx") and data["errors"][0]["cell"] == "B2"


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["calc", "{folder}", "--in-place"], "--in-place is for one workbook"),
        (["check", "{folder}/a.xlsx", "--workers", "2"], "for a folder"),
        (["calc", "{folder}/a.xlsx", "--cluster", "tcp://127.0.0.1:1"], "for a folder"),
    ],
)
def test_options_that_make_no_sense_are_told(folder, arguments, told, capsys):
    with pytest.raises(SystemExit) as ended:
        main([argument.format(folder=folder) for argument in arguments])
    assert ended.value.code == 2 and told in capsys.readouterr().err
    assert sorted(path.name for path in folder.rglob("*.xlsx")) == ["a.xlsx", "b.xlsx"]


def test_a_folder_without_workbooks_and_no_workers_at_all_are_one_line(folder, tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    for arguments in (["check", str(tmp_path / "empty")], ["calc", str(folder), "--workers", "0"]):
        assert main(arguments) == 2
        err = capsys.readouterr().err
        assert err.startswith("tarecell: ") and err.count("\n") == 1


def test_the_progress_bar_is_for_terminals_only(capsys):
    with bar() as progress:
        progress(1, 2)
        progress(2, 2)
    assert capsys.readouterr() == ("", "")


def test_without_a_command_the_help_is_shown(capsys):
    assert main([]) == 2
    assert "start here" in " ".join(capsys.readouterr().out.split())  # however wide the terminal is
