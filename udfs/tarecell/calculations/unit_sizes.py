"""How large pint says each unit of tables/units.csv is, as exact fractions.

Loading pint takes longer than computing most workbooks, so its answers are kept in unit_sizes_kept.py, and only a unit
that is not among them is asked for. Run `python -m tarecell.calculations.unit_sizes` after a change to the table.
"""

from fractions import Fraction
from functools import lru_cache
from pathlib import Path

from tarecell.calculations.unit_sizes_kept import SIZES
from tarecell.tables import rows

BASE = {"mass": "gram", "volume": "milliliter", "length": "meter", "temperature": "kelvin"}
KEPT = Path(__file__).with_name("unit_sizes_kept.py")


@lru_cache(maxsize=200)
def size(name: str, dimension: str) -> tuple[Fraction, Fraction]:
    """A unit in the base unit of its dimension: what one step of it is, and where its zero lies (0 but for °C and °F).

    name: as pint knows it.
    """
    kept = SIZES.get(name)
    return (Fraction(kept[0]), Fraction(kept[1])) if kept else asked(name, dimension)


@lru_cache(maxsize=1)
def _registry():
    import pint

    return pint.UnitRegistry(non_int_type=Fraction, cache_folder=None)


def asked(name: str, dimension: str) -> tuple[Fraction, Fraction]:
    """As `size`, from pint itself."""
    zero, one = (Fraction(_registry().Quantity(Fraction(n), name).to(BASE[dimension]).magnitude) for n in (0, 1))
    return one - zero, zero


def all_asked() -> dict[str, tuple[str, str]]:
    """Every unit of the table."""
    found = {}
    for row in rows("units"):
        name = row["definition"].rpartition(" ")[2]
        if row["dimension"] in BASE and name not in found:
            step, zero = asked(name, row["dimension"])
            found[name] = str(step), str(zero)
    return found


def main() -> None:
    lines = "".join(f'    "{name}": ("{step}", "{zero}"),\n' for name, (step, zero) in all_asked().items())
    KEPT.write_text(f'"""Made by unit_sizes.py: the step and the zero of each unit, as pint has them."""\n\n'
                    f"SIZES = {{\n{lines}}}\n", encoding="utf-8", newline="\n")  # fmt: skip


if __name__ == "__main__":
    main()
