"""Text from cells, sheet names, file names and the command line never becomes a formula."""

import openpyxl
import pytest
import xlsxwriter
from tarecell.workbooks.add import plan_addition, write
from workbooks.add_books import CAPS, RECIPE, recipe
from workbooks.rich import parts

pytestmark = pytest.mark.xdist_group("calc")
NASTY = [
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    '=HYPERLINK("http://x","y")',
    '";DROP',
    "{=NOW()}",
    "{batch}",
    "'!A1",
    "=cmd|' /C calc'!A0",
]


@pytest.mark.parametrize("text", NASTY)
def test_names_from_the_command_line_stay_text(tmp_path, text):
    caps = [[*CAPS[0]], [text, *CAPS[1][1:]]]
    path = recipe(tmp_path, RECIPE)
    book = openpyxl.load_workbook(path)
    sheet = book.create_sheet("Caps")
    for r, row in enumerate(caps, 1):
        for c, value in enumerate(row, 1):
            sheet.cell(r, c, value)
            if c == 1 and r == 2:
                sheet.cell(r, c).data_type = "s"
    book.save(path)
    plan = plan_addition(
        path, "fragrance", sheet="Cream", caps="Caps!A1:E2", fragrance=text, product="5A", share="1%", batch=100
    )
    out = write(plan).out
    cell = next(c for c in plan.cells if c.content == text)
    assert not cell.formula
    new = openpyxl.load_workbook(out)["Cream"][cell.address]
    assert (new.value, new.data_type) == (text, "s") and new.quotePrefix == (text[0] in "=+-@")
    assert all(text not in c.content for c in plan.cells if c.formula)
    values = openpyxl.load_workbook(out, data_only=True)["Cream"]
    amount = next(c.address for c in plan.cells if c.content.startswith("=TC_FRAGRANCE"))
    assert values[amount].value == 1


@pytest.mark.parametrize(
    "name", ["It's", "=1+1", "+cap", "-2", "@home", "a b!", "Q1", "R1C1", "TRUE", "Ünï,;", "{x}", "A'!B"]
)
def test_sheet_names_are_quoted(tmp_path, name, calc):
    path = recipe(tmp_path, **{name: CAPS})
    quoted = "'" + name.replace("'", "''") + "'"
    plan = plan_addition(
        path,
        "fragrance",
        sheet="Cream",
        caps=f"{quoted}!A1:E3",
        fragrance="Harbour Fig",
        product="5A",
        share="1%",
        batch=100,
    )
    out = write(plan).out
    assert any(c.content.startswith(f"=TC_CAP({quoted}!$A$1:$E$3,") for c in plan.cells)
    amount = next(c.address for c in plan.cells if c.content.startswith("=TC_FRAGRANCE"))
    assert openpyxl.load_workbook(out, data_only=True)["Cream"][amount].value == 1
    column, row = amount[0], int(amount[1:])
    assert calc.read(out)["Cream"][row, ord(column) - 64].value == 1


def test_names_in_a_recipe_that_look_like_formulas_are_only_read(tmp_path):
    def draw(path):
        book = xlsxwriter.Workbook(str(path), {"strings_to_formulas": False})
        sheet = book.add_worksheet("Cream")
        for row, (name, grams) in enumerate([("ingredient", "grams"), ('=HYPERLINK("x")', 70), ("@oil", 30)]):
            sheet.write_string(row, 0, name)
            sheet.write(row, 1, grams)
        book.close()
        return path

    path = draw(tmp_path / "names.xlsx")
    out = write(plan_addition(path, "shares", sheet="Cream")).out
    sheet = openpyxl.load_workbook(out)["Cream"]
    assert sheet["A2"].data_type == "s"
    assert parts(out)["xl/worksheets/sheet1.xml"].count(b"<f") == 1


def test_a_file_name_never_gets_into_the_file(tmp_path):
    path = recipe(tmp_path, name="=cmd() & co.xlsx")
    out = write(plan_addition(path, "shares", sheet="Cream")).out
    assert out.name == "=cmd() & co.shares.xlsx"
    assert not any(b"cmd()" in content for content in parts(out).values())


def test_control_characters_in_names_are_not_printed(tmp_path):
    path = recipe(tmp_path, [["\x1b[31mingredient".replace("\x1b", "_x001B_"), "grams"], *[["a", 1], ["b", 3]]])
    text = str(plan_addition(path, "shares", sheet="Cream", amounts="B2:B3"))
    assert "\x1b" not in text
