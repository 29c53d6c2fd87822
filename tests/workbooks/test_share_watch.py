"""Values in a plain copy show only while everything that they were made from is what it was."""

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import CellError
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import Constant
from tarecell.workbooks.references import position
from tarecell.workbooks.share import share
from tarecell.workbooks.share.build import patched

TYPED = {
    "A1": "Water",
    "A2": "Oil",
    "A4": "Wax",
    "B1": 60,
    "B2": 0.1 + 0.2,
    "B4": 10,
    "D1": "body lotion",
    "D2": True,
    "D3": 0,
}
FORMULAS = {
    "F1": "=TC_INGREDIENTS(A1:A5,B1:B5)",
    "F2": "=TC_CAUTIONS(D1)",
    "F3": '=TC_PRESERVATIVE_STATUS("phenoxyethanol",G3,D1)',
    "F4": '=TC_EXPLAIN("TC_EXTRA",B1,D3)',
    "F5": "=TC_INGREDIENTS(A1:A5,D1:D5)",  # an error from the beginning
    "F6": "=LEN(F1)+LEN(F2)",
    "F7": '=COUNTIF(F1:F5,"*within*")',
    "F8": '=IFERROR(F3,"fine")',
    "F9": '=TC_EXPLAIN("TC_EXTRA",F6,F6)',  # hangs on values
    "F10": "=TC_CAUTIONS(INDIRECT(\"D1\"))",
    "F11": "=TC_CAUTIONS(\"candle\")",
    "F13": "=COUNTA(F1:F5)",
    "G3": "=B1/10000",
}  # fmt: skip
LATER = {"F6", "F7", "F9"}  # what hangs on F1


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    folder = tmp_path_factory.mktemp("watched")
    book = Workbook()
    for where, value in {**TYPED, **FORMULAS}.items():
        book.active[where] = value
    book.active["H1"] = ArrayFormula("H1:H5", '=TC_EXPLAIN("TC_EXTRA",B1,0.5)&A1:A5')
    book.save(folder / "book.xlsx")
    return folder / "copy.xlsx", share(folder / "book.xlsx", folder / "copy.xlsx")


def shown(path, changes=()):
    package = Package.open(path)
    if changes:
        package = patched(package, {"Sheet": {position(a): Constant(v) for a, v in dict(changes).items()}})
    found = evaluate(package, without_functions=True).values["Sheet"]
    values = {name: found.get(position(name)) for name in [*FORMULAS, "H1", "H4"]}
    return {name: value.kind if isinstance(value, CellError) else value for name, value in values.items()}


def stale(path, changes):
    """The cells that are #N/A after the changes and were not before."""
    before, after = shown(path), shown(path, changes)
    return {name for name, value in after.items() if value == "#N/A" and before[name] != "#N/A"}


def test_every_value_is_there_as_long_as_nothing_changes(copy):
    found = shown(copy[0])
    assert found["F1"].startswith("Water, ") and "within" in found["F3"] and found["F7"] == 1
    assert found["F5"] == "#VALUE!" and found["F13"] == 5


@pytest.mark.parametrize(
    ("changes", "gone"),
    [
        ({"B1": 61}, {"F1", "F3", "F4", *LATER, "F8", "H1", "H4"}),
        ({"A1": "water"}, {"F1", *LATER, "F5", "H1", "H4"}),  # a capital letter counts
        ({"A3": "Salt"}, {"F1", *LATER, "F5", "H1", "H4"}),  # where nothing was
        ({"A4": None}, {"F1", *LATER, "F5", "H1", "H4"}),
        ({"B4": "10"}, {"F1", *LATER}),  # a text now
        ({"D1": "lip balm"}, {"F2", "F3", "F5", *LATER, "F8"}),
        ({"D2": False}, {"F5", "F7"}),
        ({"D3": 0.1}, {"F4", "F5", "F7"}),
        ({"B2": 0.3}, set()),  # the same but for the last binary digit
        ({"C1": 5}, set()),  # nothing hangs on it
    ],
    ids=lambda x: str(sorted(x.items()) if isinstance(x, dict) else sorted(x)),
)
def test_a_change_takes_away_what_was_made_from_it(copy, changes, gone):
    assert stale(copy[0], changes) == gone


