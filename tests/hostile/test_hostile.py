"""Files of people who mean harm, through every command: refused in one line, or harmless, in bounded time and memory.

The plainer ones are in tests/workbooks/test_hostile_files.py.
"""

import os
import re
import socket
import zipfile
from pathlib import Path

import openpyxl
import pytest
from apart import Apart
from hostile import makers
from hostile.commands import NAMES
from workbooks.rich import parts

SECONDS, MEGABYTES = 240, 2500  # for seven commands, on a machine that may be busy


@pytest.fixture(scope="module")
def apart():
    with Apart() as running:
        yield running


@pytest.fixture
def listener():
    """A server on this machine that nobody should ever call: its address, and what tells whether somebody did."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.05)
        yield f"http://127.0.0.1:{server.getsockname()[1]}", server


def _quiet(server) -> bool:
    try:
        server.accept()
    except TimeoutError:
        return True
    return False


def _run(apart: Apart, path: Path) -> dict[str, tuple[int, str]]:
    """Every command's exit status and what it said; the folder holds nothing but the file and what was asked for."""
    before = path.read_bytes()
    arguments = {"folder": path.parent, "seconds": SECONDS, "megabytes": MEGABYTES}
    outcome = apart.call("hostile.commands:every_command", str(path), **arguments)
    assert not outcome.crashed, outcome.crashed
    assert path.read_bytes() == before
    found = dict(re.findall(r"^\x01(\w+)\x02(.*?)\x03$", outcome.out, re.DOTALL | re.MULTILINE))
    assert set(found) == set(NAMES), outcome
    return {name: (int(said[0]), said[1:]) for name, said in found.items()}


@pytest.mark.parametrize("name", makers.REFUSED)
def test_refused_by_every_command(apart, tmp_path, name):
    make, reason = makers.REFUSED[name]
    path = make(makers.ordinary(tmp_path))
    before = {p.name for p in tmp_path.iterdir()}
    for command, (status, said) in _run(apart, path).items():
        assert status == 2 and reason in said, f"{command}: {status} {said}"
        assert said.strip().count("\n") == 0 and len(said) < 400, f"{command}: {said}"
    assert {p.name for p in tmp_path.iterdir()} == before


@pytest.mark.parametrize("name", makers.REACHING)
def test_nothing_is_fetched_run_or_turned_into_a_formula(apart, tmp_path, listener, name):
    address, server = listener
    path = makers.REACHING[name](makers.ordinary(tmp_path), address)
    before = _formulas(path)
    for command, (status, said) in _run(apart, path).items():
        assert status in (0, 1, 2) and (status != 2 or said.strip().count("\n") == 0), f"{command}: {said}"
    assert _quiet(server)
    made = sorted(tmp_path.glob("out.*"))
    assert {p.name for p in made} >= {"out.calc.xlsx", "out.shares.xlsx"}, made
    for out in made:
        new = [f for f in _formulas(out) if f not in before]
        assert not [f for f in new if re.search(r"cmd|HYPERLINK|WEBSERVICE|https?:|DDE|\[\d", f)], (out.name, new)
    assert before or name in ("a web query", "formula injection")


def _formulas(path: Path) -> list[str]:
    return [
        formula
        for name, xml in parts(path).items()
        if name.startswith("xl/worksheets/") and name.endswith(".xml")
        for formula in re.findall(r"<f[^>]*>([^<]*)</f>", xml.decode())
    ]


def test_what_cannot_be_computed_here_keeps_the_value_of_the_file(apart, tmp_path, listener):
    path = makers.reaching_out(makers.ordinary(tmp_path), listener[0])
    _run(apart, path)
    values = openpyxl.load_workbook(tmp_path / "out.calc.xlsx", data_only=True)["Cream"]
    formulas = openpyxl.load_workbook(path)["Cream"]
    kept = {formulas.cell(r, 11).value: values.cell(r, 11).value for r in range(20, 32)}
    assert {k: v for k, v in kept.items() if v != 7 and "HYPERLINK" not in k and "INDIRECT" not in k} == {}


