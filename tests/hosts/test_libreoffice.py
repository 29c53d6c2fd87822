"""The functions inside real LibreOffice Calc: every example of every record, and the files that Calc saves."""

import datetime
import re
import zipfile

import openpyxl
import pytest
import tarecell
from hosts import conformance
from hosts.calc import wizard_faults
from tarecell.functions import REGISTRY
from tarecell.functions.records import DATE
from tarecell.hosts.libreoffice.cells import needs_document

pytestmark = pytest.mark.xdist_group("calc")  # one worker, one Calc


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_every_example_in_calc(name, examples):
    cases, value_at, _ = examples
    mine = [case for case in cases if case.record.name == name]
    assert len(mine) >= 3
    assert conformance.differences(mine, value_at) == []


def test_saving_as_xlsx_keeps_formulas_and_values(examples, calc):
    cases, _, saved = examples
    formulas = openpyxl.load_workbook(saved[".xlsx"])[conformance.CALLS]
    values = openpyxl.load_workbook(saved[".xlsx"], data_only=True)[conformance.CALLS]
    for case in cases:
        written = formulas.cell(case.row, conformance.FIRST_COLUMN).value
        text = getattr(written, "text", written)
        assert re.match(r"=?" + case.record.name + r"\(", text), f"{case.name} was saved as {text}"

    def value_at(row, column):
        value = values.cell(row, column).value
        return conformance.Failed(value) if values.cell(row, column).data_type == "e" else value

    assert conformance.differences(cases, value_at) == []


def test_saving_as_ods_keeps_formulas_and_values(examples, calc, tmp_path):
    cases, _, saved = examples
    content = zipfile.ZipFile(saved[".ods"]).read("content.xml").decode()
    kept = set(re.findall(r'table:formula="of:=TARECELL\.(TC_[A-Z0-9_]+)\(', content))
    assert kept == {case.record.name for case in cases}
    again = calc.read(saved[".ods"], save_as=[tmp_path / "again.xlsx"])
    assert conformance.differences(cases, conformance.values_of(again)) == []
    sheet = openpyxl.load_workbook(tmp_path / "again.xlsx")[conformance.CALLS]
    for case in cases:
        written = sheet.cell(case.row, conformance.FIRST_COLUMN).value
        assert getattr(written, "text", written).lstrip("=").startswith(f"{case.record.name}(")


def _has_serial_dates(example, record):
    """Whether an example gives or gets a date as a serial number, which means another day in another date system."""
    dated = [raw for argument, raw in zip(record.arguments, example.args, strict=False) if argument.dated]
    return any(isinstance(raw, (int, float)) for raw in dated) or (
        record.result == DATE and isinstance(example.gives, (int, float))
    )


def test_dates_of_the_1904_system(calc, tmp_path):
    """The same examples where day 0 is 1904-01-01: the functions are told by the document."""
    epoch = datetime.date(1904, 1, 1)
    records = [record for record in REGISTRY.values() if needs_document(record)]
    serial = {id(e) for record in records for e in record.examples if _has_serial_dates(e, record)}
    cases = conformance.write(tmp_path / "1904.xlsx", records, epoch, wanted=lambda e: id(e) not in serial)
    assert {case.record for case in cases} == set(records)
    assert conformance.differences(cases, conformance.values_of(calc.read(tmp_path / "1904.xlsx"))) == []


def test_error_cells_among_the_arguments(calc, tmp_path):
    """An error cell goes on as itself; one inside a range stops the call with a code that is #VALUE! once saved."""
    sheet = {
        "A1": "=1/0", "A2": "=NA()", "B1": 2.0, "B2": "=1/0", "B3": 3.0,
        "D1": "=TC_TOP_UP(A1;1)", "D2": "=TC_TOP_UP(500;A2)", "D3": "=TC_SHARES(B1:B3)",
        "D4": "=IFERROR(TC_SHARES(B1:B3);-1)", "D5": '=TC_EXPLAIN("TC_TOP_UP";A1;1)', "D6": "=SUM(D1:D3)",
        "D7": "=TC_TOP_UP(1;2;3)",
    }  # fmt: skip
    cells = calc.read(enter={"Sheet1": sheet}, save_as=[tmp_path / "saved.xlsx"])["Sheet1"]
    shown = [cells[row, 4].error or cells[row, 4].value for row in range(1, 8)]
    assert shown == ["#DIV/0!", "#N/A", "Err:504", -1.0, "#DIV/0!", "#DIV/0!", "Err:504"]
    saved = openpyxl.load_workbook(tmp_path / "saved.xlsx", data_only=True).active
    assert [saved.cell(row, 4).value for row in (1, 2, 3, 7)] == ["#DIV/0!", "#N/A", "#VALUE!", "#VALUE!"]


def test_formulas_entered_live(calc):
    """Typed, filled as an array, blank rows kept in place, and no stale values after a change."""
    sheet = {
        "A1": 200.0, "A2": 100.0, "A4": 40.0,
        "C1:C4": "=TC_SCALE(A1:A4;510)", "D1": "=TC_TOP_UP(500;487.5)", "E1": "=SUM(C1:C4)", "D2": "=TC_TOP_UP(500;Z9)",
    }  # fmt: skip
    cells = calc.read(enter={"Sheet1": sheet})["Sheet1"]
    assert [cells[row, 3].value for row in (1, 2, 3, 4)] == pytest.approx([300.0, 150.0, "", 60.0])
    assert cells[1, 4].value == 12.5
    assert cells[1, 5].value == pytest.approx(510.0)
    assert cells[2, 4].error == "#VALUE!"


def test_the_wizard_shows_every_function_with_its_arguments(calc):
    assert wizard_faults(calc.wizard()) == []


def test_the_version_names_calc_and_all_versions(calc):
    told = calc.read(enter={"Sheet1": {"A1": "=TC_VERSION()"}})["Sheet1"][1, 1].value
    office = calc.office.version_text.replace(".", r"\.")
    version = tarecell.__version__.replace(".", r"\.")
    assert re.fullmatch(rf"Tarecell {version} · LibreOffice Calc {office}(\.\d+)* · Python 3\.\d+\.\d+", told)
