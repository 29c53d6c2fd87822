"""Random recipes, caps, parts tables and prices: plain Python, the embedded engine, real Calc and a second
implementation in exact fractions give the same. AGREEMENT_CASES=10000 runs that many, AGREEMENT_SEED=1 others."""

import os
from fractions import Fraction
from random import Random

import pytest
from agreement import cases, compare, exact

PARTS = [["set", "jar", 2.0, 0.5, None], ["set", "mix", 1.0, None, 0.2], ["mix", "wax", 3.0, 0.4, None]]
CASES = int(os.environ.get("AGREEMENT_CASES", 500))
FIRST_SEED = int(os.environ.get("AGREEMENT_SEED", 0)) * 1_000_000


@pytest.mark.xdist_group("calc")
def test_everything_that_computes_gives_the_same(calc):
    compared = compare.Compared()
    for number in range(0, CASES, compare.BATCH):
        compare.batch(Random(FIRST_SEED + number), min(compare.BATCH, CASES - number), calc, compared)
    assert not compared.different, "\n".join(compared.different[:20])
    assert compared.hosts["Calc"] == compared.hosts["embedded engine"] >= compared.hosts["plain Python"] == CASES
    assert compared.functions.keys() == cases.ARGUMENTS.keys()
    assert 0.03 < compared.refused.total() / CASES < 0.3


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("TC_SCALE", lambda amounts, target, step=None: [a and a * Fraction("1.0000000001") for a in amounts]),
        ("TC_FIFO", lambda quantities, costs, used: Fraction(1)),
        ("TC_CAP_STATUS", lambda *_: "within"),
    ],
)
def test_a_difference_is_seen(monkeypatch, name, wrong):
    monkeypatch.setattr(cases, "ARGUMENTS", {name: cases.ARGUMENTS[name]})
    monkeypatch.setitem(exact.FUNCTIONS, name, wrong)
    compared = compare.Compared()
    compare.batch(Random(1), 30, None, compared)
    assert {line.split(":")[0] for line in compared.different} == {"plain Python", "embedded engine"}


# The definitions of exact.py, each on a case worked out by hand.
@pytest.mark.parametrize(
    ("name", "arguments", "expected"),
    [
        ("TC_SCALE", ([1.0, 1.0, 1.0], 100.0, 0.1), [Fraction("33.4"), Fraction("33.3"), Fraction("33.3")]),
        ("TC_CONVERT", (1.0, "cup", "mL"), Fraction("236.5882365")),
        ("TC_CONVERT", (50.0, "C", "F"), Fraction(122)),
        ("TC_PIECES", (0.3, 0.1), Fraction(3)),
        ("TC_PACKS", (1300.0, [1000.0, 500.0, 100.0], [12.0, 7.0, 2.0]), [1, 0, 3]),
        ("TC_ROLLUP", ("set", PARTS), Fraction("2.5")),
        ("TC_PRICE", (6.1, 0.4, 0.0, 0.0, 0.5), Fraction("10.5")),
    ],
)
def test_the_second_implementation(name, arguments, expected):
    assert exact.answer(name, list(arguments)) == expected
