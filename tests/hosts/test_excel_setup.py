"""What `tarecell excel` makes, checks and tells, on a Windows that is pretended here."""

import importlib.metadata
import importlib.util
import re
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
import tarecell.hosts.excel
from tarecell.functions import REGISTRY
from tarecell.hosts.excel import addin, setting_up, vba
from tarecell.hosts.excel.problem import ExcelProblem
from tarecell.hosts.excel.setting_up import Check, doctor, module, setup

XLWINGS = importlib.metadata.version("xlwings")


@pytest.fixture
def windows(monkeypatch, tmp_path):
    """A Windows with Excel, Python in a virtual environment, and all that is needed."""
    python = tmp_path / "venv" / "Scripts" / "python.exe"
    python.parent.mkdir(parents=True)
    (tmp_path / "venv" / f"xlwings64-{XLWINGS}.dll").touch()
    roaming = tmp_path / "Roaming"
    registry = SimpleNamespace(HKEY_CLASSES_ROOT=1, QueryValue=lambda key, name: "Excel.Application.16")
    found = importlib.util.find_spec
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr(sys, "executable", str(python))
    monkeypatch.setenv("APPDATA", str(roaming))
    monkeypatch.setitem(sys.modules, "winreg", registry)
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: found("json" if name == "win32com" else name))
    return SimpleNamespace(addins=roaming / "Microsoft" / "AddIns", venv=tmp_path / "venv", registry=registry)


def wrong(report):
    return [check.told for check in report.checks if check.good is False]


def test_setup_makes_the_add_in_where_excel_looks_and_tells_five_steps(windows):
    told = setup()
    made = windows.addins / "Tarecell.xlam"
    assert made.exists() and told.startswith(f"{made} is made.\n")
    assert re.findall(r"^  (\d)\. ", told, re.M) == ["1", "2", "3", "4", "5"]
    assert f"Choose {made} and press OK" in told and "only Excel can tell" in told
    assert "wrong" not in told
    assert setup() == told, "a second time"


def test_the_add_in_starts_the_python_that_made_it(windows, monkeypatch):
    asked = []
    monkeypatch.setattr(addin, "build", lambda folder, python: asked.append((folder, python)) or folder)
    setup()
    setup(windows.venv, r"D:\Python\python.exe")
    assert asked == [(windows.addins, sys.executable), (windows.venv, r"D:\Python\python.exe")]


def test_another_folder_or_file(windows, tmp_path):
    assert setup(tmp_path / "mine" / "deep").startswith(str(tmp_path / "mine" / "deep" / "Tarecell.xlam"))
    assert setup(tmp_path / "other" / "Soap.xlam").startswith(str(tmp_path / "other" / "Soap.xlam"))
    (tmp_path / "file").touch()
    with pytest.raises(ExcelProblem, match="cannot be made"):
        setup(tmp_path / "file" / "inside")
    with pytest.raises(ExcelProblem, match="ends with .xlam"):
        setup(tmp_path / "Soap.xlsx")


def test_all_is_well(windows):
    addin.build(windows.addins.mkdir(parents=True) or windows.addins)
    report = doctor()
    assert report.good and [check.good for check in report.checks] == [True] * 8
    for part in ("Windows", "Python 3.", f"{len(REGISTRY)} functions", f"xlwings {XLWINGS}", "Excel.Application.16"):
        assert part in report.text()


def test_what_is_missing_is_told_with_what_to_do(windows, monkeypatch):
    def no_excel(key, name):
        raise OSError

    windows.registry.QueryValue = no_excel
    (windows.venv / f"xlwings64-{XLWINGS}.dll").rename(windows.venv / "xlwings64-0.1.0.dll")
    found = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "win32com" else found(name))
    told = wrong(doctor())
    assert [line.split(":")[0].split(" is ")[0] for line in told] == [
        "pywin32", f"xlwings64-{XLWINGS}.dll", "Excel", "no add-in at " + str(windows.addins / "Tarecell.xlam")
    ]  # fmt: skip
    assert "pip install pywin32" in told[0] and "pip install --force-reinstall" in told[1]
    assert "tarecell excel setup" in told[3]
    assert not doctor().good


@pytest.mark.parametrize(
    "version,said", [("0.32.1", "0.33 is needed"), ("0.9.0", "0.33 is needed"), (None, "pip install")]
)
def test_an_xlwings_that_will_not_do_is_told(windows, monkeypatch, version, said):
    def asked(name):
        if version is None:
            raise importlib.metadata.PackageNotFoundError(name)
        return version

    monkeypatch.setattr(importlib.metadata, "version", asked)
    assert any(said in line and "xlwings" in line for line in wrong(doctor()))


def test_an_add_in_of_another_version_is_told(windows, monkeypatch):
    windows.addins.mkdir(parents=True)
    with monkeypatch.context() as older:
        older.setattr(vba, "__version__", "0.0.9")
        addin.build(windows.addins)
    assert [line for line in wrong(doctor()) if "is of another Tarecell: run tarecell excel setup" in line]


def test_a_function_that_is_missing_is_told(windows, monkeypatch):
    monkeypatch.delattr(tarecell.hosts.excel, "TC_LYE")
    assert any("1 functions are missing, TC_LYE" in line for line in wrong(doctor()))


def test_elsewhere_it_says_that_this_is_no_windows(monkeypatch, tmp_path):
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.chdir(tmp_path)
    told = setup()
    assert (tmp_path / "Tarecell.xlam").exists() and "on Windows only" in told
    report = doctor()
    assert not report.good and len(wrong(report)) == 1
    assert [check.good for check in report.checks].count(None) == 3, "what could not be looked at is not called good"


def test_an_excel_that_has_the_file_open_is_told(windows, monkeypatch):
    def in_use(draft, target):
        raise PermissionError

    monkeypatch.setattr("os.replace", in_use)
    with pytest.raises(ExcelProblem, match="is in use: close Excel and try again"):
        setup()
    assert list(windows.addins.iterdir()) == [], "no draft is left behind"


def test_the_module_alone(tmp_path):
    path = tmp_path / "Tarecell.bas"
    told = module(path)
    assert path.read_bytes().decode("ascii") == vba.module_text()
    assert re.findall(r"^  (\d)\. ", told, re.M) == ["1", "2", "3", "4", "5"] and str(path) in told
    for macro in re.findall(r"Tarecell_\w+", setting_up.STEPS + setting_up.MODULE_STEPS):
        assert f"Public Sub {macro}()" in vba.module_text()
    with pytest.raises(ExcelProblem, match="ends with .bas"):
        module(tmp_path / "Tarecell.txt")
    with pytest.raises(ExcelProblem, match="cannot be written"):
        module(tmp_path / "nowhere" / "Tarecell.bas")


def test_the_steps_tell_what_a_cell_really_shows():
    assert tarecell.call("TC_TOP_UP", 500, 487.5) == 12.5
    assert "=TC_TOP_UP(500, 487.5)" in setting_up.STEPS and "12.5" in setting_up.STEPS


def test_a_check_reads_well():
    assert [str(Check(good, "x")) for good in (True, False, None)] == ["  ok    x", "  wrong x", "  ?     x"]
    assert Path(setting_up.addin.FILE_NAME).suffix == ".xlam"
