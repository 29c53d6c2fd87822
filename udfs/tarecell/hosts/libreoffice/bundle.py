"""Builds the extension: one .oxt file with the core of Tarecell and the pure Python parts that it needs.

The same sources and the same installed parts give the same bytes.
"""

import os
import re
import tempfile
import zipfile
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, PathDistribution, distribution
from importlib.resources import files
from pathlib import Path, PurePosixPath

from tarecell import __version__
from tarecell.functions import REGISTRY
from tarecell.hosts.libreoffice import registration
from tarecell.hosts.libreoffice.interface import library
from tarecell.hosts.libreoffice.problem import OfficeProblem

CARRIED = ("pint", "flexcache", "flexparser", "platformdirs", "typing_extensions")  # pint and what it requires
OWN_FOLDERS = ("calculations", "functions", "tables")
_INSIDE = "pythonpath"
_LICENCE = re.compile(r"(?i)^(licen[cs]e|copying|notice|authors)")
_STAMP = (1980, 1, 1, 0, 0, 0)


def _installed(name: str) -> PathDistribution:
    try:
        return distribution(name)
    except PackageNotFoundError:
        raise OfficeProblem(f"the Python package {name} is missing: run pip install {name}") from None


def needed_python() -> tuple[int, int]:
    """The oldest Python that every part of the extension runs on."""
    least = (3, 10)
    for name in CARRIED:
        found = re.search(r">=\s*3\.(\d+)", _installed(name).metadata.get("Requires-Python", ""))
        least = max(least, (3, int(found.group(1)) if found else 0))
    return least


def _carried_files(name: str) -> Iterator[tuple[str, bytes]]:
    """The files of an installed package, without its tests; METADATA too, in which it looks up its own version."""
    found = _installed(name)
    for file in found.files or ():
        parts = PurePosixPath(str(file)).parts
        if parts[0].endswith(".dist-info"):
            if parts[-1] == "METADATA":
                yield f"{_INSIDE}/{'/'.join(parts)}", Path(file.locate()).read_bytes()
        elif parts[0] != ".." and not {"__pycache__", "testsuite", "tests"} & set(parts):
            yield f"{_INSIDE}/{'/'.join(parts)}", Path(file.locate()).read_bytes()


def _licences(name: str) -> Iterator[tuple[str, bytes]]:
    for file in _installed(name).files or ():
        if ".dist-info" in str(file) and _LICENCE.match(file.name):
            yield f"licences/{name}/{file.name}", Path(file.locate()).read_bytes()


def _own_files() -> Iterator[tuple[str, bytes]]:
    """The core of Tarecell: no workbooks, no command line, and of this folder only what carries cells."""
    root = files("tarecell")
    for name in ("__init__.py", "errors.py", "hosts/__init__.py", "hosts/libreoffice/cells.py"):
        yield f"{_INSIDE}/tarecell/{name}", root.joinpath(name).read_bytes()
    for folder in OWN_FOLDERS:
        for file in root.joinpath(folder).iterdir():
            if file.name.endswith((".py", ".csv")):
                yield f"{_INSIDE}/tarecell/{folder}/{file.name}", file.read_bytes()


def contents() -> dict[str, bytes]:
    """Every file of the extension, by its path inside."""
    here = files("tarecell.hosts.libreoffice")
    summary = (
        f"{len(REGISTRY)} spreadsheet functions for people who make bath, body and candle goods by hand. Type =TC_ in "
        "a cell, or look under Add-in in the function wizard. By the Tarecell contributors, MIT licence.\n"
    )
    parts = {
        "META-INF/manifest.xml": registration.manifest().encode(),
        "description.xml": registration.description().encode(),
        "description.txt": summary.encode(),
        registration.CONFIGURATION: registration.configuration().encode(),
        registration.COMPONENTS: registration.components().encode(),
        registration.COMPONENT: here.joinpath("addin.py").read_bytes(),
        registration.TYPES: library(),
        registration.ICON: here.joinpath("icon.png").read_bytes(),
    }
    parts.update(_own_files())
    for name in CARRIED:
        parts.update(_carried_files(name))
    for name in ("tarecell", *CARRIED):
        parts.update(_licences(name))
    return parts


def build(path: str | os.PathLike) -> Path:
    """Writes the extension to `path`, or into it under its usual name when it is a folder. Returns where it is."""
    target = Path(path)
    if target.is_dir():
        target = target / f"tarecell-{__version__}.oxt"
    parts = contents()
    try:
        handle, draft = tempfile.mkstemp(dir=target.parent, suffix=".oxt")
    except OSError as error:
        why = f"{target.parent} cannot be written to ({error.strerror}): give another folder"
        raise OfficeProblem(f"{target.name} was not written: {why}") from None
    try:
        with os.fdopen(handle, "wb") as stream, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
            for name in sorted(parts):
                entry = zipfile.ZipInfo(name, _STAMP)
                entry.compress_type, entry.create_system, entry.external_attr = zipfile.ZIP_DEFLATED, 3, 0o644 << 16
                package.writestr(entry, parts[name])
        os.chmod(draft, 0o644)
        os.replace(draft, target)
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise
    return target
