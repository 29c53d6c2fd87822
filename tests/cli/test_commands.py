"""The command line, called as a person calls it."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import tarecell
from openpyxl import Workbook, load_workbook
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
    assert "tour" in helped.stdout and "start here" in " ".join(helped.stdout.split())


def test_importing_stays_light():
    """The functions come without pandas, openpyxl and numpy, and pint only when units are converted."""
    code = (
        "import sys, tarecell; tarecell.call('TC_TOP_UP', 5, 4); "
        "print([m for m in ('pandas', 'openpyxl', 'numpy', 'pint') if m in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"


RECIPES = Path(__file__).parents[2] / "examples" / "little_quay_recipes.xlsx"


def test_add_shows_first_and_writes_then(tmp_path, capsys):
    file = tmp_path / "recipes.xlsx"
    shutil.copyfile(RECIPES, file)
    before = file.read_bytes()
    asked = ["add", "scale", str(file), "--recipe", "1", "--target", "2 lb", "--step", "0.1"]
    assert main([*asked, "--dry-run"]) == 0
    assert "TC_SCALE" in capsys.readouterr().out and list(tmp_path.iterdir()) == [file]
    assert main(asked) == 0
    sheet = load_workbook(tmp_path / "recipes.scale.xlsx", data_only=True)["Cream"]
    assert sum(sheet[f"I{row}"].value or 0 for row in range(5, 15)) == pytest.approx(907.2)
    assert file.read_bytes() == before
    with pytest.raises(SystemExit):
        main([*asked, "--in-place", str(tmp_path / "out.xlsx")])


def test_find_and_check_tell_what_they_see(capsys):
    assert main(["find", str(RECIPES)]) == 0
    assert "Bath bombs" in capsys.readouterr().out
    assert main(["check", str(RECIPES), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["findings"]


def test_prices_shows_before_it_writes(tmp_path, capsys):
    listed = tmp_path / "list.csv"
    listed.write_text("article;pack;price\nSoy wax;5 lb;19.50\nWick;1,250 each;7.50\n", encoding="utf-8")
    assert main(["prices", str(listed), "--dry-run"]) == 1
    out = capsys.readouterr().out
    assert "semicolons" in out and "1,250" in out and list(tmp_path.iterdir()) == [listed]
    assert main(["prices", str(listed)]) == 1
    assert (tmp_path / "list.prices.xlsx").exists()
    with pytest.raises(SystemExit):
        main(["prices", str(listed), "--column", "price"])


def test_share_makes_a_copy_that_needs_nothing(workbook, tmp_path, capsys):
    out = tmp_path / "for the group.xlsx"
    assert main(["share", str(workbook), str(out)]) == 0
    copy = load_workbook(out)["Sheet"]
    assert "TC_" not in copy["B1"].value and load_workbook(out, data_only=True)["Sheet"]["B1"].value == 12.5
    assert "for the group.xlsx" in capsys.readouterr().out
    assert main(["share", str(workbook), str(workbook)]) == 2


def test_an_extension_that_cannot_be_written_is_one_line(tmp_path, capsys):
    assert main(["libreoffice", "build", str(tmp_path / "nowhere" / "x.oxt")]) == 2
    out = capsys.readouterr()
    assert "x.oxt was not written" in out.err and "nowhere" in out.err and out.out == ""


@pytest.mark.parametrize(
    ("name", "content", "do"),
    [("list.csv", b"a;1\n", "save it as .xlsx"), ("half.xlsx", b"PK\x03\x04" + b"x" * 50, "your backup")],
)
def test_a_file_that_is_no_workbook_says_what_to_do(name, content, do, tmp_path, capsys):
    (tmp_path / name).write_bytes(content)
    assert main(["check", str(tmp_path / name)]) == 2
    err = capsys.readouterr().err
    assert name in err and do in err


def test_a_price_list_without_known_headings_says_what_to_type(tmp_path, capsys):
    (tmp_path / "list.csv").write_text("Artikul;Tsena\nShea;3\n")
    assert main(["prices", str(tmp_path / "list.csv")]) == 2
    assert "--column name=" in capsys.readouterr().err
