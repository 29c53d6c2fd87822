"""The functions in the embedded engine: every example of every record, and how values go in and out."""

import builtins
import datetime

import pytest
from hosts import conformance
from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.errors import CellError
from tarecell.functions import REGISTRY
from tarecell.functions.kinds import Date
from tarecell.functions.records import COLUMN, DATE, FLAG, PRACTICE, ROW, Record
from tarecell.hosts.embedded import Engine, EngineMissing
from tarecell.hosts.embedded.values import fitted, result
from tarecell.workbooks.evaluate import evaluate

MAC_EPOCH = datetime.date(1904, 1, 1)


def values_of(evaluation):
    """The reader that the conformance table asks for."""
    values = evaluation.values[conformance.CALLS]

    def value_at(row, column):
        value = values.get((row, column))
        return conformance.Failed(value.kind) if isinstance(value, CellError) else value

    return value_at


@pytest.fixture(scope="module")
def examples(tmp_path_factory):
    path = tmp_path_factory.mktemp("embedded") / "examples.xlsx"
    cases = conformance.write(path)
    return cases, evaluate(path)


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_every_example_in_the_embedded_engine(name, examples):
    cases, evaluation = examples
    mine = [case for case in cases if case.record.name == name]
    assert len(mine) >= 3
    assert conformance.differences(mine, values_of(evaluation)) == []


def next_day_record():
    return Record(
        "TC_NEXT_DAY", "The day after.", lambda day: day + datetime.timedelta(days=1), [Date("day", "a day")], DATE,
        [], PRACTICE, lambda result, day: f"{day} + 1",
    )  # fmt: skip


@pytest.mark.parametrize("date1904", [False, True])
def test_dates_are_serial_numbers_of_the_workbooks_own_system(date1904, monkeypatch):
    monkeypatch.setitem(REGISTRY, "TC_NEXT_DAY", next_day_record())
    serial = (datetime.date(2024, 3, 1) - (MAC_EPOCH if date1904 else conformance.EPOCH)).days
    assert cell("TC_NEXT_DAY(A1)", date1904, A1=serial - 1.0) == serial
    assert cell("TC_NEXT_DAY(DATE(2024,2,29))", date1904) == serial
    assert cell('TEXT(TC_NEXT_DAY(A1),"yyyy-mm-dd")', date1904, A1=serial - 1.0) == "2024-03-01"


def test_nothing_of_the_examples_is_left_alone(examples):
    _, evaluation = examples
    assert evaluation.left == {}


def test_every_error_cell_of_the_examples_has_its_reason(examples):
    cases, evaluation = examples
    for case in cases:
        where = case.row, conformance.FIRST_COLUMN
        if isinstance(evaluation.values[conformance.CALLS][where], CellError):
            assert evaluation.reasons[conformance.CALLS, where], case.name


def cell(formula, date1904=False, **given):
    """What a formula in Z9 gives on a sheet with the given cells (A1=…)."""
    from tarecell.workbooks.references import position

    engine = Engine(["S"], date1904)
    for name, value in given.items():
        engine.set_value("S", position(name), value)
    engine.set_formula("S", (9, 26), formula)
    engine.evaluate()
    return engine.value("S", (9, 26))


def kind(value):
    assert isinstance(value, CellError)
    return value.kind


def test_a_blank_single_cell_counts_as_zero():
    assert kind(cell("TC_TOP_UP(A1,1)")) == kind(cell("TC_TOP_UP(0,1)")) == "#VALUE!"
    assert cell("TC_EXTRA(500,A1)") == cell("TC_EXTRA(500,0)") == 0.0


def test_an_argument_left_out_between_commas_takes_its_default():
    assert cell("TC_BATCH(24,50,,)") == cell("TC_BATCH(24,50)")


@pytest.mark.parametrize("error", ["#N/A", "#NUM!", "#VALUE!", "#DIV/0!", "#REF!", "#NULL!"])
def test_an_error_cell_goes_through_as_its_own_kind(error):
    assert kind(cell("TC_TOP_UP(A1,1)", A1=CellError("", error))) == error
    assert kind(cell("TC_TOP_UP(500,A1)+1", A1=CellError("", error))) == error
    # inside a range it is #VALUE! in every host, as Calc cannot tell the kind there
    assert kind(cell("SUM(TC_SCALE(A1:A2,10))", A1=1.0, A2=CellError("", error))) == "#VALUE!"


