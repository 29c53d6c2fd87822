"""Formulas filled down are translated as each of them would be alone."""

import gc
import weakref

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from tarecell.hosts.embedded import Engine, Names, Patterns, Translator, Unsupported
from tarecell.hosts.embedded.tables import TableArea
from tarecell.workbooks.evaluate import evaluate

SHEETS = {"s": "S", "other": "Other"}
NAMES = Names(
    {("", "rate"): "S!$A$1", ("s", "local"): "Other!$B$2:$B$9"},
    {"oils": TableArea("S", (1, 8, 9, 9), ("a", "b"), 1, 0)},
)
ENGINE = Engine(list(SHEETS.values()))
PIECES = [
    "A{r}", "$A{r}", "A$5", "$A$5", "A{p}", "SUM(A{r}:C{r})", "SUM(A$2:A{r})", "SUM($A$1:$A$9)", "A{r}:A{r}",
    "Other!B{r}", "SUM(Other!B$1:B{p})", '"A5"', '"A{r}"', "rate", "SUM(local)", "SUM(A:A)", "SUM($5:$5)", "A$1:A$9",
    "TC_CONVERT(A{r},\"g\",B{r})", "IF(A{r}>A5,1,2)", "XFD{r}", "LOG10(A{r})", "a{r}", "SUM(oils[a])", "A1048576",
    "5{r}", "{{1,2}}", "'Other'!A{r}", "OFFSET(A{r},1,0)", "NOSUCH(A{r})", "A{r}B{r}", "1E{r}", "SUM(5:{r})",
    "SUM(C9:A{r})", "SUM($C{r}:A$1)", "SUM(C:A)",
    "SUM(Other!B{r}:B2)",
]  # fmt: skip
formulas = st.lists(st.sampled_from(PIECES), min_size=1, max_size=3).map("+".join)
rows = st.lists(
    st.sampled_from([2, 4, 5, 6, 9, 10, 11, 99, 100, 999_999, 1_000_000, 1_048_575]), min_size=2, max_size=6
)


def translator():
    return Translator(ENGINE.tokens, ENGINE.knows, SHEETS, NAMES)


def outcome(translate, formula, where, shift, array):
    try:
        found = translate(formula, "S", where, shift, array=array)
    except Unsupported as unsupported:
        return str(unsupported)
    reads = sorted((area.sheet, area.box) for area in found.reads)
    return found.text, reads, found.functions, found.roams, found.sheets


def written(template: str, row: int) -> str:
    return template.replace("{{", "{").replace("}}", "}").replace("{r}", str(row)).replace("{p}", str(row - 1))


@settings(max_examples=60, deadline=None)
@given(formulas, formulas, rows, st.lists(st.booleans(), min_size=6, max_size=6), st.booleans())
def test_down_a_column(first, second, at, other, array):
    patterns, alone = Patterns(translator()), translator()
    for row, odd in zip(at, other, strict=False):
        formula = written(second if odd else first, row)
        wanted = outcome(alone.translate, formula, (row, 4), (0, 0), array)
        assert outcome(patterns.translate, formula, (row, 4), (0, 0), array) == wanted, (formula, row)


@settings(max_examples=60, deadline=None)
@given(formulas, rows, st.integers(-1, 2), st.booleans())
def test_shared_formulas(template, at, right, array):
    patterns, alone = Patterns(translator()), translator()
    origin = at[0]
    formula = written(template, origin)
    for row in at:
        shift = row - origin, 0 if row == origin else right
        where = row, 4 + shift[1]
        wanted = outcome(alone.translate, formula, where, shift, array)
        assert outcome(patterns.translate, formula, where, shift, array) == wanted, (formula, where, shift)


@pytest.mark.parametrize("row", [6, 999_999])
def test_the_formula_above_is_used(row):
    """A translator that is asked a second time would be told of."""
    patterns = Patterns(translator())
    patterns.translate("A5*B$2+SUM(C5:D5)", "S", (5, 6))
    patterns._translator = None
    found = patterns.translate(f"A{row}*B$2+SUM(C{row}:D{row})", "S", (row, 6))
    assert found.text == translator().translate(f"A{row}*B$2+SUM(C{row}:D{row})", "S", (row, 6)).text
    assert sorted(area.box for area in found.reads) == [(2, 2, 2, 2), (row, 1, row, 1), (row, 3, row, 4)]


def test_a_workbook_that_is_done_with_is_given_up():
    """Thousands of workbooks, one after the other, must not pile up in memory."""
    engine = Engine(["S"])
    engine.set_formula("S", (1, 1), 'TC_CONVERT(1,"kg","g")')
    engine.set_formula("S", (1, 2), 'TC_CONVERT(1,"kg","ml")')
    engine.evaluate()
    assert engine.value("S", (1, 1)) == 1000
    assert "volume" in engine.reason("S", (1, 2), engine.value("S", (1, 2)).kind)
    gone = weakref.ref(engine)
    del engine
    gc.collect()
    assert gone() is None


def test_ranges_written_from_their_other_end(tmp_path):
    book = Workbook()
    sheet = book.active
    sheet.title = "S"
    for row in range(1, 6):
        sheet.cell(row, 2, row)
    formulas = ["SUM('S'!$B$5:$B$2)", "SUM(B5:B2)", "INDEX(B1:B5,2)", "TC_RECIPE_COST(B5:B2,B2:B5)", "SUM(C5:B5)"]
    for row, text in enumerate(formulas, 1):
        sheet.cell(row, 4, f"={text}")
    book.save(tmp_path / "book.xlsx")
    evaluation = evaluate(tmp_path / "book.xlsx")
    assert (evaluation.values, evaluation.left) == (
        {"S": {(1, 4): 14, (2, 4): 14, (3, 4): 2, (4, 4): 54, (5, 4): 5}},
        {},
    )
