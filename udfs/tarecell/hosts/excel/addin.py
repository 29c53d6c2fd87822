"""Builds the add-in: one .xlam file with the VBA module, xlwings' own VBA and the settings that xlwings reads.

It is made of the add-in template that the installed xlwings brings, so that its VBA and its Python always fit together.
The same parts give the same bytes. Not run in Excel yet: the tests read it back with other programs.
"""

import importlib.util
import os
import re
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path
from xml.sax.saxutils import escape

from tarecell import __version__
from tarecell.hosts.excel import vba_project
from tarecell.hosts.excel.compound_file import NotCompound
from tarecell.hosts.excel.problem import ExcelProblem
from tarecell.hosts.excel.vba import module_text

FILE_NAME = "Tarecell.xlam"
PROJECT, SETTINGS_SHEET = "Tarecell", "tarecell.conf"
_TEMPLATE, _VBA, _MODULE, _XLWINGS = "quickstart_addin.xlam", "xl/vbaProject.bin", "Module1", "xlwings"
_STAMP = (1980, 1, 1, 0, 0, 0)
_NAMED = re.compile(r'(Public Const PROJECT_NAME As String = )"\w+"')
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def template() -> Path:
    """xlwings' template of an add-in."""
    found = importlib.util.find_spec("xlwings")
    if found is None or not found.origin:
        raise ExcelProblem("xlwings is not installed: run pip install xlwings")
    path = Path(found.origin).with_name(_TEMPLATE)
    if not path.exists():
        raise ExcelProblem(f"this xlwings brings no {_TEMPLATE}: run pip install --upgrade xlwings")
    return path


def settings(python: str | os.PathLike | None) -> dict[str, str]:
    """What xlwings is told: which Python to start, and not to look for Python files beside workbooks."""
    told = {"ADD_WORKBOOK_TO_PYTHONPATH": "false"}
    if python is not None:
        told = {"INTERPRETER_WIN": str(python), **told}
    return told


def build(path: str | os.PathLike, python: str | os.PathLike | None = None) -> Path:
    """Writes the add-in to `path`, or into it under its usual name when it is a folder. Returns where it is.

    python: the Python that Excel starts, by its whole path; left out, the one that Windows finds by name.
    """
    target = Path(path)
    if target.is_dir():
        target = target / FILE_NAME
    if target.suffix.lower() != ".xlam":
        raise ExcelProblem(f"{target.name}: the name of an add-in ends with .xlam")
    parts = contents(settings(python))
    try:
        handle, draft = tempfile.mkstemp(dir=target.parent, suffix=".xlam")
    except OSError as error:
        raise ExcelProblem(f"{target.parent} cannot be written to: {error.strerror}") from None
    try:
        with os.fdopen(handle, "wb") as stream, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
            for name, content in parts.items():
                entry = zipfile.ZipInfo(name, _STAMP)
                entry.compress_type, entry.create_system, entry.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
                package.writestr(entry, content)
        os.chmod(draft, 0o644)
        os.replace(draft, target)
    except PermissionError:
        Path(draft).unlink(missing_ok=True)
        raise ExcelProblem(f"{target} is in use: close Excel and try again") from None
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise
    return target


def contents(told: Mapping[str, str]) -> dict[str, bytes]:
    """Every file of the add-in, by its path inside."""
    with zipfile.ZipFile(template()) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    try:
        own = module_text(addin=True, module=_MODULE)
        theirs, renamed = _NAMED.subn(rf'\1"{PROJECT.lower()}"', vba_project.module_text(parts[_VBA], _XLWINGS))
        if renamed != 1:
            raise vba_project.ProjectProblem("xlwings' module does not say its project's name")
        parts[_VBA] = vba_project.with_modules(parts[_VBA], {_MODULE: own, _XLWINGS: theirs}, PROJECT)
        parts["xl/workbook.xml"] = _workbook(parts["xl/workbook.xml"])
    except (KeyError, NotCompound, vba_project.ProjectProblem) as error:
        raise ExcelProblem(
            f"the template of this xlwings is not of the kind that is known here ({error}): use “tarecell excel module”"
        ) from None
    parts["xl/worksheets/sheet1.xml"] = _sheet(told)
    parts["docProps/core.xml"] = _about()
    return parts


def installed_text(path: str | os.PathLike) -> str | None:
    """The text of the module inside an add-in, None where there is none."""
    try:
        with zipfile.ZipFile(path) as package:
            return vba_project.module_text(package.read(_VBA), _MODULE)
    except (OSError, KeyError, zipfile.BadZipFile, NotCompound, vba_project.ProjectProblem):
        return None


def _workbook(raw: bytes) -> bytes:
    """The settings sheet under the name that xlwings looks for; without the folder of whoever made the template."""
    text, renamed = re.subn(r'(<sheet name=)"_?\w+\.conf"', rf'\1"{SETTINGS_SHEET}"', raw.decode("utf-8"))
    if renamed != 1:
        raise vba_project.ProjectProblem("it has no settings sheet")
    return re.sub(r"<mc:AlternateContent.*?</mc:AlternateContent>", "", text, flags=re.S).encode()


def _sheet(told: Mapping[str, str]) -> bytes:
    def cell(name: str, text: str) -> str:
        return f'<c r="{name}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'

    rows = "".join(
        f'<row r="{i}">{cell(f"A{i}", key)}{cell(f"B{i}", value)}</row>'
        for i, (key, value) in enumerate(told.items(), 1)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        f'<worksheet xmlns="{_MAIN}"><sheetPr codeName="Sheet2"/>'
        f'<cols><col min="1" max="2" width="36" customWidth="1"/></cols><sheetData>{rows}</sheetData></worksheet>'
    ).encode()


def _about() -> bytes:
    """What Excel's list of add-ins shows."""
    return (
        '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        '<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" '
        'xmlns:dc="http://purl.org/dc/elements/1.1/">'
        f"<dc:title>Tarecell</dc:title><dc:description>Tarecell {__version__}: spreadsheet functions for people who "
        "make bath, body and candle goods by hand</dc:description></cp:coreProperties>\n"
    ).encode()
