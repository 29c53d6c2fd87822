"""The template workbooks that `tarecell new` gives out."""

from importlib.resources import files
from pathlib import Path

from tarecell.errors import NotFound
from tarecell.tables import Names
from tarecell.workbooks import safe_write
from tarecell.workbooks.problems import WorkbookProblem

TEMPLATES = {
    "cream_batch": "a jar cream: phases, jars × fill, water top-up, cool-down, preservative, fragrance cap",
    "bath_bombs": "bath bombs: dry, wet and acid, fizz balance, moulds, a topping, drying and turning days",
    "bar_soap": "bar soap: lye with superfat and its honest range, water, mould to batch, cure date",
    "candles_and_melts": "candles and melts: vessel to wax, fragrance load, cap, flash margin, burn notes",
    "materials_and_prices": "purchases with packs, freight, lots and expiry; average and first-in-first-out cost",
    "fragrance_register": "caps by category from the certificates, the strictest cap of a set, gaps and old papers",
    "gift_set": "sets side by side: cost of everything, fees, price for a margin, break-even, what to buy",
    "labels_and_batch_record": "ingredient line, net contents, allergens, lot, dates; a batch sheet to print and sign",
    "season_planner": "from the day the gifts are needed back to every start date",
    "function_tests": "every worked example of every function as a cell that says TRUE",
}


def listing() -> str:
    """The templates, a line each."""
    return "\n".join(f"  {name:<25}{line}" for name, line in TEMPLATES.items())


def new(name: str, out: str | Path | None = None) -> Path:
    """A fresh copy of a template. Nothing that is there is overwritten. Raises WorkbookProblem."""
    names = Names(TEMPLATES, "template")
    try:
        found = names.names[names.position(name.replace("-", "_").removesuffix(".xlsx"))]
    except NotFound as unknown:
        raise WorkbookProblem(f"{unknown.reason}; “tarecell new” lists them") from None
    target = Path(out) if out is not None else Path(f"{found}.xlsx")
    if target.is_dir():
        target = target / f"{found}.xlsx"
    if target.exists():
        raise WorkbookProblem(f"{target.name} is there already: give another name")
    if target.suffix.lower() != ".xlsx":
        raise WorkbookProblem(f"{target.name} does not end in .xlsx: give a name that does")
    safe_write.write(target, files("tarecell.workbook_templates").joinpath(f"{found}.xlsx").read_bytes())
    return target