@pytest.mark.parametrize("error", ["#N/A", "#NUM!", "#VALUE!"])
def test_errors_are_real_ones_for_the_sheet(error):
    call = {"#N/A": 'TC_DENSITY("no such thing")', "#NUM!": "TC_TOP_UP(1,2)", "#VALUE!": 'TC_TOP_UP("a",2)'}[error]
    assert kind(cell(call)) == error
    assert kind(cell(f"SUM({call},1)")) == error
    assert cell(f'IFERROR({call},"caught")') == "caught"
    assert cell(f"ERROR.TYPE({call})") == {"#N/A": 7.0, "#NUM!": 6.0, "#VALUE!": 3.0}[error]


@pytest.mark.parametrize("column", [1, 2])
def test_an_error_in_place_of_a_row_of_two_is_passed_on_from_either(column):
    """As Excel and Calc do: of a single error the engine itself makes #REF!, a cell that is gone."""
    assert cell(f'INDEX(TC_EMULSIFIER_SPLIT("x",10,4.3,16.7),1,{column})').kind == "#VALUE!"
    assert cell(f"INDEX(TC_EMULSIFIER_SPLIT(10,20,4.3,16.7),1,{column})").kind == "#NUM!"
    assert cell(f"IFERROR(INDEX(TC_EMULSIFIER_SPLIT(10,20,4.3,16.7),1,{column}),7)") == 7


def test_blank_rows_come_back_blank_and_add_nothing():
    rows = {"A1": 1.0, "A3": 3.0}
    assert cell("INDEX(TC_SHARES(A1:A3),2)", **rows) == ""
    assert cell("SUM(TC_SHARES(A1:A3))", **rows) == 1.0


def test_text_and_truth_values_come_out_as_they_are():
    assert cell("TC_LB_OZ(453.59237)") == REGISTRY["TC_LB_OZ"].calculation(453.59237)
    assert result(True, FLAG) is True
    assert result((True, 2, None), ROW) == [[True, 2.0, ""]]
    assert result([True, 2, None], COLUMN) == [[True], [2.0], [""]]


def test_version_names_the_engine():
    assert "embedded engine" in cell("TC_VERSION()")


@pytest.mark.parametrize(
    "value",
    [1.5, -0.0, 1e300, 1e-300, 0.1 + 0.2, True, False, "text", "", " a\n b ", "=1+1", "#N/A", "TRUE", "1.0", "_x0041_",
     "<&>\"'", "\x01\r\t", "é😀", "2024-01-01"],
)  # fmt: skip
@pytest.mark.parametrize("late", [False, True])
def test_values_reach_the_engine_as_they_are(value, late):
    engine = Engine(["It's a <sheet> & more"])
    sheet = "It's a <sheet> & more"
    engine.set_formula(sheet, (1, 1), "B1")
    engine.set_formula(sheet, (1, 3), "ISBLANK(B1)")
    if not late:
        engine.set_value(sheet, (1, 2), value)
    engine.evaluate()
    if late:
        engine.set_value(sheet, (1, 2), value)
        engine.evaluate()
    got = engine.value(sheet, (1, 1))
    assert (type(got), got) == (type(value), value)
    assert engine.value(sheet, (1, 3)) is False


