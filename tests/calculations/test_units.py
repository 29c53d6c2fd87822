"""Conversions: there and back, through any middle unit, and clear refusals where two units do not go together."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import units
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import rows

WORDS = [row["words"].split("|")[0] for row in rows("units")]
BY_DIMENSION = {}
for _word in WORDS:
    BY_DIMENSION.setdefault(units.unit(_word).dimension, []).append(_word)
VALUE = st.floats(1e-6, 1e6)
DENSITY = st.floats(0.3, 3.0)


def three_of_one_dimension():
    return st.sampled_from(sorted(BY_DIMENSION)).flatmap(lambda d: st.tuples(*[st.sampled_from(BY_DIMENSION[d])] * 3))


@settings(max_examples=60, deadline=None)
@given(VALUE, three_of_one_dimension())
def test_there_and_back_and_through_any_middle_unit(value, words):
    start, middle, end = words
    direct = units.convert(value, start, end)
    assert units.convert(direct, end, start) == pytest.approx(value, rel=1e-12, abs=1e-11)
    through = units.convert(units.convert(value, start, middle), middle, end)
    # A temperature near 0 of one scale is hundreds in another: the last digits of those are what is left.
    assert through == pytest.approx(direct, rel=1e-12, abs=1e-10 if units.factor(start, end) is None else 0)


@settings(max_examples=60, deadline=None)
@given(VALUE, st.sampled_from(BY_DIMENSION["mass"]), st.sampled_from(BY_DIMENSION["volume"]), DENSITY)
def test_weight_to_volume_and_back(value, weight, volume, density):
    there = units.convert(value, weight, volume, density)
    assert units.convert(there, volume, weight, density) == pytest.approx(value, rel=1e-12)
    in_ml = units.convert(value, weight, "g") / density
    assert units.convert(there, volume, "mL") == pytest.approx(in_ml, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(VALUE, VALUE, three_of_one_dimension())
def test_conversion_keeps_the_order(a, b, words):
    if a < b:
        assert units.convert(a, words[0], words[1]) <= units.convert(b, words[0], words[1])


def test_every_word_finds_its_own_unit_however_it_is_typed():
    for row in rows("units"):
        words = row["words"].split("|")
        for word in words:
            for typed in (word, word.upper(), word.lower(), f"  {word} ", word.replace(" ", "  ")):
                assert units.unit(typed).word == words[0], typed
    assert units.unit("fl. oz.").word == "fl oz"
    assert units.unit("FL OZ").word == units.unit("floz").word == units.unit("fl-oz").word


def test_words_that_are_read_in_two_ways_are_not_guessed():
    for word in ("t", "T", "gr", "ton", "pinch", "dash", "drop", "2", "%", "µ", ""):
        with pytest.raises(NotFound):
            units.unit(word)


def test_what_pint_would_read_otherwise_is_curated():
    """pint reads G as gauss, Ml as megalitre and pinch as a pico-inch."""
    assert units.convert(1, "G", "kg") == 0.001
    assert units.convert(1, "Ml", "L") == units.convert(1, "ML", "L") == 0.001
    assert units.convert(1, "MG", "g") == 0.001


@pytest.mark.parametrize(
    ("start", "end", "told"),
    [
        ("oz", "mL", "write “fl oz” if fluid ounces were meant"),
        ("fl oz", "g", "write “oz” if the weight was meant"),
        ("g", "cup", "give the density in g/mL"),
        ("g", "C", "one cannot become the other"),
        ("each", "g", "one cannot become the other"),
        ("cm", "mL", "one cannot become the other"),
    ],
)
def test_units_that_do_not_go_together(start, end, told):
    with pytest.raises(OutOfRange, match=told):
        units.convert(1, start, end)


@pytest.mark.parametrize("zero", [(-273.15, "C"), (-459.67, "F"), (0.0, "K")])
def test_absolute_zero_is_the_least(zero):
    value, word = zero
    assert units.convert(value, word, "K") == pytest.approx(0, abs=1e-12)
    with pytest.raises(OutOfRange, match="below absolute zero"):
        units.convert(value - 0.001, word, "C")


def test_temperatures_that_makers_meet_are_exact():
    assert units.convert(122, "F", "C") == 50
    assert units.convert(50, "C", "F") == 122
    assert units.convert(32, "F", "C") == 0
    assert units.convert(-40, "C", "F") == -40
    assert units.convert(212, "F", "C") == 100


def test_every_density_lies_in_its_published_range():
    for row in rows("densities"):
        assert units.density(row["material"].upper()) == float(row["density"])
        if row["low"]:
            assert float(row["low"]) <= float(row["density"]) <= float(row["high"])
    with pytest.raises(NotFound, match="nearest: water"):
        units.density("watr")
