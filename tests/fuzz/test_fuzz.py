"""A short fuzz run with fixed seeds, and new ones for as long as FUZZ_MINUTES says (see run.py)."""

import os
import time

import pytest
import tarecell
from apart import Apart
from fuzz import run

QUICK = {"calls": 1000, "amounts": 1000, "caps": 600, "spoilt caps": 600, "parts": 600, "spoilt parts": 600, "deep": 1}
QUICK_BOOKS = {"books": 4, "packages": 8}


@pytest.fixture(scope="module")
def apart():
    with Apart() as running:
        yield running


def _run(target, seeds, apart=None):
    found = {seed: wrong for seed in seeds if (wrong := run.one(target, seed, apart))}
    told = [f"--target {target!r} --seed {seed}\n{wrong}" for seed, wrong in found.items()]
    assert not found, "\n\n".join(told[:5])


def test_every_target_is_run():
    assert QUICK.keys() == run.TARGETS.keys() and QUICK_BOOKS.keys() == run.BOOKS.keys()


@pytest.mark.parametrize("target", QUICK)
def test_a_value_or_an_error_kind(target):
    _run(target, range(QUICK[target]))


@pytest.mark.parametrize("target", QUICK_BOOKS)
@pytest.mark.filterwarnings("ignore::UserWarning")
def test_mutated_workbooks(target, apart):
    _run(target, range(QUICK_BOOKS[target]), apart)


@pytest.mark.skipif("FUZZ_MINUTES" not in os.environ, reason="FUZZ_MINUTES is not set: the long fuzz run")
@pytest.mark.filterwarnings("ignore::UserWarning")
def test_for_long(apart):
    until, seed = time.monotonic() + float(os.environ["FUZZ_MINUTES"]) * 60, time.time_ns() % 10**12
    while time.monotonic() < until:
        for target, (_, share) in {**run.TARGETS, **run.BOOKS}.items():
            _run(target, range(seed, seed + share), apart)
            seed += share


# -- what was found, and must not come back ----------------------------------------------------------------------------


@pytest.mark.parametrize("ragged", [[[], [], [0.95]], ((), (285.0,))])
def test_a_single_value_in_rows_of_unequal_length(ragged):
    value = ragged[-1][0]
    assert tarecell.call("TC_LABOUR", ragged, 16.0) == tarecell.call("TC_LABOUR", value, 16.0)


def test_a_caps_table_with_a_row_of_no_cells():
    assert tarecell.call("TC_CAP", [["fragrance", "9"], [], ["Still Pond", 0.02]], "Still Pond", "9") == 0.02
