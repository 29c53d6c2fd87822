"""A density in g/mL, never in kg/m³."""

import pytest
import tarecell
from tarecell.functions.densities import Density


@pytest.mark.parametrize(
    "call",
    [
        ("TC_CONVERT", 100.0, "mL", "g"),
        ("TC_AMOUNT", "1 cup", "g"),
        ("TC_FILL", 100.0, "mL"),
        ("TC_WAX", 100.0, "mL"),
        ("TC_UNIT_COST", 6.0, 1.0, "L", "g", 0.0),
    ],
)
@pytest.mark.parametrize("density", [920.0, 8.34, 62.4])  # kg/m³, pounds a US gallon, pounds a cubic foot
def test_other_units_of_density_are_refused_everywhere(call, density):
    with pytest.raises(tarecell.CellError) as caught:
        tarecell.call(*call, density)
    assert caught.value.kind == "#NUM!"
    assert "g/mL" in caught.value.reason


def test_from_a_froth_to_zinc_oxide():
    assert Density().read(0.05) == 0.05
    assert Density().read(5.6) == 5.6
    assert Density(default=None).read(None) is None


def test_negative_and_blank():
    for raw, kind in ((-1.0, "#NUM!"), (None, "#VALUE!"), (0.0, "#VALUE!")):
        with pytest.raises(tarecell.CellError) as caught:
            Density().read(raw)
        assert caught.value.kind == kind
