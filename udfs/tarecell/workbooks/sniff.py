"""Looking at a file before it is trusted: is it an .xlsx or .xlsm package, whole and harmless?"""

import re
import zipfile
from dataclasses import dataclass
from pathlib import Path

from tarecell.workbooks.problems import WorkbookProblem

_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_OLD_BIFF = (b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00", b"\x09\x08")
_PROLOG = re.compile(rb"(?:\s+|<\?.*?\?>|<!--.*?-->)*", re.DOTALL)
PROLOG_LIMIT = 1 << 16


@dataclass(frozen=True)
class Limits:
    """How large a package may be. A part that unpacks to more than `ratio` times its size is a zip bomb, once large."""

    file: int = 512 << 20
    entries: int = 20_000
    part: int = 1 << 30
    total: int = 2 << 30
    ratio: int = 250
    ratio_from: int = 16 << 20


LIMITS = Limits()


def read_file(path: Path, limits: Limits = LIMITS) -> bytes:
    """All bytes of a file that begins like a zip package; what else it is, if it does not."""
    name = path.name or str(path)
    try:
        if path.is_dir():
            raise WorkbookProblem(f"{name} is a folder, not a workbook")
        if not path.exists():
            raise WorkbookProblem(f"{name} was not found in {path.absolute().parent}")
        if not path.is_file():
            raise WorkbookProblem(f"{name} is not an ordinary file")
        if path.stat().st_size > limits.file:
            raise WorkbookProblem(f"{name} is larger than {limits.file >> 20} MB, too large to work on safely")
        data = path.read_bytes()
    except PermissionError:
        raise WorkbookProblem(f"{name} may not be read: its permissions forbid it") from None
    except OSError as error:
        raise WorkbookProblem(f"{name} cannot be read: {error.strerror or error}") from None
    if not data.startswith(b"PK\x03\x04"):
        raise WorkbookProblem(_not_a_package(name, data))
    return data


def _not_a_package(name: str, data: bytes) -> str:
    if not data:
        return f"{name} is empty (0 bytes)"
    if data.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            return f"{name} is password-protected: open it in your spreadsheet program and save it without a password"
        return f"{name} is an old .xls file: open it in your spreadsheet program and save it as .xlsx"
    if data.startswith(_OLD_BIFF):
        return f"{name} is an old .xls file: open it in your spreadsheet program and save it as .xlsx"
    if data.strip(b"\x00") == b"":
        return f"{name} holds nothing but zero bytes: it was not written completely"
    return f"{name} is not an .xlsx or .xlsm workbook: open it in your spreadsheet program and save it as .xlsx"


def check_entries(name: str, archive: zipfile.ZipFile, limits: Limits = LIMITS) -> None:
    """Refuses zip bombs, encrypted entries and part names that lead elsewhere or stand for one part twice."""
    entries = archive.infolist()
    if len(entries) > limits.entries:
        raise WorkbookProblem(f"{name} holds {len(entries)} parts, more than a workbook ever has; it was not opened")
    seen: dict[str, str] = {}
    total = 0
    for entry in entries:
        part = entry.filename
        # zipfile cuts names at NUL bytes and turns backslashes round on some systems: judge the name as stored.
        stored = entry.orig_filename
        segments = part.rstrip("/").split("/")
        if "\\" in stored or "\0" in stored or ":" in stored or any(s in ("", ".", "..") for s in segments):
            raise WorkbookProblem(f"{name} holds a part with an unsafe name ({stored[:60]!r}); it was not opened")
        if part.lower() in seen:
            raise WorkbookProblem(f"{name} holds the part {part[:60]} twice; it is damaged or was tampered with")
        seen[part.lower()] = part
        if entry.flag_bits & 0x1:
            raise WorkbookProblem(f"{name} is password-protected: save it without a password")
        total += entry.file_size
        bomb = entry.file_size > limits.ratio_from and entry.file_size > limits.ratio * max(entry.compress_size, 1)
        if bomb or entry.file_size > limits.part or total > limits.total:
            raise WorkbookProblem(f"{name} would unpack to far more data than a workbook holds; it was not opened")


def check_prolog(name: str, part: str, head: bytes) -> None:
    """Refuses XML with a document type, the place where entities are declared. `head`: the part's first 64 KiB."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or head[:2] in (b"<\0", b"\0<"):
        little = head.startswith(b"\xff\xfe") or head[:2] == b"<\0"
        head = head.decode("utf-16-le" if little else "utf-16-be", "replace").lstrip("\ufeff").encode()
    head = head.removeprefix(b"\xef\xbb\xbf")
    if not head.lstrip().startswith(b"<"):
        return
    end = _PROLOG.match(head).end()
    if head.startswith(b"<!DOCTYPE", end):
        raise WorkbookProblem(
            f"{name}: its part {part} declares XML entities, which no workbook needs; it was not opened"
        )
    if end >= len(head) - 16 and len(head) >= PROLOG_LIMIT or head.startswith((b"<!--", b"<?"), end):
        raise WorkbookProblem(f"{name}: the beginning of its part {part} is not that of a workbook; it was not opened")
