"""What TC_EXPLAIN says beside a right result must be true of that result."""

import tarecell


def explain(*call):
    return tarecell.call("TC_EXPLAIN", *call)


def test_fragrance_tells_the_share_of_what_is_weighed():
    # 510 g × 3 % is 15.3 g; a scale that reads 10 g weighs 10 g, which is 10 ÷ 510 = 1.96078 % of the batch
    words = explain("TC_FRAGRANCE", 510, 0.03, 0.03, "finished", 10)
    assert "weighed as 10 g; 1.96078 % of the finished product, cap 3 %" in words
    # 15.4 g on top of 500 g: 15.4 ÷ 515.4 = 2.98797 %
    assert "2.98797 % of the finished product" in explain("TC_FRAGRANCE", 500, 0.0309, 0.03, "base", 0.1)


def test_fragrance_without_a_step_tells_the_share_asked_for():
    assert "15 g; 3 % of the finished product" in explain("TC_FRAGRANCE", 500, 0.03, 0.03)
    assert "24 g; 7.40741 % of the finished product" in explain("TC_FRAGRANCE", 300, 0.08, 1, "wax")


def test_an_exact_fit_of_the_other_alkali_is_told_without_a_rounding_hair():
    # a kilogram of a fat of 190 mg KOH per g needs just 190 g of KOH; the same for every fat and whole value here
    for value in range(184, 197):
        words = explain("TC_SUPERFAT", ["olive oil"], [1000], value, "NaOH", 1, [value])
        assert "as KOH the same weight would give 0 %: check which alkali it is" in words, value
