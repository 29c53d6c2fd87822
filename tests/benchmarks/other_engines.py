"""Computes a workbook in another open engine, with the functions of Tarecell put in; run by a Python that has it.

python other_engines.py formulas|pycel BOOK.xlsx LAST_CELL
"""

import sys
import types

import tarecell


def unit_cost(*args):
    """As these engines call it: single values, sometimes as a range or an array of one cell."""
    values = [_single(arg) for arg in args]
    return tarecell.call("TC_UNIT_COST", *[v if isinstance(v, str) else float(v) for v in values])


def _single(raw):
    raw = getattr(raw, "value", raw)
    return raw.ravel()[0] if hasattr(raw, "ravel") else raw


def with_formulas(path, cell):
    import formulas

    formulas.get_functions()["TC_UNIT_COST"] = unit_cost
    found = formulas.ExcelModel().loads(path).finish().calculate()
    name = path.rsplit("/", 1)[-1]
    return next(v.value[0, 0] for k, v in found.items() if k.upper() == f"'[{name}]PRICES'!{cell}".upper())


def with_pycel(path, cell):
    from pycel import ExcelCompiler

    module = types.ModuleType("tarecell_functions")
    module.tc_unit_cost = unit_cost
    sys.modules[module.__name__] = module
    compiler = ExcelCompiler(filename=path, plugins=(module.__name__,))
    for row in range(1, int(cell[1:]) + 1):
        compiler.evaluate(f"Prices!G{row}")
    compiler.recalculate()  # until then it shows what the file says
    return compiler.evaluate(f"Prices!{cell}")


if __name__ == "__main__":
    engine, book, last = sys.argv[1:]
    print(float({"formulas": with_formulas, "pycel": with_pycel}[engine](book, last)))
