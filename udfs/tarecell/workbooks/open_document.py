"""OpenDocument workbooks (.ods): read by way of LibreOffice Calc, where it is installed."""

import io
import re
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tarecell.workbooks.open_document_links import belongs, wary_profile, without_links
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import recalculate
from tarecell.workbooks.sniff import LIMITS, PROLOG_LIMIT, Limits, check_entries, check_prolog, read_file

PATIENCE = 180  # seconds for one conversion
_FORMULA = re.compile(rb"(<(?:f|formula[12]?|definedName)(?:\s[^>]*)?>)([^<]*)(</)")
_OWN = re.compile(rb"\btarecell\.(tc_[a-z0-9_]+)(?=\()", re.IGNORECASE)
_MIMETYPE = b"application/vnd.oasis.opendocument.spreadsheet"


def is_open_document(path: Path) -> bool:
    """Whether a file is an OpenDocument package, by its content and not by its name."""
    if not path.is_file():  # a pipe or a device would never come to an end
        return False
    try:
        with zipfile.ZipFile(path) as archive:
            return b"opendocument" in archive.open("mimetype").read(200)
    except (OSError, KeyError, ValueError, RuntimeError, NotImplementedError, zipfile.BadZipFile):
        return False


@contextmanager
def as_xlsx(path: str | Path, limits: Limits = LIMITS) -> Iterator[Path]:
    """The workbook as an .xlsx or .xlsm file: itself, or a copy that Calc makes of an .ods and that is gone afterwards.

    Raises WorkbookProblem where an .ods cannot be converted: no Calc, a password, a damaged file.
    """
    path = Path(path)
    if not is_open_document(path):
        yield path
        return
    data = read_file(path, limits)
    _check(path.name, data, limits)
    with tempfile.TemporaryDirectory(prefix="tarecell-ods-") as folder:
        yield _converted(path, data, Path(folder))


def _check(name: str, data: bytes, limits: Limits) -> None:
    """What would be refused in an .xlsx is refused here too, before Calc sees it."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            check_entries(name, archive, limits)
            if not archive.read("mimetype").strip().startswith(_MIMETYPE):
                raise WorkbookProblem(f"{name} is an OpenDocument file, but not a spreadsheet")
            for entry in filter(belongs, archive.namelist()):
                with archive.open(entry) as part:
                    head = part.read(PROLOG_LIMIT)
                if entry.endswith(".xml"):
                    check_prolog(name, entry, head)
            manifest = archive.read("META-INF/manifest.xml")
    except (KeyError, zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError, ValueError):
        raise WorkbookProblem(f"{name} is cut short or damaged: copy it anew, or take your backup of it") from None
    if b"encryption-data" in manifest:
        raise WorkbookProblem(f"{name} is password-protected: open it in Calc and save it without a password")


def _converted(path: Path, data: bytes, folder: Path) -> Path:
    import subprocess  # only here, as what follows: an .xlsx needs nothing of Calc

    from tarecell.hosts.libreoffice import OfficeProblem, find_office

    try:
        office = find_office()
        program = office.tool("soffice")
    except OfficeProblem as problem:
        raise WorkbookProblem(
            f"{path.name} is an OpenDocument file (.ods), which is read by way of LibreOffice Calc: {problem}; or save "
            "it as .xlsx yourself"
        ) from None
    source, target = folder / "in.ods", folder / "out"
    source.write_bytes(without_links(path.name, data))
    wary_profile(folder / "profile")
    command = [
        program, "--headless", "--norestore", "--nologo", f"-env:UserInstallation={(folder / 'profile').as_uri()}",
        "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", target, source,
    ]  # fmt: skip
    try:
        subprocess.run(command, capture_output=True, timeout=PATIENCE, check=False, stdin=subprocess.DEVNULL)
    except subprocess.TimeoutExpired:
        raise WorkbookProblem(f"Calc did not convert {path.name} within {PATIENCE} seconds") from None
    except OSError as error:
        raise WorkbookProblem(f"Calc could not be started to read {path.name}: {error.strerror or error}") from None
    made = target / "in.xlsx"
    if not made.exists():
        raise WorkbookProblem(f"Calc could not read {path.name}: it is damaged, or not a spreadsheet")
    named = folder / f"{path.stem}.xlsx"
    made.replace(named)
    _with_own_functions(named)
    return named


def _with_own_functions(path: Path) -> None:
    """The functions under their names in .xlsx files: a Calc without the extension writes `tarecell.tc_scale(…)`.

    Such a Calc shows them as #NAME?, so they are computed here.
    """
    package = Package.open(path)
    parts = {}
    for part in (package.workbook_part, *(sheet.part for sheet in package.sheets)):
        xml = package.read(part)
        mended = _FORMULA.sub(lambda f: f[1] + _OWN.sub(lambda call: call[1].upper(), f[2]) + f[3], xml)
        if mended != xml:
            parts[part] = mended
    if parts:
        package.write(path, parts, in_place=True)
        recalculate(path, in_place=True)
