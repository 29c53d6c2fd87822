import pytest
import tarecell
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import bath
from tarecell.errors import NotFound, OutOfRange, WrongValue
from tarecell.tables import rows

few = settings(max_examples=60, deadline=None)
ACIDS = [row["acid"] for row in rows("fizz_acids")]
acid_names = st.sampled_from(ACIDS)
weights = st.floats(0.1, 10_000)


@few
@given(weights, acid_names, st.floats(0, 0.99))
def test_acid_and_soda_balance_back_to_the_spare_share(soda, acid, spare):
    needed = tarecell.call("TC_FIZZ_ACID", soda, acid, spare)
    assert tarecell.call("TC_SODA_LEFT", soda, [acid], [needed]) == pytest.approx(spare, abs=1e-12)


@few
@given(weights, st.lists(st.tuples(acid_names, weights), min_size=1, max_size=4))
def test_soda_left_falls_by_each_acid_s_own_part(soda, mix):
    acids, amounts = zip(*mix, strict=True)
    left = bath.soda_left(soda, acids, amounts)
    parts = sum(1 - bath.soda_left(soda, [a], [w]) for a, w in mix)
    assert left == pytest.approx(1 - parts, rel=1e-9, abs=1e-9)


@few
@given(weights, weights, acid_names, st.floats(0.1, 20))
def test_gas_is_proportional_and_limited_by_what_runs_out(soda, acid_weight, acid, times):
    gas = bath.fizz_gas(soda, [acid], [acid_weight])
    assert bath.fizz_gas(soda * times, [acid], [acid_weight * times]) == pytest.approx(gas * times)
    needed = bath.fizz_acid(soda, acid)
    everything = bath.fizz_gas(soda, [acid], [needed])
    assert gas <= everything * (1 + 1e-12)
    assert gas == pytest.approx(everything * min(1, acid_weight / needed))


@few
@given(weights, acid_names, st.floats(1, 99))
def test_gas_swells_with_its_absolute_temperature(soda, acid, celsius):
    warm = bath.fizz_gas(soda, [acid], [soda], celsius)
    assert warm / bath.fizz_gas(soda, [acid], [soda], celsius + 1) == pytest.approx(
        (celsius + 273.15) / (celsius + 274.15)
    )


def test_a_blank_celsius_is_25():
    assert tarecell.call("TC_FIZZ_GAS", 100, ["citric"], [80], 0) == tarecell.call("TC_FIZZ_GAS", 100, ["citric"], [80])
    for outside in (-5, 104):
        with pytest.raises(OutOfRange):
            tarecell.call("TC_FIZZ_GAS", 100, ["citric"], [80], outside)


def test_blank_rows_are_skipped_and_half_blank_ones_are_not():
    whole = tarecell.call("TC_SODA_LEFT", 300, ["citric", "tartaric"], [50, 20])
    assert tarecell.call("TC_SODA_LEFT", 300, ["citric", None, "tartaric"], [50, None, 20]) == whole
    assert tarecell.call("TC_SODA_LEFT", 300, [["citric", "tartaric"]], [[50, 20]]) == whole
    with pytest.raises(WrongValue, match="row 2"):
        tarecell.call("TC_SODA_LEFT", 300, ["citric", "tartaric"], [50, None])


def test_an_unknown_acid_names_the_acids_there_are():
    with pytest.raises(NotFound, match="cream of tartar"):
        bath.fizz_acid(100, "vinegar")


@pytest.mark.parametrize("word", ["citric", "Citric Acid", "anhydrous citric acid"])
def test_plain_citric_is_the_anhydrous_acid(word):
    assert bath.fizz_acid(100, word) == bath.fizz_acid(100)


def test_left_over_acid_is_told_with_the_soda_that_is_missing():
    told = tarecell.call("TC_EXPLAIN", "TC_SODA_LEFT", 100.0, ["citric"], [100.0])
    assert "acid is left over" in told and "31.1759 g more soda" in told
