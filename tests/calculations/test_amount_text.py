"""Written amounts: what people write is read, what can be read in two ways is not guessed."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations import amount_text
from tarecell.calculations.units import convert
from tarecell.errors import CellError, Fault, NotFound, OutOfRange, WrongValue
from tarecell.tables import rows

NO_DIGITS = [
    word
    for row in rows("units")
    if row["dimension"] in ("mass", "volume", "length", "count")
    for word in row["words"].split("|")
    if not any(c.isdigit() for c in word)
]


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("250 g", "g", 250),
        ("250g", "g", 250),
        ("250 G", "g", 250),
        ("1,250.5 g", "g", 1250.5),
        ("1.250,5 g", "g", 1250.5),
        ("1,250,000 g", "g", 1_250_000),
        ("1,25 g", "g", 1.25),
        ("0,125 g", "g", 0.125),
        ("1234.567 g", "g", 1234.567),
        ("1\u202f250 g", "g", 1250),
        ("1\u00a0250 g", "g", 1250),
        ("½ cup", "cup", 0.5),
        ("1½ cups", "cup", 1.5),
        ("1 ½ cups", "cup", 1.5),
        ("1 1/2 cups", "cup", 1.5),
        ("1⁄2 cup", "cup", 0.5),
        ("11/2 cups", "cup", 5.5),
        ("2 1/2 tsp", "tsp", 2.5),
        ("1 1/2lb", "oz", 24),
        ("1 lb 4 oz", "oz", 20),
        ("1lb4oz", "oz", 20),
        ("1 lb, 4 oz", "oz", 20),
        ("1 lb and 4 oz", "oz", 20),
        ("1 lb + 4 oz", "oz", 20),
        ("3 tbsp + 1 tsp", "tsp", 10),
        ("1 cup 2 tbsp 1 tsp", "tsp", 55),
        ("10 fl. oz.", "fl oz", 10),
        ("1 lb 4 oz t", "oz t", 1 * 453.59237 / 31.1034768 + 4),
        ("5′ 3″", "in", 63),
        ("2 dozen", "each", 24),
        ("20 °C", "F", 68),
        ("１２ g", "g", 12),
        ("0 g", "g", 0),
        ("5 kg.", "g", 5000),
    ],
)
def test_amounts_as_people_write_them(text, unit, value):
    assert amount_text.amount(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["1,250 g", "1.250 g", "12,500 g", "999.999 g"])
def test_a_number_that_two_habits_read_differently_names_both_readings(text):
    digits = text.split()[0].replace(",", ".")
    with pytest.raises(WrongValue) as caught:
        amount_text.amount(text, "g")
    assert f"{float(digits):g}" in caught.value.reason and digits.replace(".", "") in caught.value.reason


@pytest.mark.parametrize(
    "text",
    [
        *("2-3 oz", "2 - 3 oz", "2 to 3 oz", "2 oz or 3 g", "10 g–20 oz", "1 lb -4 oz", "10–20 g"),
        *("1 lb 4", "1/2", "½", "250", "1,25", "5 g 3", "1 2 g", "½½ cup", "1//2 g", "1/2/3 g", "1 000,5 g"),
        *("1/0 g", "1. g", "1,2,3 g", "1,250.5.3 g", "1,234,56 g", "5 g,", "5 g +", "1 lb 4 lb", "1 C 2 F"),
        *("", " ", "g", "a little", "about 5 g", "g 5", "+5 g", ".5 g", "زيت 5 جم", "Ⅳ g", "①②g", "x" * 1_000_000),
    ],
)
def test_what_is_no_amount_is_a_wrong_value(text):
    with pytest.raises(WrongValue):
        amount_text.amount(text, "g")


@pytest.mark.parametrize("text", ["3 t", "1 pinch", "5 large oz", "3 cups flour", "2 x 50 g", "5 %", "5²g", "1e3 g"])
def test_unknown_units_are_not_found(text):
    with pytest.raises(NotFound):
        amount_text.amount(text, "g")


@pytest.mark.parametrize("text", ["-5 g", "−5 g", "– 5 g"])
def test_negative_amounts(text):
    with pytest.raises(OutOfRange, match="negative"):
        amount_text.amount(text, "g")


def test_weight_and_volume_meet_only_over_a_density():
    with pytest.raises(OutOfRange, match="fl oz"):
        amount_text.amount("10 fl oz", "g")
    assert amount_text.amount("1 lb 100 mL", "g", 0.9) == pytest.approx(453.59237 + 90)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**7).map(lambda n: n / 100), st.sampled_from(NO_DIGITS), st.sampled_from(["", " ", "  "]))
def test_a_number_and_any_unit_word_are_read_back(value, word, space):
    text = f"{value:,.2f}{space}{word}"
    assert amount_text.amount(text, word) == pytest.approx(value, rel=1e-12)
    other_habit = text[: len(f"{value:,.2f}")].translate(str.maketrans(",.", ".,")) + space + word
    assert amount_text.amount(other_habit, word) == pytest.approx(value, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 99), st.integers(1, 15), st.sampled_from([2, 3, 4, 8, 16]), st.sampled_from(["lb", "cup", "tsp"]))
def test_mixed_fractions_are_read_back(whole, top, bottom, unit):
    assert amount_text.amount(f"{whole} {top}/{bottom} {unit}", unit) == pytest.approx(whole + top / bottom, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 5_000_000).map(lambda n: n / 100))
def test_pounds_and_ounces_are_read_back(grams):
    text = amount_text.pounds_and_ounces(grams)
    assert amount_text.amount(text, "g") == pytest.approx(grams, abs=0.0051 * 28.349523125)
    ounces = text.split(" lb ")[-1].removesuffix(" oz")
    assert 0 <= float(ounces) < 16


PIECES = st.sampled_from(
    [*"0123456789", ".", ",", "/", " ", "½", "⁄", "-", "–", "+", "&", "lb", "oz", "g", "fl oz", "cup", "°C", "and", "²"]
)


@settings(max_examples=60, deadline=None)
@given(st.one_of(st.text(max_size=30), st.lists(PIECES, max_size=14).map("".join)))
def test_no_text_crashes_the_reader(text):
    try:
        value = amount_text.amount(text, "g", 1.0)
    except Fault:
        raise
    except (CellError, OverflowError):  # an overflow is told as #NUM! by the registry
        return
    assert value >= 0
    assert any(c.isnumeric() for c in text)


def test_long_numbers_end_quickly():
    assert amount_text.amount("9" * 190 + " g", "g") == pytest.approx(1e190)
    with pytest.raises(WrongValue, match="no amount is that long"):
        amount_text.amount("9" * 500 + " g", "g")


def test_pounds_and_ounces_carry():
    assert amount_text.pounds_and_ounces(convert(15.999, "oz", "g")) == "1 lb 0 oz"
    assert amount_text.pounds_and_ounces(convert(4.25, "oz", "g")) == "4.25 oz"
    assert amount_text.pounds_and_ounces(0) == "0 oz"
