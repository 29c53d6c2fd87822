"""Formulas filled down are handed to the engine together: they give what each of them would alone."""

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.hosts.embedded import Patterns
from tarecell.workbooks.evaluate import Trials, evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.row_shape import Shapes

FORMULAS = [
    "A{r}*2", "A{r}*2", "SUM(A$1:A{r})", "$B$1+A{r}", "A{p}+1", "IF(A{r}>5,\"above 5\",B{r})", "C{r}&\"\"", "1/A{r}",
    "TC_CONVERT(A{r},\"kg\",\"g\")", "TC_CONVERT(A{r},B{r},\"g\")", "SUBTOTAL(109,A1:A{r})", "NOSUCH(A{r})", "A5+{r}",
    "TC_TOP_UP(A{r},A{r}-B$2)", "'It''s more'!A{r}", "INDIRECT(\"A\"&{r})", "[1]Book!A{r}",
]  # fmt: skip
TYPED = st.sampled_from([0, 1, 2.5, -3, 1e300, "kg", "", "lb", True])
columns = st.lists(st.tuples(st.sampled_from(FORMULAS), st.sampled_from(["", "array", "one"])), min_size=1, max_size=4)


def made(path, given_columns, typed, others, hidden):
    """Twenty rows: typed-in A and B, formulas from D on. `others`: cells that hold the first column's formula."""
    with xlsxwriter.Workbook(path) as book:
        sheet, more = book.add_worksheet("S"), book.add_worksheet("It's more")
        for r in range(20):
            sheet.write(r, 0, typed[r % len(typed)])
            sheet.write(r, 1, typed[(r * 7 + 1) % len(typed)])
            more.write(r, 0, r)
            for c, (formula, kind) in enumerate(given_columns, 3):
                odd = (r, c) in others
                text = "=" + (given_columns[0][0] if odd else formula).format(r=r + 1, p=max(r, 1))
                if kind == "array" or (kind == "one" and odd):
                    sheet.write_array_formula(r, c, r, c, f"{{{text}}}")
                else:
                    sheet.write_formula(r, c, text)
        if hidden is not None:
            sheet.set_row(hidden, None, None, {"hidden": True})
    return path


def outcome(path, out):
    evaluation = evaluate(path)
    texts = {place: translated.text for place, translated in evaluation.translated.items()}
    trial = Trials(Package.open(path)).changed({("S", (3, 1)): 7.0, ("S", (4, 4)): None})
    report = recalculate(path, out)
    told = report.errors, report.left_alone, report.written, report.changed
    everything = (evaluation.left, evaluation.formulas, evaluation.reasons, texts, evaluation.reads, told)
    return *everything, *map(shown, (evaluation, trial)), Package.open(out).read("xl/worksheets/sheet1.xml")


def shown(evaluation):
    """The values, errors by their kinds."""
    return {
        (sheet, where): getattr(value, "kind", value)
        for sheet, values in evaluation.values.items()
        for where, value in values.items()
    }


@settings(max_examples=25, deadline=None)
@given(
    columns,
    st.lists(TYPED, min_size=1, max_size=9),
    st.sets(st.tuples(st.integers(0, 19), st.integers(3, 6)), max_size=5),
    st.none() | st.integers(0, 19),
)
def test_together_as_alone(tmp_path_factory, given_columns, typed, others, hidden):
    folder = tmp_path_factory.mktemp("filled")
    path = made(folder / "book.xlsx", given_columns, typed, others, hidden)
    together = outcome(path, folder / "together.xlsx")
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Patterns, "above", lambda *_: None)
        patched.setattr(Shapes, "find", lambda *_: None)
        alone = outcome(path, folder / "alone.xlsx")
    for one, other in zip(together, alone, strict=True):
        assert one == other


def test_a_long_column_is_taken_together(tmp_path, monkeypatch):
    path = made(tmp_path / "book.xlsx", [("A{r}*2", ""), ('TC_CONVERT(A{r},"kg","g")', "")], [1.5], set(), None)
    asked = []
    translate = Patterns.translate
    monkeypatch.setattr(Patterns, "translate", lambda *given, **more: asked.append(1) or translate(*given, **more))
    evaluation = evaluate(path)
    assert len(evaluation.translated) == 40 and len(asked) == 2
    assert evaluation.values["S"][20, 4] == 3 and evaluation.values["S"][20, 5] == 1500


def test_findings_are_told_in_the_order_of_the_cells(tmp_path):
    path = made(
        tmp_path / "book.xlsx", [("1/A{r}", ""), ("NOSUCH(A{r})", ""), ("D{r}+1", ""), ("FOO()", "")], [0], set(), None
    )
    report = recalculate(path, tmp_path / "out.xlsx")
    assert [f.cell for f in report.errors] == [f"{c}{r}" for r in range(1, 21) for c in "DF"]
    assert [f.cell for f in report.left_alone] == [f"{c}{r}" for r in range(1, 21) for c in "EG"]