@pytest.mark.parametrize("error", ["#N/A", "#NUM!", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#REF!", "#BUSY!"])
def test_typed_in_errors_reach_the_engine(error):
    engine = Engine(["S"])
    engine.set_value("S", (1, 1), CellError("", error))
    engine.set_formula("S", (1, 2), "ISERROR(A1)")
    engine.evaluate()
    assert engine.value("S", (1, 2)) is True


def test_an_unknown_function_gives_no_value_but_a_refusal():
    engine = Engine(["S"])
    assert not engine.knows("TC_NO_SUCH")
    assert not engine.knows("NO.SUCH.FUNCTION")
    assert engine.knows("SUM") and engine.knows("_xlfn.XLOOKUP") and engine.knows("TC_SCALE")


def test_without_the_functions_their_cells_are_name_errors(tmp_path):
    book = Workbook()
    book.active["A1"] = "=TC_TOP_UP(500,400)"
    book.active["A2"] = "=A1+1"
    book.active["A3"] = "=1+1"
    book.save(tmp_path / "a.xlsx")
    values = evaluate(tmp_path / "a.xlsx", without_functions=True).values["Sheet"]
    assert (kind(values[1, 1]), kind(values[2, 1]), values[3, 1]) == ("#NAME?", "#NAME?", 2.0)


def test_a_missing_engine_is_told_in_plain_words(monkeypatch):
    real = builtins.__import__

    def absent(name, *args, **kwargs):
        if name == "formualizer":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", absent)
    with pytest.raises(EngineMissing, match="pip install formualizer"):
        Engine(["S"])


@pytest.mark.parametrize(
    "raw, rows, columns, expected",
    [
        (7.0, 2, 2, [[7.0, 7.0], [7.0, 7.0]]),
        ([[1.0], [2.0]], 2, 2, [[1.0, 1.0], [2.0, 2.0]]),
        ([[1.0, 2.0]], 2, 2, [[1.0, 2.0], [1.0, 2.0]]),
        ([[1.0], [2.0], [3.0]], 2, 1, [[1.0], [2.0]]),
        ([[1.0, None], [2.0, "x"]], 2, 2, [[1.0, 0.0], [2.0, "x"]]),
    ],
)
def test_array_formulas_fill_their_cells(raw, rows, columns, expected):
    assert fitted(raw, rows, columns) == expected


def test_array_formulas_show_na_beyond_their_result():
    assert [row[0] if isinstance(row[0], float) else row[0]["kind"] for row in fitted([[1.0], [2.0]], 3, 1)] == [
        1.0,
        2.0,
        "#N/A",
    ]


FORMULAS = """A1:A4|A1:A4*10|SUM(A1:A4*10)|SUM(-A1:A4)|SUM(A1:A4)*10|SUMPRODUCT(A1:A4*10)|SUMPRODUCT((A1:A4>1)*A1:A4)
ROUND(A1:A4/3,1)|IF(A1:A4>1,5,6)|INDEX(A1:A4,4)|INDEX(A1:A4,3,1)*2|TC_SCALE(A1:A4,150)|TC_SCALE(A1:A4,150)*2
SUM(TC_SCALE(A1:A4,150))|INDEX(TC_SCALE(A1:A4,150),4)|{1,2;3,4}|MAX({1,2;3,4})|MAX(ABS(A1:A4))|SUM(ROUND(A1:A4/3,0))
TC_SHARES(A1:A4*2)|SUM(TC_SHARES(A1:A4)*2)|SUMPRODUCT(TC_SHARES(A1:A4),A1:A4)|LOOKUP(3,A1:A4,A1:A4*2)|MATCH(4,A1:A4*1,0)
COUNTIF(A1:A4,">1")&A1:A4|INDEX(A1:A4*2,3)|SUM(IF(A1:A4>1,A1:A4,0))|MAX(A1:A4-1)|AND(A1:A4>0)|SUM(LEN(A1:A4))|A1:A4&"g"
AVERAGE(A1:A4/2)|TC_PHASE_TOTAL(C1:C4,A1:A4*2,"x")|TEXT(A1:A4,"0.0")|IFERROR(A1:A4/0,A1:A4)|CHOOSE(2,A1:A4,A1:A3)
VLOOKUP(A1:A4,A1:A4,1,FALSE)|SUM(A1:INDEX(A1:A4,2))|TC_TOP_UP(A1:A4,1)|TC_CONVERT(A1:A4,"oz","g")|1/0|TC_TOP_UP(1,2)
IFERROR(TC_TOP_UP(1,2),"c")|SUM(A1:A4,TC_TOP_UP(2,1))|A1:A4%|(A1:A4+1)*2|SUM((A1:A4)*2)|ROUND(TC_SCALE(A1:A4,150),0)"""


@pytest.mark.xdist_group("calc")
@pytest.mark.parametrize("array", [False, True])
def test_ordinary_and_array_formulas_give_what_calc_gives_or_nothing(array, calc, tmp_path):
    """Whatever the engine cannot do as Calc does must be left alone, never be another value."""
    formulas = FORMULAS.replace("\n", "|").split("|")
    book = Workbook()
    for row, grams in enumerate((1, 2, 4, 8), start=1):
        book.active.cell(row, 1, grams)
        book.active.cell(row, 3, "x")
    for i, formula in enumerate(formulas):
        cell = book.active.cell(2, 5 + 2 * i)
        cell.value = ArrayFormula(cell.coordinate, f"={formula}") if array else f"={formula}"
    book.save(tmp_path / "a.xlsx")
    shown, evaluation = calc.read(tmp_path / "a.xlsx")["Sheet"], evaluate(tmp_path / "a.xlsx")
    wrong, computed = [], 0
    for i, formula in enumerate(formulas):
        where = 2, 5 + 2 * i
        if ("Sheet", where) in evaluation.left:
            continue
        computed += 1
        ours, theirs = evaluation.values["Sheet"][where], shown[where]
        ours = ours.kind if isinstance(ours, CellError) else ours
        theirs = theirs.kind if theirs.error else theirs.value
        if ours != (theirs if isinstance(theirs, str) else pytest.approx(theirs, rel=1e-12)):
            wrong.append((formula, ours, theirs))
    assert wrong == []
    assert computed >= (len(formulas) - 8 if array else len(formulas) - 1)
