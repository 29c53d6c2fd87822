"""Single arguments: one rule each for blanks, text, bounds and choices."""

import datetime
import math

import pytest
from tarecell.errors import CellError, OutOfRange, WrongValue
from tarecell.functions.cells import EPOCH_1904
from tarecell.functions.kinds import Cap, Date, Flag, Number, Rest, Share, Text

BLANKS = [None, "", "  ", [[None]], [""]]


def kind_of(argument, raw):
    with pytest.raises(CellError) as caught:
        argument.read(raw)
    assert argument.name in caught.value.reason
    return caught.value.kind


@pytest.mark.parametrize("blank", [*BLANKS, 0, 0.0, False])
def test_blank_and_0_are_one_thing(blank):
    """A host that cannot tell a blank cell from 0 must get the same answer as one that can."""
    assert kind_of(Number("weight", "grams", above=0), blank) == "#VALUE!"
    assert Number("step", "of the scale", default=None, above=0).read(blank) is None
    assert Number("count", "how many").read(blank) == 0
    assert Share("share", "of it").read(blank) == 0
    assert Text("unit", "its unit", default="g").read(blank) == "g"
    assert kind_of(Text("unit", "its unit"), blank) == "#VALUE!"
    assert Flag("rule", "which", default=False).read(blank) is False
    assert kind_of(Date("made", "the day"), blank) == "#VALUE!"


def test_optional_numbers_with_a_default_other_than_0():
    purity = Share("purity", "of the lye", default=1.0, above=0)
    for blank in (None, "", 0.0):
        assert purity.read(blank) == 1.0
    assert purity.read(0.9) == 0.9
    assert kind_of(purity, -0.1) == "#NUM!"


@pytest.mark.parametrize(
    ("argument", "low", "high"),
    [
        (Number("n", "d", above=0), -1, None),
        (Number("n", "d", at_least=0), -1e-9, None),
        (Number("n", "d", at_least=0, at_most=10), -1, 10.001),
        (Share("n", "d"), -0.1, 1.0001),
        (Share("n", "d", at_most=0.99), -0.1, 0.995),
        (Share("n", "d", above=0), -0.1, 2),
    ],
)
def test_bounds(argument, low, high):
    assert kind_of(argument, low) == "#NUM!"
    if high is not None:
        assert kind_of(argument, high) == "#NUM!"
    assert argument.read(0.5) == 0.5
    assert type(argument.read(1 if argument.at_most != 0.99 else 0.5)) is float


@pytest.mark.parametrize("raw", [math.nan, math.inf, -math.inf])
def test_numbers_are_finite(raw):
    for argument in (Number("n", "d"), Share("n", "d"), Number("n", "d", default=None, above=0)):
        assert kind_of(argument, raw) == "#NUM!"


def test_a_share_over_one_says_what_to_type():
    with pytest.raises(OutOfRange, match=r"share: 2 means 200 %; type 2% or 0.02"):
        Share("share", "of it").read(2)


def test_caps():
    cap = Cap("cap", "the cap")
    assert [cap.read(raw) for raw in (0.02, 0, "no restriction", "not stated", None, "", [[0.02]])] == [
        0.02, 0.0, 1.0, None, None, None, 0.02,
    ]  # fmt: skip
    assert kind_of(cap, 2) == "#NUM!"
    assert kind_of(cap, "2%") == "#VALUE!"
    assert kind_of(cap, "#REF!") == "#REF!"


def test_texts_and_choices():
    market = Text("market", "where", "EU", choices=["EU", "US"])
    assert [market.read(raw) for raw in ("eu", " Us ", "", None)] == ["EU", "US", "EU", "EU"]
    with pytest.raises(WrongValue, match="is not one of EU, US"):
        market.read("UK")
    exposure = Text("exposure", "how", choices=["leave-on", "rinse-off"])
    assert [exposure.read(raw) for raw in ("Leave-on", "leave on", "LEAVEON", "rinse–off")] == [
        "leave-on", "leave-on", "leave-on", "rinse-off",
    ]  # fmt: skip
    assert Text("category", "code").read(9.0) == "9"
    assert kind_of(Text("category", "code"), ["9", "12"]) == "#VALUE!"


def test_flags():
    rule = Flag("rule", "which", default=False)
    assert [rule.read(raw) for raw in (True, 1, 1.0, False, 0)] == [True, True, True, False, False]
    assert all(isinstance(rule.read(raw), bool) for raw in (1.0, 0.0, None))
    assert kind_of(rule, 2) == "#VALUE!"
    assert kind_of(rule, "yes") == "#VALUE!"


def test_dates():
    made = Date("made", "the day")
    assert made.read(45352) == datetime.date(2024, 3, 1)
    assert made.read(43890.0, EPOCH_1904) == datetime.date(2024, 3, 1)
    assert kind_of(made, "1 March") == "#VALUE!"
    assert kind_of(made, -5) == "#NUM!"


def test_further_arguments_are_left_as_they_are():
    assert Rest("arguments", "of the call").read("#N/A") == "#N/A"
    assert not Number("n", "d", default=None).required and Number("n", "d").required
