"""Emulsions: the records."""

from tarecell.calculations import emulsion
from tarecell.functions.columns import Numbers
from tarecell.functions.kinds import Number
from tarecell.functions.records import NUMBER, ROW, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import num

FAMILY = "Emulsions"
_GRIFFIN = "W. C. Griffin, J. Soc. Cosmet. Chem. 1 (1949) 311 and 5 (1954) 249 (references from memory)"
_ROUGH = "Published HLB values are approximate: make a small trial batch and watch it before you rely on it."
_SHOWN = 10


def _emulsifier(name, which):
    doc = f"HLB of the emulsifier with the {which} HLB"
    return Number(name, doc, above=0, at_most=emulsion.EMULSIFIER_HIGHEST)


def _required_shown(result, amounts, hlbs):
    parts = [f"{num(a)} × {num(h)}" for a, h in zip(amounts, hlbs, strict=True)]
    more = f" + … ({len(parts) - _SHOWN} more)" if len(parts) > _SHOWN else ""
    return f"({' + '.join(parts[:_SHOWN])}{more}) ÷ {num(sum(amounts))} = {num(result)}"


def _split_shown(result, required, low_hlb, high_hlb, total):
    low, high = result
    return (
        f"{num(total)} × ({num(required)} − {num(low_hlb)}) ÷ ({num(high_hlb)} − {num(low_hlb)}) = {num(high)} of HLB "
        f"{num(high_hlb)}; the rest, {num(low)}, of HLB {num(low_hlb)}"
    )


register(
    FAMILY,
    [
        Record(
            "TC_REQUIRED_HLB",
            "Required HLB of the oil phase: the mean of the oils' required HLBs by weight.",
            emulsion.required_hlb,
            [
                Numbers("amounts", "amounts of the oils, in any one unit or as shares"),
                Numbers("hlbs", "required HLB of each oil, above 0 to 20", at_most=emulsion.OIL_HIGHEST),
            ],
            NUMBER,
            [
                # OCL 2022, ocl210096, tables 4 and 5: 10.33
                ex([1.5, 7.5, 7.5, 12.5, 5.0], [12.0, 11.5, 3.8, 15.0, 6.2], gives=10.33, within=5e-4),
                ex([1.0, 3.0], [14.0, 10.0], gives=11.0),
                ex([1.0, None, 3.0], [14.0, None, 10.0], gives=11.0),
                ex([0.0, 0.0], [14.0, 10.0], fails="#NUM!"),
                ex([1.0], [25.0], fails="#NUM!"),
                ex([1.0, 3.0], [14.0, None], fails="#VALUE!"),
                ex([1.0, 3.0], [14.0], fails="#VALUE!"),
            ],
            _GRIFFIN,
            _required_shown,
            cautions=_ROUGH,
        ),
        Record(
            "TC_EMULSIFIER_SPLIT",
            "The amounts of the low-HLB and the high-HLB emulsifier (two cells) that together give the required HLB.",
            emulsion.emulsifier_split,
            [
                Number("required", "required HLB of the oil phase", above=0, at_most=emulsion.EMULSIFIER_HIGHEST),
                _emulsifier("low_hlb", "lower"),
                _emulsifier("high_hlb", "higher"),
                Number("total", "amount of both emulsifiers together", above=0),
            ],
            ROW,
            [
                # OCL 2022, ocl210096: 3.0 % of polysorbate 80 (15) and sorbitan stearate (4.7) is 1.64 and 1.36
                ex(10.33, 4.7, 15.0, 3.0, gives=[1.36, 1.64], within=0.005),
                ex(10.0, 5.0, 15.0, 4.0, gives=[2.0, 2.0]),
                ex(15.0, 5.0, 15.0, 4.0, gives=[0.0, 4.0]),
                ex(16.0, 4.7, 15.0, 3.0, fails="#NUM!"),
                ex(10.0, 15.0, 4.7, 3.0, fails="#NUM!"),
                ex(10.0, 4.7, 50.0, 3.0, fails="#NUM!"),
                ex(10.0, 4.7, None, 3.0, fails="#VALUE!"),
            ],
            _GRIFFIN,
            _split_shown,
            cautions=_ROUGH,
        ),
        Record(
            "TC_HLB",
            "HLB of an emulsifier that is a fatty ester, by Griffin's 20 × (1 − S ÷ A).",
            emulsion.hlb,
            [
                Number("saponification", "S, saponification value of the ester in mg KOH per g", above=0),
                Number("acid", "A, acid value of its fatty acid in mg KOH per g", above=0),
            ],
            NUMBER,
            [
                ex(161.0, 198.0, gives=3.7, within=0.015),  # glyceryl monostearate, Griffin's figure from memory
                ex(50.0, 200.0, gives=15.0),
                ex(200.0, 200.0, gives=0.0),
                ex(210.0, 200.0, fails="#NUM!"),
                ex(-50.0, 200.0, fails="#NUM!"),
                ex(161.0, None, fails="#VALUE!"),
            ],
            _GRIFFIN,
            lambda result, saponification, acid: f"20 × (1 − {num(saponification)} ÷ {num(acid)}) = {num(result)}",
            cautions=_ROUGH,
        ),
    ],
)
