"""A plain copy in Calc without the extension, with a row put into a list: nothing leaves it out in silence."""

import pytest
from hosts.calc import HERE
from hosts.conftest import started
from hosts.plain_trials import BareCalc
from openpyxl import Workbook
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.share import share


class RowCalc(BareCalc):
    WORKER = (HERE / "row_worker.py", HERE / "trial_worker.py", HERE / "calc_worker.py")

    def rows(self, path, sheet, row, values):
        inside = self._place(".xlsx")
        inside.write_bytes(path.read_bytes())
        self.give_away()
        found = self._ask("rows", path=str(inside), sheet=sheet, row=row, values=values, sheets=["Sums"])
        return [{(r, c): error or value for r, c, value, error in shown["Sums"]} for shown in found]


@pytest.fixture(scope="module")
def calc():
    yield from started(RowCalc)


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    folder = tmp_path_factory.mktemp("rows")
    book = Workbook()
    recipe, sums = book.active, book.create_sheet("Sums")
    recipe.title = "Recipe"
    for row in [("Aqua", 300, 0.5), ("Olea Europaea Fruit Oil", 150, 2.0), ("Cera Alba", 50, 4.0)]:
        recipe.append(row)
    sums["A1"] = "=TC_RECIPE_COST(Recipe!B1:B3,Recipe!C1:C3)"
    sums["A2"] = '=TC_INGREDIENTS(Recipe!A1:A3,Recipe!B1:B3,"EU")'
    sums["A3"] = "=TC_EXTRA(Recipe!B1,0.1)"
    sums["A4"] = '=TC_ROLLUP("Aqua",Recipe!E1:H2)'
    for column, value in enumerate(("Aqua", "Spring", 1, 0.5), start=5):
        recipe.cell(1, column, value)
        recipe.cell(2, column, value if column == 6 else {5: "Oil", 7: 2, 8: 3.0}.get(column))
    book.save(folder / "made.xlsx")
    recalculate(folder / "made.xlsx", folder / "book.xlsx")
    report = share(folder / "book.xlsx", folder / "copy.xlsx")
    assert report.live_cells == 3 and len(report.watched) == 1
    return folder / "copy.xlsx"


def test_a_row_put_into_a_list_is_told(calc, copy):
    inside, again = calc.rows(copy, "Recipe", 2, ("Sodium Lactate", 10, 9.0))
    assert [inside[row, 1] for row in (1, 2, 4)] == ["#N/A"] * 3
    assert inside[3, 1] == again[3, 1] == pytest.approx(30.0)
    assert again[1, 1] == pytest.approx(300 * 0.5 + 150 * 2 + 50 * 4) and again[2, 1].startswith("Aqua, ")
    assert again[4, 1] == pytest.approx(0.5)


def test_a_row_put_above_or_below_a_list_changes_nothing(calc, copy):
    for row in (1, 4):
        inside, again = calc.rows(copy, "Recipe", row, ())
        assert inside == again and inside[1, 1] == pytest.approx(650.0)
