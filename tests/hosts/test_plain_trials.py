"""Plain copies as people use them: inputs changed in the original and in the copy, every cell compared.

The copy is recalculated in a real Calc without the extension, and in the embedded engine without the functions. A few
workbooks and changes in every run; PLAIN_TRIALS=40 makes 40 changes in every template, every example and a book of all
functions with all their examples, and leaves out each of their sheets in turn.
"""

import os
from pathlib import Path

import openpyxl
import pytest
from hosts.conftest import started
from hosts.plain_book import Book
from hosts.plain_trials import ONE_CALL, BareCalc, Pair, agrees, within_reach
from tarecell.errors import CellError
from tarecell.functions import REGISTRY
from tarecell.hosts.plain import TRANSLATIONS
from tarecell.workbooks.evaluate import Trials
from tarecell.workbooks.package import Package
from tarecell.workbooks.references import position
from tarecell.workbooks.share import share
from tarecell.workbooks.tour import tour

ROOT = Path(__file__).parents[2]
COUNT = int(os.environ.get("PLAIN_TRIALS", 0))
QUICK = ("cream_batch", "labels_and_batch_record", "season_planner")
SHIPPED = sorted([*(ROOT / "workbook_templates").glob("*.xlsx"), *(ROOT / "examples").glob("*.xlsx")])
BOOKS = [path for path in SHIPPED if COUNT or (path.parent.name == "workbook_templates" and path.stem in QUICK)]
MOST_FORMULAS = 200_000  # computed by the embedded engine in one test: the largest copies get fewer changes there
VALUES = ("TC_PRESERVATIVE_STATUS", "TC_ALLERGENS", "TC_INGREDIENTS", "TC_CAUTIONS", "TC_EXPLAIN", "TC_LIMITED_BY")


BATCH = "Cream batch"
CHANGES = [
    {BATCH: {"C4": 17, "C10": 0.5, "C15": 2.5}, "Plan": {"H5": 0.007, "C14": 0.12}},
    {BATCH: {"C14": "12", "C17": -3}, "Plan": {"H6": 0.4}},  # a text, a negative amount, over the cap
    {BATCH: {"D14": "ozz", "A16": "elsewhere", "C10": 7}, "Prices": {"B4": 0, "D6": 99.5, "C8": "kg"}},
    {"Caps": {"B6": 3.5}, "Parts": {"C12": 2, "D10": 1.75}},
]


@pytest.fixture(scope="module")
def bare():
    """A running Calc without the extension."""
    yield from started(BareCalc)


