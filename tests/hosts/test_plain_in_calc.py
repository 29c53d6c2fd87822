"""A plain copy in a real Calc without the extension: the same numbers as the original, also with other inputs."""

import pytest
from hosts.calc import Calc
from hosts.conftest import not_here
from tarecell.errors import CellError
from tarecell.hosts.libreoffice import OfficeProblem
from tarecell.workbooks.evaluate import evaluate
from tarecell.workbooks.package import Package
from tarecell.workbooks.patch import Constant
from tarecell.workbooks.references import position
from tarecell.workbooks.share import share
from tarecell.workbooks.share.build import patched
from tarecell.workbooks.tour import tour

BATCH = "Cream batch"
CHANGES = [
    {},
    {BATCH: {"C4": 17, "C10": 0.5, "C15": 2.5}, "Plan": {"H5": 0.007, "C14": 0.12}},
    {BATCH: {"C14": "12", "C17": -3}, "Plan": {"H6": 0.4}},  # a text, a negative amount, over the cap
    {BATCH: {"D14": "ozz", "A16": "elsewhere", "C10": 7}, "Prices": {"B4": 0, "D6": 99.5, "C8": "kg"}},
    {"Caps": {"B6": 3.5}, "Parts": {"C12": 2, "D10": 1.75}},
]


@pytest.fixture(scope="module")
def bare():
    """A running Calc without the extension."""
    try:
        running = Calc(extension=False)
    except OfficeProblem as problem:
        not_here("LibreOffice Calc", problem)
    with running:
        yield running


@pytest.fixture(scope="module")
def pair(tmp_path_factory):
    """The tour's workbook and its plain copy."""
    folder = tmp_path_factory.mktemp("tour")
    tour(folder)
    report = share(folder / "little_quay_gift_set.xlsx", folder / "copy.xlsx")
    return folder / "little_quay_gift_set.xlsx", folder / "copy.xlsx", report


def agrees(expected, cell) -> bool:
    if isinstance(expected, CellError):
        return cell is not None and cell.kind == expected.kind
    if cell is None or cell.error:
        return cell is None and expected == ""
    if isinstance(expected, (int, float)):
        return isinstance(cell.value, (int, float)) and abs(cell.value - expected) <= 1e-9 * max(1, abs(expected))
    return cell.value == expected


@pytest.mark.parametrize("changes", CHANGES, ids=["as it is", "other amounts", "wrong ones", "unknown ones", "tables"])
def test_the_copy_gives_in_calc_what_the_original_gives(bare, pair, tmp_path, changes):
    original, copy, report = pair
    typed = {s: {position(a): Constant(v) for a, v in cells.items()} for s, cells in changes.items()}
    fixed = {(cell.sheet, cell.position) for cell in report.fixed}
    held = {}
    before = evaluate(original)
    for sheet, where in fixed:  # what is a value in the copy stays what it was in the original too
        held.setdefault(sheet, {})[where] = Constant(before.values[sheet][where])
    both = {sheet: {**held.get(sheet, {}), **typed.get(sheet, {})} for sheet in {*held, *typed}}
    expected = evaluate(patched(Package.open(original), both)).values
    changed = tmp_path / "changed.xlsx"
    changed.write_bytes(patched(Package.open(copy), typed).data)
    found = bare.read(changed)
    wrong = [
        (sheet, where, value, found[sheet].get(where))
        for sheet, values in expected.items()
        for where, value in values.items()
        if (sheet, where) not in fixed and not agrees(value, found[sheet].get(where))
    ]
    assert not wrong
    assert sum(map(len, expected.values())) > 400
