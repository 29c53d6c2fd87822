"""Imports point one way only, and the public names are the ones that are listed."""

import importlib
import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest
import tarecell
from importlinter import cli

ROOT = Path(__file__).resolve().parent.parent


def test_imports_point_one_way(capsys):
    """The contracts of pyproject.toml: the layers, and a core that needs nothing but pint."""
    code = cli.lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True)
    told = capsys.readouterr().out
    assert code == 0, told
    assert "2 kept, 0 broken" in told, told


def modules():
    return [m.name for m in pkgutil.walk_packages(tarecell.__path__, "tarecell.") if not m.name.endswith("__main__")]


def listed():
    names = ["tarecell"]
    for name in modules():
        if any(part in name for part in (".hosts", ".workbooks", ".cli", ".workbook_templates", ".examples")):
            continue
        names.append(name)
    return [name for name in names if hasattr(importlib.import_module(name), "__all__")]


@pytest.mark.parametrize("name", listed())
def test_public_names_are_sorted_and_there(name):
    module = importlib.import_module(name)
    assert list(module.__all__) == sorted(module.__all__)
    assert len(set(module.__all__)) == len(module.__all__)
    for public in module.__all__:
        assert hasattr(module, public), f"{name}.{public}"


def test_the_public_names_of_the_package():
    assert tarecell.__all__ == ["CellError", "__version__", "call"]


def test_importing_the_package_is_quick_and_brings_nothing_along():
    """A cell function must not wait for pandas or pint because somebody imported tarecell."""
    code = "import sys, tarecell; print(sorted({m.split('.')[0] for m in sys.modules} & set(sys.argv[1].split())))"
    heavy = "pandas numpy openpyxl pint formualizer lxml"
    found = subprocess.run(
        [sys.executable, "-c", code, heavy], capture_output=True, text=True, check=True, cwd=ROOT, timeout=60
    )
    assert found.stdout.strip() == "[]"


def test_the_core_runs_without_the_libraries_of_the_upper_layers():
    """As inside the office program's own Python, which carries pint and nothing else of ours."""
    code = (
        "import sys\n"
        "for name in ('pandas', 'numpy', 'openpyxl', 'formualizer', 'lxml', 'xlwings'):\n"
        "    sys.modules[name] = None\n"
        "import tarecell\n"
        "print(tarecell.call('TC_CONVERT', 1.0, 'lb', 'g'), tarecell.call('TC_SCALE', [1.0, 3.0], 8.0))\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=60)
    assert found.stdout.strip() == "453.59237 [2.0, 6.0]", found.stderr