def test_changed_back_the_value_is_there_again(copy):
    assert shown(copy[0], {"B1": 60, "A1": "Water"}) == shown(copy[0])


def test_what_passes_over_errors_is_not_fooled(copy):
    found = shown(copy[0], {"B1": 900})
    assert found["F7"] == found["F8"] == "#N/A" and found["F13"] == 5


def test_the_first_sheet_and_the_report_tell_the_two_kinds_apart(copy):
    report = copy[1]
    watched, rigid = ({c.position for c in cells} for cells in (report.watched, report.rigid))
    assert {position(n) for n in ("F1", "F2", "F3", "F4", "F5", "F9", "H1", "H5")} <= watched
    assert {position(n) for n in ("F10",)} <= rigid
    told = report.text()
    assert "turn to #N/A when something they were made from changes" in told
    assert "F10: there is no ordinary formula for TC_CAUTIONS; it changes by itself, or reads cells" in told


def test_a_left_out_sheet_counts_through_its_own_formulas(tmp_path):
    """Recipe!B1 reads the costs, and these read the recipe again."""
    book = Workbook()
    recipe, costs = book.active, book.create_sheet("Costs")
    recipe.title = "Recipe"
    recipe["A1"], recipe["B1"], recipe["C1"] = 100, "=Costs!B1*2", "=TC_EXTRA(A1,0.5)"
    costs["A1"], costs["B1"] = 0.02, "=A1*Recipe!A1"
    book.save(tmp_path / "book.xlsx")
    report = share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=["Costs"])
    assert [str(c) for c in report.watched] == ["Recipe!B1: it reads a sheet that is left out"]
    package = Package.open(tmp_path / "copy.xlsx")
    changed = patched(package, {"Recipe": {(1, 1): Constant(200)}})
    before, after = (evaluate(p, without_functions=True).values["Recipe"] for p in (package, changed))
    assert before[1, 2] == 4 and after[1, 2].kind == "#N/A" and after[1, 3] == 100


def test_a_formula_that_passes_over_errors_may_hang_on_very_many_values(tmp_path):
    """COUNTIF does not show that one of 900 values no longer holds, so it is #N/A with any of them."""
    book = Workbook()
    recipe, costs = book.active, book.create_sheet("Costs")
    recipe.title = "Recipe"
    for row in range(1, 901):
        recipe[f"A{row}"], costs[f"A{row}"] = row, 2
        recipe[f"B{row}"] = f"=A{row}*Costs!A{row}"
    recipe["C1"] = '=COUNTIF(B1:B900,">1000")'
    book.save(tmp_path / "book.xlsx")
    share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=["Costs"])
    package = Package.open(tmp_path / "copy.xlsx")
    changes = [{}, {(900, 1): Constant(3)}, {(1, 1): Constant(3)}]
    books = [patched(package, {"Recipe": change}) if change else package for change in changes]
    before, *after = (evaluate(b, without_functions=True).values["Recipe"][1, 3] for b in books)
    assert before == 400 and [value.kind for value in after] == ["#N/A", "#N/A"]


def test_long_texts_and_line_breaks_are_kept(tmp_path):
    book = Workbook()
    book.active["A1"], book.active["A2"] = "x" * 600 + '\nand "more"', 5
    book.active["B1"] = '=TC_EXPLAIN("TC_EXTRA",A2,0.5)&A1'
    book.save(tmp_path / "book.xlsx")
    report = share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx")
    assert len(report.watched) == 1
    expected = evaluate(tmp_path / "book.xlsx").values["Sheet"][1, 2]
    assert evaluate(tmp_path / "copy.xlsx", without_functions=True).values["Sheet"][1, 2] == expected
