"""Caps tables and parts tables: duplicates, gaps, loops, many levels, with the answer worked out here in fractions."""

import math
from fractions import Fraction
from random import Random

import tarecell
from fuzz import values
from tarecell.errors import CellError, Fault


def _call(*arguments):
    try:
        return tarecell.call(*arguments)
    except Fault as fault:
        raise AssertionError(f"{arguments!r}: {fault.reason}"[:3000]) from fault
    except CellError as error:
        return error


# -- caps --------------------------------------------------------------------------------------------------------------

_FRAGRANCES = (
    "Harbour Fig",
    "Still Pond",
    "Crème Brûlée",
    "Fig & Sea",
    "א ב",
    "🕯️ smoke",
    "Rose-1",
    "Rose 11",
    "Rose1 1",
)
_CODES = ("1", "2", "3", "4", "5A", "5B", "5C", "6", "9", "10A", "11A", "12")


def _otherwise(rng: Random, name: str) -> str:
    """The name as somebody else types it."""
    return rng.choice((name, name.upper(), name.lower(), f"  {name} ", name.replace(" ", "  ")))


def caps(rng: Random) -> None:
    names = rng.sample(_FRAGRANCES, rng.randrange(1, 7))
    codes = rng.sample(_CODES, rng.randrange(1, 6))
    known = {
        (n, c): rng.choice((None, 0.0, round(rng.random() / 10, 4), 1.0, "no restriction"))
        for n in names
        for c in codes
    }
    twice = rng.random() < 0.15
    header = [
        rng.choice(("fragrance", None, "")),
        *(float(c) if c.isdigit() and rng.random() < 0.5 else c for c in codes),
    ]
    rows = [[_otherwise(rng, n), *(known[n, c] for c in codes)] for n in names]
    if twice:
        rows.append([_otherwise(rng, names[0]), *(0.5 for _ in codes)])
    for _ in range(rng.randrange(3)):
        rows.insert(rng.randrange(len(rows) + 1), [None] * (len(codes) + 1))
    name, code = rng.choice((*names, "no such thing")), rng.choice((*codes, "7A"))
    found = _call("TC_CAP", [header, *rows], _otherwise(rng, name), code)
    told = f"TC_CAP({[header, *rows]!r}, {name!r}, {code!r}) gave {found!r}"
    if twice and name == names[0]:
        assert isinstance(found, CellError) and found.kind == "#VALUE!", told
    elif name not in names or code not in codes:
        assert isinstance(found, CellError) and found.kind == "#N/A", told
    elif known[name, code] is None:
        assert isinstance(found, CellError) and found.kind == "#N/A", told
    else:
        assert found == (1.0 if known[name, code] == "no restriction" else known[name, code]), told


def spoilt_caps(rng: Random) -> None:
    """Anything in the table: never another fragrance's cap, never above 1, never a crash."""
    width = rng.randrange(1, 5)
    rows = [[values.cell(rng) for _ in range(width)] for _ in range(rng.randrange(1, 6))]
    rows[0][1:] = rng.sample(_CODES, width - 1)
    if len(rows) > 1:
        rows[1][0] = "Still Pond"
    found = _call("TC_CAP", rows, "Still Pond", rng.choice(_CODES))
    assert isinstance(found, CellError) or 0 <= found <= 1, f"{rows!r} gave {found!r}"


# -- parts -------------------------------------------------------------------------------------------------------------


def parts(rng: Random) -> None:
    """A random parts table with some faults in it, rolled up here and there."""
    made = [f"item {i}" for i in range(rng.randrange(1, 9))]
    bought = [f"part {i}" for i in range(rng.randrange(1, 6))]
    costs = {b: Fraction(rng.randrange(0, 2000), 100) for b in bought}
    fault = rng.choice((None, None, None, "loop", "no cost", "two kinds", "negative", "loss"))
    rows: list[list] = []
    for i, item in enumerate(made):
        for _ in range(rng.randrange(1, 5)):
            below = made[i + 1 :] if rng.random() < 0.5 else []
            part = rng.choice(below or bought)
            quantity, loss = (
                Fraction(rng.randrange(0, 500), rng.choice((1, 10, 100))),
                Fraction(rng.choice((0, 0, 1, 5, 25)), 100),
            )
            rows.append(
                [
                    _otherwise(rng, item),
                    _otherwise(rng, part),
                    float(quantity),
                    float(costs[part]) if part in costs else None,
                    float(loss) or None,
                ]
            )
    spoilt = rng.choice(rows)
    if fault == "loop":
        spoilt[1], spoilt[3] = made[0], None
    elif fault == "no cost":
        spoilt[1], spoilt[3] = "nothing known", None
    elif fault == "two kinds":
        spoilt[1], spoilt[3] = made[-1], 1.0
    elif fault == "negative":
        spoilt[2] = -1.0
    elif fault == "loss":
        spoilt[4] = 1.0
    rng.shuffle(rows)
    item = rng.choice(made)
    _compare(item, rows)


