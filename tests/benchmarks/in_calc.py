"""The functions inside a real Calc: against an add-in function that does nothing, and against native formulas."""

from pathlib import Path

from benchmarks import empty_addin
from benchmarks.measuring import Line, line
from hosts.calc import HERE, Calc

ROWS = 10_000
EMPTY = {"EMPTYTHREE": 3, "EMPTYFOUR": 4, "EMPTYSIX": 6, "EMPTYBACK": 1}
_UNITS = [("lb", "g"), ("oz", "g"), ("g", "oz"), ("kg", "lb")]
_NATIVE_UNITS = [("lbm", "g"), ("ozm", "g"), ("g", "ozm"), ("kg", "lbm")]
_NATIVE_CONVERT = "COM.SUN.STAR.SHEET.ADDIN.ANALYSIS.GETCONVERT"  # CONVERT, as Calc's programming interface calls it
_CATEGORIES = ["1", "2", "3", "4", "5A", "5B", "5C", "9", "10A", "12"]
FRAGRANCES = 500


class ClockedCalc(Calc):
    """Calc with the extension, the empty add-in beside it, and a clock."""

    WORKER = (Path(__file__).with_name("calc_clock.py"), HERE / "calc_worker.py")

    def _packages(self):
        return [*super()._packages(), empty_addin.build(self.folder / "empty.oxt", EMPTY)]

    def sheet(self, name, data, down=(), arrays=()):
        """See calc_clock.py."""
        self._ask("sheet", name=name, data=data, down=down, arrays=arrays)

    def recalculate(self, names, rounds, touched=None):
        return self._ask("recalculate", names=names, rounds=rounds, touched=touched)

    def shown(self, name, address):
        return self._ask("shown", name=name, address=address)

    def close(self, *names):
        for name in names:
            self._ask("close", name=name)


def amounts(rows: int) -> list:
    """Weights in grams down column A, no two neighbours alike."""
    return [(f"A1:A{rows}", [[round(5 + (r * 7919 % 1000) / 7, 2)] for r in range(rows)])]


def conversions(rows: int, units=_UNITS) -> list:
    return [(f"A1:C{rows}", [[1 + r / 8, *units[r % len(units)]] for r in range(rows)])]


def caps(rows: int) -> list:
    """Rows that ask for a cap, and the table of 500 fragrances in F1:P501."""
    table = [["", *_CATEGORIES]]
    table += [[f"Fragrance No {f}", *[(1 + (f * c) % 80) / 1000 for c in range(1, 11)]] for f in range(FRAGRANCES)]
    asked = [[f"Fragrance No {r * 37 % FRAGRANCES}", _CATEGORIES[r % 10]] for r in range(rows)]
    return [(f"A1:B{rows}", asked), (f"F1:P{FRAGRANCES + 1}", table)]


def packs(rows: int) -> list:
    """Price, pack, its unit, the unit of use, freight."""
    return [(f"A1:E{rows}", [[5 + r / 16, 1 + r % 9, "kg", "g", (r % 5) / 2] for r in range(rows)])]


