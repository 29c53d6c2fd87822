"""TC_EXPLAIN, TC_SOURCE and TC_VERSION."""

import platform

import pytest
import tarecell
from tarecell.errors import CellError
from tarecell.functions import REGISTRY, Host, run
from tarecell.tables import rows, tables


def kind(name, *args):
    with pytest.raises(CellError) as caught:
        tarecell.call(name, *args)
    return caught.value.kind


def test_the_working_of_a_call():
    assert tarecell.call("TC_EXPLAIN", "TC_SCALE", [200.0, 140.0], 500.0) == "500 ÷ 340 = ×1.4706: 294.118, 205.882"
    assert tarecell.call("TC_EXPLAIN", "tc_top_up", 500.0, 487.5) == "500 g − 487.5 g = 12.5 g of water"


def test_one_day_and_nothing_used_read_well():
    assert tarecell.call("TC_EXPLAIN", "TC_READY", 46053.0, 1.0) == "2026-01-31 + 1 day = 2026-02-01"
    assert tarecell.call("TC_EXPLAIN", "TC_FIFO", [5.0], [2.0], 0.0) == "nothing used, so it costs 0"


def test_the_reason_of_an_error():
    told = tarecell.call("TC_EXPLAIN", "TC_CONVERT", 2.0, "oz", "mL")
    assert told.startswith("#NUM!") and "fl oz" in told and "density" in told
    told = tarecell.call("TC_EXPLAIN", "TC_RECIPE_COST", [1.0, 2.0], [0.5, None])
    assert told.startswith("#N/A") and "row 2" in told
    told = tarecell.call("TC_EXPLAIN", "TC_TOP_UP", 500.0, "#DIV/0!")
    assert told.startswith("#DIV/0! weighed holds the error")


def test_what_cannot_be_explained():
    assert kind("TC_EXPLAIN") == "#VALUE!"
    assert kind("TC_EXPLAIN", None) == "#VALUE!"
    assert kind("TC_EXPLAIN", "TC_NOTHING", 1.0) == "#N/A"
    for name in ("TC_EXPLAIN", "TC_SOURCE", "TC_VERSION"):
        assert kind("TC_EXPLAIN", name, "TC_SCALE") == "#VALUE!"


@pytest.mark.parametrize("name", REGISTRY)
def test_every_function_has_a_source(name):
    assert tarecell.call("TC_SOURCE", name.lower()) == f"{name}: {REGISTRY[name].source}"


@pytest.mark.parametrize("table", [t for t in tables() if t != "units"])
def test_every_row_of_every_table_has_a_source(table):
    first = next(iter(rows(table)[0]))
    for row in rows(table):
        told = tarecell.call("TC_SOURCE", f"  {row[first].upper()} ")
        assert row["source"] in told, row
        assert " — " in told, "how certain it is stands behind it"


def test_a_density_tells_its_temperature():
    assert "at 20 °C" in tarecell.call("TC_SOURCE", "water")


def test_an_unknown_source_names_the_nearest():
    with pytest.raises(CellError, match="nearest: .*beeswax") as caught:
        tarecell.call("TC_SOURCE", "bees wux")
    assert caught.value.kind == "#N/A"


def test_the_version_names_the_host():
    assert tarecell.call("TC_VERSION") == f"Tarecell {tarecell.__version__} · Python {platform.python_version()}"
    assert " · Calc 25.2 · " in run("TC_VERSION", [], Host("Calc", "25.2"))
