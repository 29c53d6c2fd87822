"""Candles and melts against definitions; the source stands beside each check."""

import pytest
import tarecell
from scipy import constants


# 1 US fl oz = 29.5735295625 mL (NIST Handbook 44), from scipy.constants; the density 0.9 is a made-up round figure.
def test_a_vessel_in_fluid_ounces():
    millilitres = 8 * constants.fluid_ounce * 1e6
    assert tarecell.call("TC_WAX", 8, "fl oz", 0.9) == pytest.approx(millilitres * 0.9, rel=1e-12)


# Water at 20 °C weighs 0.9982071 g/mL (OpenStax Chemistry, App. E): a litre vessel holds 998.2071 g.
def test_a_litre_of_water():
    assert tarecell.call("TC_WAX", 1, "L", tarecell.call("TC_DENSITY", "water")) == pytest.approx(998.2071, rel=1e-12)


# Mass balance worked by hand: 10 g of fragrance on 100 g of wax is 110 g of pour, 9.0909 % of it (four decimals shown).
# That the trade figures a load on the wax is common practice, no published source.
def test_ten_per_cent_of_the_wax():
    assert tarecell.call("TC_LOAD", 110, 0.1) == pytest.approx([10, 100], rel=1e-12)
    assert tarecell.call("TC_LOAD_OF_TOTAL", 0.1) == pytest.approx(0.090909, abs=5e-7)
    assert tarecell.call("TC_LOAD_OF_WAX", 10 / 110) == pytest.approx(0.1, rel=1e-12)


# A Fahrenheit degree is 5/9 of a Celsius degree (NIST SP 811): 200 °F − 149 °F = 51 °F = 28.333 °C, by scipy.
def test_a_margin_in_both_scales():
    in_celsius = [constants.convert_temperature(t, "F", "C") for t in (149.0, 200.0)]
    margin = tarecell.call("TC_FLASH_MARGIN", 149, 200, "F")
    assert margin == 51
    assert tarecell.call("TC_FLASH_MARGIN", *in_celsius, "C") == pytest.approx(margin * 5 / 9, rel=1e-9)
