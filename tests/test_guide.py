"""What is made from the records is not stale, and the packages listed for the wheel are the ones in the tree."""

import sys
from pathlib import Path

from benchmarks import readme
from tarecell.functions import REGISTRY
from tarecell.functions.guide import guide, inserted, plain_entry, plain_table

if sys.version_info >= (3, 11):
    import tomllib

ROOT = Path(__file__).parents[1]


def test_the_guide_is_current():
    """Mend with: python -m tarecell.functions.guide README.md udfs/GUIDE.md"""
    assert (ROOT / "udfs/GUIDE.md").read_text(encoding="utf-8") == guide()


def test_the_table_in_the_readme_is_current():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert inserted(readme) == readme


def test_the_speeds_in_the_readme_are_those_that_were_measured():
    """Mend with: python tests/benchmarks/readme.py"""
    text, results = readme.README.read_text(encoding="utf-8"), readme.RESULTS.read_text(encoding="utf-8")
    assert readme.inserted(text, results) == text
    assert "20,000 formulas" in readme.speeds(results) and "TC_SCALE" in readme.speeds(results)


def test_every_function_is_on_the_command_line_too():
    table = plain_table()
    for name, record in REGISTRY.items():
        assert name in table
        entry = plain_entry(name)
        assert record.summary in entry and all(a.name in entry for a in record.arguments)


def test_packages_of_the_wheel_are_the_packages_of_the_tree():
    if sys.version_info < (3, 11):
        return  # no tomllib; the same check runs on newer Pythons
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    listed = set(settings["tool"]["setuptools"]["packages"])
    source = ROOT / "udfs"
    found = {".".join(p.parent.relative_to(source).parts) for p in source.rglob("__init__.py")}
    found |= {"tarecell.examples", "tarecell.workbook_templates"}
    assert listed == found


def test_cells_beside_each_other_are_written_as_spreadsheets_do():
    assert "=TC_LOAD(220,0.1)  →  {20,200}" in plain_entry("TC_LOAD")
    assert "=TC_SCALE({200;100;40},510)  →  {300;150;60}" in plain_entry("TC_SCALE")


def test_a_default_is_told_once():
    for line in guide().splitlines():
        assert line.count("left out") < 2 and not ("(default)" in line and "if left out" in line), line
