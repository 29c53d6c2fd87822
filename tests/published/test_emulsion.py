"""Emulsions against published worked examples."""

import math

import tarecell

# OCL 2022, ocl210096, tables 4 and 5: percent of the emulsion, and required HLB
OILS = {
    "beeswax": (1.5, 12.0),
    "isopropyl myristate": (7.5, 11.5),
    "glyceryl monostearate": (7.5, 3.8),
    "stearic acid": (12.5, 15.0),
    "seed oil": (5.0, 6.2),
}


def test_required_hlb_of_the_published_cream():
    amounts, needs = zip(*OILS.values(), strict=True)
    found = tarecell.call("TC_REQUIRED_HLB", list(amounts), list(needs))
    assert math.isclose(found, 10.33, abs_tol=0.005)  # printed to two decimals


def test_emulsifiers_of_the_published_cream():
    # 3.0 % of polysorbate 80 (HLB 15) and sorbitan stearate (4.7): 1.64 and 1.36, printed to two decimals
    low, high = tarecell.call("TC_EMULSIFIER_SPLIT", 10.33, 4.7, 15.0, 3.0)
    assert math.isclose(high, 1.64, abs_tol=0.005) and math.isclose(low, 1.36, abs_tol=0.005)


def test_glyceryl_monostearate():
    # Griffin's example, S 161 and A 198, HLB 3.7 (from memory); printed to one decimal
    assert math.isclose(tarecell.call("TC_HLB", 161.0, 198.0), 3.7, abs_tol=0.05)


def test_an_ester_of_a_pure_acid():
    # Independent of HLB tables: for one fatty acid on one polyol, S/A is the acid's share of the ester's weight
    # (molar masses by molmass), so HLB is a fifth of the polyol part in percent. Glyceryl monostearate C21H42O4.
    from molmass import Formula

    acid, ester = Formula("C18H36O2").mass, Formula("C21H42O4").mass
    potash = Formula("KOH").mass * 1000
    found = tarecell.call("TC_HLB", potash / ester, potash / acid)
    assert math.isclose(found, 20 * (ester - acid) / ester, rel_tol=1e-9)
    assert math.isclose(found, 4.13, abs_tol=0.01)
