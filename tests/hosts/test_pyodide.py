"""The wheel in Pyodide, the Python that runs in a web browser (here under Node): every example of every record."""

import base64
import json
import os
import pickle
import re
import shutil
import subprocess
import sys
import time
import zipfile
from importlib.metadata import distribution
from pathlib import Path

import pytest
import tarecell
from hosts.conformance import as_rows
from hosts.conftest import not_here
from tarecell.functions import REGISTRY
from tarecell.functions.records import ROW

pytestmark = pytest.mark.xdist_group("pyodide")
ROOT, HERE = Path(__file__).resolve().parents[2], Path(__file__).parent
PYODIDE = "0.29.5"  # runs in Node 18 and newer
OLDEST_NODE = 18
COMPANIONS = ("pint", "flexcache", "flexparser", "platformdirs", "typing_extensions")  # what the functions need


def done(command, patience, **options):
    return subprocess.run(command, capture_output=True, text=True, timeout=patience, check=False, **options)


@pytest.fixture(scope="session")
def pyodide(request):
    """The folder of Pyodide, fetched once into pytest's own cache."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if not node or not npm:
        not_here("Pyodide", f"no {'npm' if node else 'node'} on this machine: install Node.js {OLDEST_NODE} or newer")
    told = done([node, "--version"], 30).stdout.strip()
    if int(re.match(r"v(\d+)", told)[1]) < OLDEST_NODE:
        not_here("Pyodide", f"Node.js {told} is too old: install {OLDEST_NODE} or newer")
    # A folder for each worker of a parallel run: two npm at once in one folder spoil each other's work.
    folder = request.config.cache.mkdir(f"pyodide-{os.environ.get('PYTEST_XDIST_WORKER', 'alone')}")
    package = folder / "node_modules" / "pyodide"
    for patience in (0, 5, 30):  # seconds; a registry may be out of breath for a moment
        if installed(package):
            break
        time.sleep(patience)
        (folder / "package.json").write_text("{}")
        command = [npm, "install", "--no-audit", "--no-fund", "--ignore-scripts", f"pyodide@{PYODIDE}"]
        said = done(command, 300, cwd=folder)
    if not installed(package):
        told = f"{said.stderr}{said.stdout}".strip() or "no reason given"
        not_here("Pyodide", f"npm could not install it (exit status {said.returncode}): {told[-300:]}")
    return package


def installed(package):
    try:
        return json.loads((package / "package.json").read_text())["version"] == PYODIDE
    except (OSError, ValueError):
        return False


@pytest.fixture(scope="session")
def wheel(tmp_path_factory):
    """The wheel, built from a copy of the sources so that nothing is left among them."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    for name in ("udfs", "examples", "workbook_templates"):
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(folder), str(source)]
    said = done(command, 300, env={**os.environ, "PIP_DISABLE_PIP_VERSION_CHECK": "1"})
    built = list(folder.glob("*.whl"))
    assert len(built) == 1, said.stderr[-2000:]
    return built[0]


@pytest.fixture(scope="session")
def companions(tmp_path_factory):
    """The installed packages that the functions need, as one archive; each of them pure Python."""
    path = tmp_path_factory.mktemp("companions") / "companions.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name in COMPANIONS:
            for file in distribution(name).files:
                if file.parts[0] != ".." and "__pycache__" not in file.parts:
                    assert file.suffix not in (".so", ".pyd", ".dylib"), file
                    archive.write(file.locate(), str(file))
    return path


@pytest.fixture(scope="session")
def answers(pyodide, wheel, companions):
    command = [
        shutil.which("node"), HERE / "pyodide_runner.mjs", pyodide, HERE / "pyodide_script.py", wheel, companions,
    ]  # fmt: skip
    said = done([str(part) for part in command], 300)
    lines = [line for line in said.stdout.splitlines() if line.startswith("ANSWERS ")]
    assert len(lines) == 1, f"{said.stdout[-1000:]}\n{said.stderr[-3000:]}"
    return pickle.loads(base64.b64decode(lines[0].split()[1]))


@pytest.fixture(autouse=True)
def host(request, record_property):
    if "answers" in request.fixturenames:
        record_property(
            "host", f"Pyodide {PYODIDE} (Python {request.getfixturevalue('answers')['python']}, under Node)"
        )


def test_the_wheel_is_pure_python(wheel):
    assert wheel.name == f"tarecell-{tarecell.__version__}-py3-none-any.whl"
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        tags = next(archive.read(n).decode() for n in names if n.endswith(".dist-info/WHEEL"))
        needs = next(archive.read(n).decode() for n in names if n.endswith(".dist-info/METADATA"))
    assert "Root-Is-Purelib: true" in tags and "Tag: py3-none-any" in tags
    assert not [n for n in names if n.endswith((".so", ".pyd", ".dll", ".dylib"))]
    assert re.search(r'^Requires-Dist: formualizer.*sys_platform != "emscripten"', needs, re.M), "no engine there"


def test_it_is_the_wheel_that_ran_and_in_pyodide(answers):
    assert answers["platform"] == "emscripten" and answers["version"] == tarecell.__version__
    assert "site-packages/tarecell/" in answers["from"]


def test_every_record_was_asked(answers):
    assert set(answers["examples"]) == {(n, i) for n, r in REGISTRY.items() for i in range(len(r.examples))}
    assert len(answers["examples"]) > 200


@pytest.mark.parametrize("name", REGISTRY)
def test_every_example_in_pyodide(answers, name):
    record = REGISTRY[name]
    for i, example in enumerate(record.examples):
        got = answers["examples"][name, i]
        if example.fails is not None:
            assert got[:2] == ("error", example.fails), (example.args, got)
            continue
        if example.starts is not None:
            assert got.startswith(example.starts), (example.args, got)
            continue
        across = record.result == ROW
        wanted, found = as_rows(example.gives, across), as_rows(got, across)
        assert [len(row) for row in found] == [len(row) for row in wanted], (example.args, got)
        for want, cell in zip(sum(wanted, []), sum(found, []), strict=True):
            assert equal(want, cell, example), (example.args, got)


def equal(want, got, example):
    if want is None or isinstance(want, (str, bool)):
        return got == want
    if isinstance(want, (int, float)):
        return isinstance(got, (int, float)) and abs(got - want) <= example.within * max(1.0, abs(want))
    return got == want  # a day


def test_the_engine_that_is_not_there_is_told(answers):
    assert answers["engine"].startswith("the embedded engine is not installed")


def test_the_module_for_excel_is_importable_there(answers):
    assert answers["excel"] == 12.5
