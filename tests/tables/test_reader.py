"""The reference tables: every row says where it comes from and how certain it is."""

import csv
from importlib.resources import files

import pytest
from tarecell.tables import CERTAINTY, fold, rows, tables

TABLES = pytest.mark.parametrize("table", tables())


def text_of(table):
    return files("tarecell.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")


def test_the_tables_are_found():
    assert {"densities", "product_types", "units"} <= set(tables())
    assert list(tables()) == sorted(tables())


@TABLES
def test_every_table_explains_itself(table):
    assert text_of(table).startswith("# "), "comment lines at the top explain the table"


@TABLES
def test_every_row_has_a_name_a_source_and_a_certainty(table):
    assert rows(table)
    for row in rows(table):
        assert next(iter(row.values())), row
        assert len(row["source"]) > 3, row
        assert row["certainty"] in CERTAINTY, row
        if "no published source" in row["source"]:
            assert row["certainty"] in ("practice", "memory"), row


@TABLES
def test_no_row_has_a_cell_too_many_or_too_few(table):
    lines = [line for line in text_of(table).splitlines() if line.strip() and not line.startswith("#")]
    widths = {len(cells) for cells in csv.reader(lines)}
    assert len(widths) == 1, f"{table}.csv: a comma in a text needs quotation marks"
    assert None not in rows(table)[0]


@TABLES
def test_no_name_stands_twice(table):
    first = next(iter(rows(table)[0]))
    names = [fold(row[first]) for row in rows(table)]
    doubled = {n for n in names if names.count(n) > 1}
    if not doubled:
        return
    # A table may tell several things about one name, but then something else must tell its rows apart.
    keys = [tuple(v for k, v in row.items() if k not in ("source", "certainty")) for row in rows(table)]
    assert len(set(keys)) == len(keys), doubled


@TABLES
def test_cells_have_no_outer_spaces(table):
    for row in rows(table):
        assert all(value == value.strip() for value in row.values())