def _compare(item: str, rows: list[list]) -> None:
    expected = _rolled(item, rows)
    found = _call("TC_ROLLUP", item, rows)
    told = f"TC_ROLLUP({item!r}, {rows!r}) gave {found!r}, not {expected!r}"
    if isinstance(expected, str):
        assert isinstance(found, CellError) and found.kind in expected.split(), told
        return
    assert not isinstance(found, CellError) and math.isclose(found, expected, rel_tol=1e-12, abs_tol=1e-12), told
    lines = _call("TC_ROLLUP_LINES", item, rows)
    assert math.isclose(math.fsum(line[2] for line in lines), expected, rel_tol=1e-12, abs_tol=1e-12), (
        f"{told}; {lines!r}"
    )


def _rolled(item: str, rows: list[list]) -> Fraction | str:
    """The cost by the definition; the kinds of error that the faults on the way may give."""

    def plain(name):
        return " ".join(name.casefold().split())

    if any(row[2] < 0 or (row[4] or 0) > 0.99 for row in rows):
        return "#NUM!"
    lines: dict[str, list] = {}
    for row in rows:
        lines.setdefault(plain(row[0]), []).append(row)
    kinds: set[str] = set()
    memory: dict[str, Fraction] = {}

    def cost(key: str, above: tuple) -> Fraction:
        if key in above:
            kinds.add("#NUM!")
            return Fraction(0)
        if key not in memory or kinds:
            total = Fraction(0)
            for _, part, quantity, price, loss in lines[key]:
                below = plain(part)
                if below in lines and price is not None:
                    kinds.add("#VALUE!")
                elif below not in lines and price is None:
                    kinds.add("#N/A")
                else:
                    each = Fraction(str(price)) if price is not None else cost(below, (*above, key))
                    total += Fraction(str(quantity)) / (1 - Fraction(str(loss or 0))) * each
            memory[key] = total
        return memory[key]

    total = cost(plain(item), ())
    return " ".join(sorted(kinds)) or total


def deep(rng: Random) -> None:
    """Ten thousand levels, whole and closed to a loop; the same part in very many places."""
    levels = rng.choice((1_000, 10_000))
    rows = [[f"level {i}", f"level {i + 1}", 1.0, None, None] for i in range(levels)]
    rows[-1][3] = 2.5
    rng.shuffle(rows)
    assert _call("TC_ROLLUP", "level 0", rows) == 2.5
    assert _call("TC_ROLLUP_LINES", "level 0", rows) == [[f"level {levels}", 1.0, 2.5]]
    closed = [[a, b if p is None else "level 0", q, None, loss] for a, b, q, p, loss in rows]
    found = _call("TC_ROLLUP", "level 0", closed)
    assert isinstance(found, CellError) and found.kind == "#NUM!" and "loop" in found.reason and len(found.reason) < 600
    doubling = [[f"d{i}", f"d{i + 1}", 1.0, None, None] for i in range(60) for _ in (0, 1)]
    assert _call("TC_ROLLUP", "d0", [*doubling, ["d60", "wax", 1.0, 1.0, None]]) == 2.0**60
    many = [["set", f"thing {i % 50}", 1.0, 0.01, None] for i in range(20_000)]
    assert math.isclose(_call("TC_ROLLUP", "set", many), 200.0, rel_tol=1e-12)


def spoilt_parts(rng: Random) -> None:
    rows = [["set", "jar", 1.0, 0.5, None], ["set", "mix", 2.0, None, None], ["mix", "wax", 3.0, 0.25, 0.1]]
    found = _call(rng.choice(("TC_ROLLUP", "TC_ROLLUP_LINES")), "set", values.spoilt(rng, rows))
    if isinstance(found, float):
        assert math.isfinite(found) and found >= 0, found