def parts(lines: int = 5000, levels: int = 10) -> list[list]:
    """A parts table: ten lines to an item, two of them made further down where there is a level."""
    items = lines // 10
    level = items // levels
    rows = []
    for i in range(items):
        made = i + level < items
        for k in range(10):
            quantity, name = 1 + (i + k) % 7 / 4, f"Material {(i * 10 + k) % 900}"
            if made and k < 2:
                below = (i // level + 1) * level + (i * 3 + k * 17) % level
                rows.append([f"Item {i}", f"Item {below}", quantity / 8, ""])
            else:
                rows.append([f"Item {i}", name, quantity, 0.01 + (i * k % 50) / 100])
    return rows


PER_ROW = {
    "TC_CONVERT": (conversions, "=TC_CONVERT(A1;B1;C1)", "=EMPTYFOUR(A1;B1;C1)", "D"),
    "TC_UNIT_COST": (
        packs, "=TC_UNIT_COST(A1;B1;C1;D1;E1)", "=EMPTYSIX(A1;B1;C1;D1;E1)", "F",
    ),
    "TC_CAP": (caps, "=TC_CAP($F$1:$P$501;A1;B1)", "=EMPTYTHREE($F$1:$P$501;A1;B1)", "C"),
}  # fmt: skip

WHOLE_COLUMN = {
    "TC_SHARES": ("=TC_SHARES(A1:A{n})", "=A1:A{n}/SUM(A1:A{n})"),
    "TC_SCALE": ("=TC_SCALE(A1:A{n};5000)", "=A1:A{n}*5000/SUM(A1:A{n})"),
    "TC_SCALE to 0.01 g": ("=TC_SCALE(A1:A{n};{n}*90;0.01)", "=ROUND(A1:A{n}*{n}*90/SUM(A1:A{n});2)"),
}


def per_row(calc: ClockedCalc, name: str, rows: int = ROWS, rounds: int = 7) -> Line:
    """One call a row, against the empty function with the same arguments."""
    data, ours, empty, column = PER_ROW[name]
    data = data(rows)
    calc.sheet("ours", data, [(f"{column}1:{column}{rows}", ours)])
    calc.sheet("empty", data, [(f"{column}1:{column}{rows}", empty)])
    _worked(calc, f"{column}1:{column}{rows}", name)
    found = line(
        f"{name}, {rows:,} rows", "empty add-in function", calc.recalculate(["ours", "empty"], rounds),
        at_most=1.5,
    )  # fmt: skip
    calc.close("ours", "empty")
    return found


def whole_column(calc: ClockedCalc, name: str, rows: int = ROWS, rounds: int = 9) -> Line:
    """One call for all rows, against the native array formula."""
    ours, native = (formula.format(n=rows) for formula in WHOLE_COLUMN[name])
    calc.sheet("ours", amounts(rows), arrays=[(f"B1:B{rows}", ours)])
    calc.sheet("native", amounts(rows), arrays=[(f"B1:B{rows}", native)])
    _worked(calc, f"B1:B{rows}", name)
    found = line(
        f"{name}, {rows:,} rows", "native array formula", calc.recalculate(["ours", "native"], rounds),
        at_most=3,
    )  # fmt: skip
    calc.close("ours", "native")
    return found


def handed_back(calc: ClockedCalc, rows: int = ROWS, rounds: int = 15) -> Line:
    """An add-in function in Python that gives its range back as it came: what carrying the cells costs."""
    calc.sheet("ours", amounts(rows), arrays=[(f"B1:B{rows}", f"=EMPTYBACK(A1:A{rows})")])
    calc.sheet("native", amounts(rows), arrays=[(f"B1:B{rows}", f"=A1:A{rows}/SUM(A1:A{rows})")])
    _worked(calc, f"B1:B{rows}", "EMPTYBACK")
    found = line(
        f"an add-in function that gives its range back, {rows:,} rows", "native array formula",
        calc.recalculate(["ours", "native"], rounds),
    )  # fmt: skip
    calc.close("ours", "native")
    return found


def growth(calc: ClockedCalc, name: str, sizes: tuple[int, ...], rounds: int = 3) -> list[str]:
    """Microseconds a row, by the number of rows: the same all along where the cost is linear."""
    found = []
    for rows in sizes:
        if name == "TC_ROLLUP":
            calc.sheet("ours", [(f"A1:D{rows}", parts(rows))], [("F1:F1", f'=TC_ROLLUP("Item 0";A1:D{rows})')])
        elif name in PER_ROW:
            data, ours, _, column = PER_ROW[name]
            calc.sheet("ours", data(rows), [(f"{column}1:{column}{rows}", ours)])
        else:
            ours = WHOLE_COLUMN[name][0].format(n=rows)
            calc.sheet("ours", amounts(rows), arrays=[(f"B1:B{rows}", ours)])
        times = calc.recalculate(["ours"], rounds, touched="D5" if name == "TC_ROLLUP" else None)
        calc.close("ours")
        found.append(f"{min(t for (t,) in times) / rows * 1e6:.1f}")
    return found


def rollup(calc: ClockedCalc, lines: int = 5000, rounds: int = 7) -> Line:
    """A parts table ten levels deep in which a price changes, against a column of SUMIFs that adds up the same cost."""
    data = [(f"A1:D{lines}", parts(lines))]
    end = lines + 1  # the row below the table, so that the last line has something below it too
    native = f'=C1*IF(D1="";SUMIF(A2:A${end};B1;E2:E${end});D1)'
    calc.sheet("ours", data, [("F1:F1", f'=TC_ROLLUP("Item 0";A1:D{lines})')])
    calc.sheet("native", data, [(f"E1:E{lines}", native), ("F1:F1", f'=SUMIF(A1:A{lines};"Item 0";E1:E{lines})')])
    _same(calc, "F1")
    found = line(
        f"TC_ROLLUP, {lines:,} lines, 10 levels, one price changed", "the same sum in SUMIFs",
        calc.recalculate(["ours", "native"], rounds, touched="D5"),
    )  # fmt: skip
    _same(calc, "F1")
    calc.close("ours", "native")
    return found


def convert_against_native(calc: ClockedCalc, rows: int = ROWS, rounds: int = 9) -> Line:
    """TC_CONVERT against the spreadsheet's own CONVERT."""
    column = f"D1:D{rows}"
    calc.sheet("ours", conversions(rows), [(column, PER_ROW["TC_CONVERT"][1])])
    calc.sheet("native", conversions(rows, _NATIVE_UNITS), [(column, f"={_NATIVE_CONVERT}(A1;B1;C1)")])
    _same(calc, f"D{rows}", 1e-6)
    found = line(
        f"TC_CONVERT in Calc, {rows:,} rows", "Calc's own CONVERT", calc.recalculate(["ours", "native"], rounds)
    )
    calc.close("ours", "native")
    return found


def _same(calc: ClockedCalc, address: str, within: float = 1e-9) -> None:
    """What is quick must also be right."""
    ours, theirs = (calc.shown(name, address)[0][0] for name in ("ours", "native"))
    if not (isinstance(ours, float) and isinstance(theirs, float) and abs(ours - theirs) <= within * theirs):
        raise AssertionError(f"{address}: Tarecell gives {ours}, the native formula {theirs}")


def _worked(calc: ClockedCalc, address: str, name: str) -> None:
    """An error would be quick, and worth nothing."""
    if not all(isinstance(cell, float) for row in calc.shown("ours", address) for cell in row):
        raise AssertionError(f"{name} gave an error in the benchmark's own sheet")
