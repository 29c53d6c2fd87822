"""Gnumeric, driven by its converter without a window: inputs changed, everything computed anew, values read.

Gnumeric would believe the values that a file holds. So every formula is given a wrong one on the way in, and what comes
back was computed by Gnumeric, or is seen at once.
"""

import shutil
import subprocess
import zipfile
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from lxml import etree
from tarecell.errors import CellError
from tarecell.workbooks.references import address, position

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
RELATIONS = "xl/_rels/workbook.xml.rels"
WRONG = -98765432.5  # the stored value of every formula
PATIENCE = 120  # seconds
Place = tuple[str, tuple[int, int]]


class GnumericMissing(Exception):
    """Gnumeric is not on this machine."""


class Gnumeric:
    """Gnumeric's converter, one process for every workbook that is computed."""

    def __init__(self, folder: Path):
        found = shutil.which("ssconvert")
        if found is None:
            raise GnumericMissing("no ssconvert (package gnumeric)")
        self.program, self.folder, self.made = found, folder, 0

    @cached_property
    def version(self) -> str:
        ended = subprocess.run(
            [self.program, "--version"], capture_output=True, text=True, timeout=PATIENCE, check=True
        )
        return ended.stdout.split("'")[1]

    def trials(self, path: Path, changes: list[dict[Place, object]], sheets=None) -> list[dict[Place, object]]:
        """All cells of the workbook as it is, and after each of the changes."""
        return [self.computed(path, change) for change in ({}, *changes)]

    def computed(self, path: Path, change: Mapping[Place, object], anew: bool = True) -> dict[Place, object]:
        """All cells with these typed over (None: emptied). Not `anew`: the values that the file holds are believed."""
        self.made += 1
        given, told = (self.folder / f"{kind}_{self.made}.xlsx" for kind in ("given", "told"))
        write_changed(path, change, given)
        command = [self.program, *["--recalc"][:anew], "--export-type=Gnumeric_Excel:xlsx2", str(given), str(told)]
        ended = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE)
        assert ended.returncode == 0 and told.exists(), ended.stderr[-2000:]
        values = read(told)
        given.unlink()
        told.unlink()
        return values


def write_changed(path: Path, change: Mapping[Place, object], changed: Path) -> None:
    """A copy of a workbook with cells typed over and a wrong value stored in every formula."""
    by_sheet: dict[str, dict] = {}
    for (sheet, at), value in change.items():
        by_sheet.setdefault(sheet, {})[at] = value
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(changed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new:
        parts = {part: name for name, part in _sheets(old).items()}
        for name in old.namelist():
            data = old.read(name)
            if name in parts:
                data = _with_changes(data, by_sheet.get(parts[name], {}))
            new.writestr(name, data)


def _with_changes(data: bytes, change: Mapping[tuple[int, int], object]) -> bytes:
    root = etree.fromstring(data)
    cells = {position(cell.get("r")): cell for cell in root.iter(f"{MAIN}c")}
    for cell in cells.values():
        if cell.find(f"{MAIN}f") is not None:
            _store(cell, WRONG, keep=f"{MAIN}f")
    for at, value in change.items():
        cell = cells[at] if at in cells else _new_cell(root, at)
        _store(cell, value)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)


def _store(cell, value, keep: str = "") -> None:
    """Puts a value into a cell as Excel does."""
    for part in [part for part in cell if part.tag != keep]:
        cell.remove(part)
    cell.attrib.pop("t", None)
    if isinstance(value, str):
        cell.set("t", "inlineStr")
        text = etree.SubElement(etree.SubElement(cell, f"{MAIN}is"), f"{MAIN}t")
        text.text = value
        text.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
    elif value is not None:
        if isinstance(value, bool):
            cell.set("t", "b")
        etree.SubElement(cell, f"{MAIN}v").text = str(int(value)) if isinstance(value, bool) else repr(float(value))


def _new_cell(root, at: tuple[int, int]):
    """A cell that the file does not have yet, in its place among the others."""
    rows = root.find(f"{MAIN}sheetData")
    row = next((row for row in rows if row.get("r") == str(at[0])), None)
    if row is None:
        row = etree.Element(f"{MAIN}row", r=str(at[0]))
        rows.insert(sum(int(other.get("r")) < at[0] for other in rows), row)
    cell = etree.Element(f"{MAIN}c", r=address(at))
    row.insert(sum(position(other.get("r"))[1] < at[1] for other in row), cell)
    return cell


def read(path: Path) -> dict[Place, object]:
    """The values of all cells; dates as serial numbers."""
    with zipfile.ZipFile(path) as package:
        strings = []
        if "xl/sharedStrings.xml" in package.namelist():
            strings = [_text(item) for item in etree.fromstring(package.read("xl/sharedStrings.xml"))]
        return {
            (sheet, position(cell.get("r"))): _value(cell, strings)
            for sheet, part in _sheets(package).items()
            for cell in etree.fromstring(package.read(part)).iter(f"{MAIN}c")
        }


def _value(cell, strings: list[str]):
    kind, stored = cell.get("t", "n"), cell.findtext(f"{MAIN}v")
    if kind == "inlineStr":
        return _text(cell)
    if stored is None:
        return None
    if kind == "e":
        return CellError("", stored)
    if kind in ("s", "str"):
        return strings[int(stored)] if kind == "s" else stored
    return stored == "1" if kind == "b" else float(stored)


def _text(item) -> str:
    return "".join(part.text or "" for part in item.iter(f"{MAIN}t"))


def _sheets(package: zipfile.ZipFile) -> dict[str, str]:
    """The part of each sheet."""
    targets = {link.get("Id"): link.get("Target") for link in etree.fromstring(package.read(RELATIONS))}
    sheets = etree.fromstring(package.read("xl/workbook.xml")).iter(f"{MAIN}sheet")
    parts = {sheet.get("name"): targets[sheet.get(LINK)] for sheet in sheets}
    return {name: part.lstrip("/") if part.startswith("/") else f"xl/{part}" for name, part in parts.items()}