@pytest.fixture
def engine():
    """The embedded engine without the functions, asked as Calc is."""

    class Engine:
        @staticmethod
        def trials(path, changes, _):
            copy = Trials(Package.open(path), without_functions=True)
            most = max(6, MOST_FORMULAS // len(copy.first.formulas)) if copy.first.formulas else 0
            answers = [copy.first, *map(copy.changed, changes[:most])]
            return [{(s, w): v for s, found in a.values.items() for w, v in found.items()} for a in answers]

    return Engine()


def function_book(folder: Path) -> Path:
    """Functions with their examples, arguments in cells: all that have a plain form, and some that have none."""
    book = Book()
    for name in sorted(TRANSLATIONS):
        for example in [e for e in REGISTRY[name].examples if e.args][: None if COUNT else 1]:
            book.add(name, example.args)
    for name in VALUES:
        example = next(e for e in REGISTRY[name].examples if e.args)
        texts = []
        for value in example.args:
            given = book.put(value)
            first, last = given.cells[0][0], given.cells[-1][-1].rsplit("!")[-1]
            texts.append(first if given.one else f"{first}:{last}")
        book.original.cell(book.row, 1, f"={name}({','.join(texts)})")
        book.row += 3
    book.original.cell(book.row, 1, f'=COUNTIF(A1:A{book.row - 1},"within*")')  # passes over errors
    book.book.remove(book.copy)
    book.book.save(folder / "functions.xlsx")
    return folder / "functions.xlsx"


@pytest.fixture(
    scope="module", params=["functions", *BOOKS], ids=lambda p: p if p == "functions" else f"{p.parent.name}-{p.stem}"
)
def pair(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("pair")
    return Pair.of(function_book(folder) if request.param == "functions" else request.param, folder)


@pytest.mark.parametrize("host", ["bare", "engine"])
def test_the_copy_follows_changes_like_the_original(pair, host, request):
    changes = pair.changes(COUNT or 6, seed=len(pair.inputs))
    found = request.getfixturevalue(host).trials(pair.copy, changes, pair.sheets)
    tried = [{}, *changes][: len(found)]
    wrong = [line for change, copy in zip(tried, found, strict=True) for line in pair.differences(change, copy)]
    assert not wrong, "\n".join(wrong[:10])
    assert len(found) == len(changes) + 1 or len(found) > 6
    assert (pair.report.live_cells > 0 and len(changes) > 0) == pair.has_functions


def test_no_plain_formula_was_given_up(pair):
    """One that does not give the same when a copy is made becomes a value, which the trials could not tell."""
    assert not [str(cell) for cell in pair.report.fixed if "did not give the same" in cell.reason]


@pytest.mark.parametrize("path", BOOKS if COUNT else BOOKS[:1], ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_any_sheet_can_be_left_out(path, tmp_path):
    for sheet in Package.open(path).sheets:
        report = share(path, tmp_path / "copy.xlsx", without=[sheet.name])
        assert f"the sheet “{sheet.name}”" in report.removed


def test_a_trial_types_where_a_person_can():
    """Not into hidden columns of row numbers, formulas' own constants or locked lists; into blank input cells, too."""
    reached = within_reach(ROOT / "workbook_templates" / "gift_set.xlsx")
    assert reached(("Costs", position("A7"))) and reached(("Costs", position("A36")))
    for sheet, cell in (("Costs", "L7"), ("Products", "F7"), ("Lists", "A5"), ("Sets", "A29"), ("Costs", "A300")):
        assert not reached((sheet, position(cell)))
    lifted = within_reach(ROOT / "workbook_templates" / "function_tests.xlsx")
    assert lifted(("Arguments", position("A5")))


def test_kinds_of_errors_are_told_apart():
    assert agrees(CellError("", "#N/A"), CellError("", "#N/A"))
    assert not agrees(CellError("", "#N/A"), CellError("", "#NUM!")) and not agrees(CellError("", "#N/A"), 0.0)
    for text in ("TC_SHARES(A1:A9)", 'IF(LEN(A7)=0,"",TC_UNIT_COST(H7,F7,"g"))', "TC_ROLLUP('My parts'!A1,B2:F9)"):
        assert ONE_CALL.search(text)
    for text in ("TC_LYE(A1:A9)/SUM(B1:B9)", "A1+A2", "TC_BATCH(A1+A2,3)", "IF(A1>2,3,TC_BATCH(A1,3))"):
        assert not ONE_CALL.search(text)


def test_only_last_digits_of_large_numbers_are_let_pass(tmp_path):
    """A wrong number is told, however large the other numbers of the workbook are."""
    book = openpyxl.Workbook()
    book.active.append([2.5, 2, "=A1*B1", "=TC_EXTRA(A1,0.5)", "=C1-A1*B1+A1", "=E1*2", "=D1-A1"])
    book.save(tmp_path / "book.xlsx")
    pair = Pair.of(tmp_path / "book.xlsx", tmp_path)
    change = {("Sheet", (1, 2)): 1e12}
    right = {column: value for (_, column), value in pair.expected(change)["Sheet"].items()}

    def told(**off):
        found = {("Sheet", (1, c)): value + off.get("ABCDEFG"[c - 1], 0) for c, value in right.items()}
        return [line.split(":")[0] for line in pair.differences(change, found)]

    assert told() == []
    assert told(D=1e-8) == ["Sheet!D1"] and told(G=1e-8) == ["Sheet!G1"], "beside large numbers"
    assert told(C=1e4) == ["Sheet!C1"] and told(E=0.02) == ["Sheet!E1"], "more than their last digits"
    assert told(E=0.002) == [] and told(E=0.002, F=0.004) == [], "their last digits, and what is made from them"
    assert told(F=0.004) == ["Sheet!F1"] and told(E=0.002, F=0.1) == ["Sheet!F1"], "more than that"


def test_of_two_wrong_units_the_first_one_counts_in_calc(bare, tmp_path):
    """Calc gives the second of two errors that an operator meets."""
    book = openpyxl.Workbook()
    book.active.append([45, "warm", 50, "g", "=TC_COOL_ENOUGH(A1,B1,C1,D1)", "=TC_COOL_ENOUGH(C1,D1,A1,B1)"])
    book.save(tmp_path / "book.xlsx")
    pair = Pair.of(tmp_path / "book.xlsx", tmp_path)
    (found,) = bare.trials(pair.copy, [], pair.sheets)
    assert not pair.differences({}, found)
    assert [found["Sheet", (1, column)].kind for column in (5, 6)] == ["#N/A", "#NUM!"]


@pytest.fixture(scope="module")
def toured(tmp_path_factory):
    """The tour's workbook and its plain copy."""
    folder = tmp_path_factory.mktemp("tour")
    tour(folder)
    return Pair.of(folder / "little_quay_gift_set.xlsx", folder)


@pytest.mark.parametrize("changes", CHANGES, ids=["other amounts", "wrong ones", "unknown ones", "tables"])
def test_the_copy_of_the_tour_gives_in_calc_what_the_original_gives(bare, toured, changes):
    change = {(sheet, position(a)): value for sheet, cells in changes.items() for a, value in cells.items()}
    before, after = bare.trials(toured.copy, [change], toured.sheets)
    assert not toured.differences({}, before) and not toured.differences(change, after)
    assert toured.report.live_cells > 100


def test_values_go_when_what_they_were_made_from_changes(bare, tmp_path):
    """A preservative that was within its limit is not "within" at ten times the share."""
    pair = Pair.of(function_book(tmp_path), tmp_path)
    formulas = pair.engine.first.formulas
    place = next(p for p, cell in formulas.items() if cell.text.startswith("TC_PRESERVATIVE_STATUS"))
    assert place in pair.watched
    share = next(p for p in _arguments(pair, place) if isinstance(pair.inputs[p], float))
    before, after, again = bare.trials(pair.copy, [{share: 0.5}, {share: pair.inputs[share]}], pair.sheets)
    assert "within" in before[place] and before[place] == again[place]
    assert after[place].kind == "#N/A"
    count = next(p for p, cell in formulas.items() if cell.text.startswith("COUNTIF"))
    assert before[count] == again[count] >= 1 and after[count].kind == "#N/A"


def _arguments(pair: Pair, place):
    areas = pair.engine.first.reads[place]
    return [(a.sheet, a.box[:2]) for a in areas if (a.sheet, a.box[:2]) in pair.inputs]
