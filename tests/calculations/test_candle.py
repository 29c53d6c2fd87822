import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import candle
from tarecell.errors import NotFound, OutOfRange, WrongValue

few = settings(max_examples=60, deadline=None)
totals = st.floats(0.1, 100_000)


@few
@given(st.floats(0, 1))
def test_the_two_habits_turn_back_into_each_other(share):
    of_total = tarecell.call("TC_LOAD_OF_TOTAL", share)
    assert 0 <= of_total <= share
    assert tarecell.call("TC_LOAD_OF_WAX", of_total) == pytest.approx(share, abs=1e-12)


@few
@given(totals, st.floats(0, 1))
def test_a_load_on_the_wax_is_that_share_of_the_wax(total, share):
    fragrance, wax = tarecell.call("TC_LOAD", total, share)
    assert fragrance + wax == pytest.approx(total)
    assert fragrance == pytest.approx(wax * share, abs=1e-9)


@few
@given(totals, st.floats(0, 0.99))
def test_both_bases_give_one_pour(total, share):
    of_pour = tarecell.call("TC_LOAD", total, share, "total")
    assert of_pour[0] == pytest.approx(total * share)
    on_wax = candle.load_of_wax(share)
    if on_wax <= 1:
        assert tarecell.call("TC_LOAD", total, on_wax, "wax") == pytest.approx(of_pour)


def test_a_pour_without_wax_is_refused():
    for call in (("TC_LOAD", 100, 1, "total"), ("TC_LOAD_OF_WAX", 1)):
        with pytest.raises(OutOfRange, match="nothing is left for the wax"):
            tarecell.call(*call)


@few
@given(st.floats(1, 5000), st.floats(0.5, 1.2), st.floats(0.01, 1))
def test_wax_is_volume_times_density_times_fill(volume, density, fill):
    grams = tarecell.call("TC_WAX", volume, "mL", density, fill)
    assert grams == pytest.approx(volume * density * fill)
    assert tarecell.call("TC_WAX", volume / 1000, "L", density, fill) == pytest.approx(grams)


def test_a_blank_fill_share_is_a_full_vessel():
    assert tarecell.call("TC_WAX", 200, "mL", 0.9, None) == tarecell.call("TC_WAX", 200, "mL", 0.9, 0) == 180


@pytest.mark.parametrize("unit", ["oz", "g", "C", "cm"])
def test_a_vessel_is_measured_by_volume(unit):
    with pytest.raises(OutOfRange, match="not a unit of volume"):
        tarecell.call("TC_WAX", 200, unit, 0.9)


@few
@given(st.floats(1, 150), st.floats(1, 150))
def test_the_margin_is_a_difference_of_degrees(add, flash):
    margin = tarecell.call("TC_FLASH_MARGIN", add, flash, "C")
    assert margin == pytest.approx(flash - add)
    in_fahrenheit = [tarecell.call("TC_CONVERT", t, "C", "F") for t in (add, flash)]
    assert tarecell.call("TC_FLASH_MARGIN", *in_fahrenheit, "F") == pytest.approx(margin * 1.8, abs=1e-9)
    told = tarecell.call("TC_EXPLAIN", "TC_FLASH_MARGIN", add, flash, "C")
    assert ("WARNING" in told) == (margin <= 0)


def test_a_missing_temperature_has_no_margin():
    for blank in (None, 0, ""):
        with pytest.raises(WrongValue):
            tarecell.call("TC_FLASH_MARGIN", blank, 93, "C")
        with pytest.raises(WrongValue):
            tarecell.call("TC_FLASH_MARGIN", 65, blank, "C")
    with pytest.raises(OutOfRange, match="absolute zero"):
        tarecell.call("TC_FLASH_MARGIN", 65, -300, "C")
    with pytest.raises(NotFound):
        tarecell.call("TC_FLASH_MARGIN", 65, 93, "degrees")
