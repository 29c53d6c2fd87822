"""Real Calc with a German interface: our names stay English, numbers and separators are the person's own."""

from dataclasses import replace

import pytest
from hosts import conformance
from hosts.calc import wizard_faults

pytestmark = pytest.mark.xdist_group("calc")

SIGNS = {"#NV": "#N/A", "#ZAHL!": "#NUM!", "#WERT!": "#VALUE!"}  # the errors' German signs


def in_english(sheets):
    """What was read, with the errors' English signs."""

    def sign(cell):
        return replace(cell, error=SIGNS.get(cell.error, cell.error.replace("Fehler:", "Err:")))

    return {name: {place: sign(cell) for place, cell in cells.items()} for name, cells in sheets.items()}


def test_this_calc_is_german(german_calc):
    labels = [german_calc.label(f".uno:{command}") for command in ("Undo", "FillDown", "FunctionDialog")]
    assert [label.replace("~", "") for label in labels] == ["Rückgängig", "Nach unten", "Funktion…"]


def test_typed_with_decimal_commas_and_semicolons(german_calc):
    with german_calc.person() as me:
        me.type("A1", "2,5", "0,5", '=TC_CONVERT(2,5;"oz";"g")', "=TC_SCALE(A1:A2;600,6)", "=SUMME(TC_SHARES(A1:A2))")
        me.type("B1", '=WENN(TC_EXTRA(500;0,02)=10;"ja";"nein")', "=TC_EXTRA(500;2)")
        me.type("B3", "=TC_READY(DATUM(2026;1;1);28)")
        assert me.shown("A1:A2") == [2.5, 0.5]
        assert me.shown("A3:A5") == pytest.approx([70.8738078125, 500.5, 1.0])  # 2.5 × 28.349523125 g
        assert me.formulas("A3:A4") == ['=TC_CONVERT(2,5;"oz";"g")', "=TC_SCALE(A1:A2;600,6)"]
        assert me.shown("B1:B2") == ["ja", "#ZAHL!"]
        assert me.formulas("B2:B3") == ["=TC_EXTRA(500;2)", "=TC_READY(DATUM(2026;1;1);28)"]
        me.type("A1", "1,5")
        assert me.shown("A4") == pytest.approx([450.45])
        me.do("Undo")
        assert me.shown("A4") == pytest.approx([500.5])


def test_the_wizard_is_complete(german_calc):
    assert wizard_faults(german_calc.wizard()) == []


@pytest.mark.parametrize("ending", [".xlsx", ".ods"])
def test_files_saved_in_english_hold_the_same_in_german(examples, german_calc, ending):
    cases, _, saved = examples
    assert conformance.differences(cases, conformance.values_of(in_english(german_calc.read(saved[ending])))) == []


def test_files_saved_in_german_hold_the_same_in_english(examples, calc, german_calc, tmp_path):
    cases, _, saved = examples
    german_calc.read(saved[".xlsx"], save_as=[tmp_path / "german.ods"])
    assert conformance.differences(cases, conformance.values_of(calc.read(tmp_path / "german.ods"))) == []