def test_injected_names_stay_text(apart, tmp_path):
    path = makers.injected(makers.ordinary(tmp_path), "http://127.0.0.1:9")
    said = _run(apart, path)
    assert said["add_shares"][0] == 0, said["add_shares"]
    for out in tmp_path.glob("out.*"):
        for sheet in openpyxl.load_workbook(out):
            for row in sheet:
                for cell in row:
                    text = getattr(cell.value, "text", cell.value)
                    if isinstance(text, str) and "cmd|" in text:
                        assert cell.data_type in ("s", "inlineStr"), (out.name, sheet.title, cell.coordinate, text)


@pytest.mark.parametrize("mark", ["=", "+", "-", "@", "\t=", "\r=", " ="])
def test_a_price_list_with_formulas_for_names(apart, tmp_path, mark):
    evil = f"{mark}cmd|'/C calc'!A0"
    path = tmp_path / "list.csv"
    path.write_text(
        f'material;pack;unit;price;supplier\n"{evil}";1;kg;3,50;"{evil}"\nWax;1;kg;7,00;Here\n', encoding="utf-8"
    )
    outcome = apart.tarecell("prices", path, folder=tmp_path, seconds=SECONDS, megabytes=MEGABYTES)
    assert not outcome.crashed and outcome.status in (0, 1), outcome
    (register,) = tmp_path.glob("*.xlsx")
    assert not [f for f in _formulas(register) if "cmd" in f]
    found = [c for s in openpyxl.load_workbook(register) for row in s for c in row if "cmd|" in str(c.value)]
    assert found and all(c.data_type in ("s", "inlineStr") for c in found), found


@pytest.mark.parametrize("name", makers.TOO_MUCH)
def test_too_much_of_everything(apart, tmp_path, name):
    path = makers.TOO_MUCH[name](makers.ordinary(tmp_path))
    for command, (status, said) in _run(apart, path).items():
        assert status in (0, 1) or said.strip().count("\n") == 0 and len(said) < 400, f"{command}: {status} {said}"
    for out in tmp_path.glob("out.*"):
        assert zipfile.ZipFile(out).testzip() is None


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ('TC_CAP(Caps!1:1048576,"Still Pond",9)', 0.02),
        ("TC_SHARES(Z:Z)", "#VALUE!"),
        ("SUM(Caps!A1:XFD1048576)", 13.22),
    ],
)
def test_a_whole_sheet_as_an_argument(apart, tmp_path, formula, value):
    path = makers.with_formulas(makers.ordinary(tmp_path), [formula])
    outcome = apart.tarecell("calc", path, tmp_path / "out.xlsx", seconds=SECONDS, megabytes=MEGABYTES)
    assert not outcome.crashed, outcome.crashed
    found = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True)["Cream"]["K20"].value
    assert found == value or found == pytest.approx(value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_a_pipe_is_neither_read_nor_replaced(apart, tmp_path):
    """A pipe or a device never comes to an end, and a program may wait at its other side."""
    pipe, good = tmp_path / "pipe.xlsx", makers.ordinary(tmp_path)
    os.mkfifo(pipe)
    limits = {"folder": tmp_path, "seconds": SECONDS, "megabytes": MEGABYTES}
    outcome = apart.call("hostile.commands:every_command", str(pipe), **limits)
    said = re.findall(r"^\x01(\w+)\x02(.*?)\x03$", outcome.out, re.DOTALL | re.MULTILINE)
    assert dict(said) == dict.fromkeys(NAMES, "2tarecell: pipe.xlsx is not an ordinary file"), outcome
    for arguments in (["calc", good, pipe], ["share", good, pipe]):
        outcome = apart.tarecell(*arguments, **limits)
        assert outcome.status == 2 and "it is a device or a pipe" in outcome.err, outcome
    assert pipe.is_fifo() and sorted(p.name for p in tmp_path.iterdir()) == sorted([good.name, "pipe.xlsx"])


def test_the_commands_of_these_tests_do_their_work_on_an_ordinary_file(apart, tmp_path):
    path = makers.ordinary(tmp_path)
    statuses = {name: status for name, (status, _) in _run(apart, path).items()}
    assert statuses == dict.fromkeys(NAMES, 0) | {"check": statuses["check"]} and statuses["check"] in (0, 1)
