"""An .xlsx or .xlsm file as a package of parts: read safely, written with everything untouched as it was.

A workbook that belongs to somebody is never re-saved. A few parts are replaced; every other part keeps its bytes, its
place, its time stamp and its compression.
"""

import copy
import io
import posixpath
import struct
import zipfile
import zlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any
from urllib.parse import unquote
from xml.etree import ElementTree

from tarecell.workbooks import safe_write
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.sniff import LIMITS, PROLOG_LIMIT, Limits, check_entries, check_prolog, read_file

CONTENT_TYPES = "[Content_Types].xml"
_RELATIONSHIPS = ("/officeDocument/2006/relationships", "/ooxml/officeDocument/relationships")
_LEVEL = 2  # of packing: the usual 6 takes three times as long for a file that is a tenth smaller
_KINDS = {"worksheet": "worksheet", "chartsheet": "chart", "dialogsheet": "dialog"}


@dataclass(frozen=True)
class Relationship:
    """A link from one part to another part (`target` is its name), or outside the file (`external`)."""

    id: str
    type: str  # the last word of the type's address, such as "worksheet"
    target: str
    external: bool = False


@dataclass(frozen=True)
class SheetPart:
    """A sheet: tab name, part, "visible", "hidden" or "veryHidden", and "worksheet", "chart", "dialog" or "macro"."""

    name: str
    part: str
    state: str = "visible"
    kind: str = "worksheet"

    @property
    def hidden(self) -> bool:
        return self.state != "visible"


class Package:
    """A workbook file, taken in whole when it is opened, so that later changes on the disk cannot mix with it."""

    def __init__(self, path: Path, data: bytes, limits: Limits = LIMITS):
        self.path, self.data = path, data
        self._from_disk = False
        self._tried: dict[str, bytes] = {}
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
        except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
            raise WorkbookProblem(
                f"{path.name} is cut short or damaged: copy it anew, or take your backup of it"
            ) from None
        self._check(limits)

    @classmethod
    def open(cls, path: str | Path, limits: Limits = LIMITS) -> "Package":
        """Opens a file, or raises WorkbookProblem with the reason in one line."""
        path = Path(path)
        data = read_file(path, limits)
        package = cls(path, data, limits)
        package._from_disk = True
        return package

    def tried(self, replaced: Mapping[str, bytes]) -> "Package":
        """The package with some sheets' parts replaced, to be read only: nothing is packed, nothing copied."""
        other = copy.copy(self)
        other._tried = {self._known(part): content for part, content in replaced.items()}
        return other

    # -- reading -------------------------------------------------------------------------------------------------

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The names of all parts, in the file's order."""
        return tuple(entry.filename for entry in self._zip.infolist())

    @cached_property
    def _by_lower(self) -> dict[str, str]:
        return {name.lower(): name for name in self.names}

    def __contains__(self, part: str) -> bool:
        return part.lower() in self._by_lower

    def read(self, part: str) -> bytes:
        """A part's bytes. Part names are compared without regard to case, as the standard says."""
        return self._read(part, None)

    def _read(self, part: str, most: int | None) -> bytes:
        name = self._by_lower.get(part.lower())
        if name is None:
            raise WorkbookProblem(f"{self.path.name} is damaged: its part {part} is missing")
        if name in self._tried:
            return self._tried[name]
        return self._unpacked(name, lambda stream: stream.read() if most is None else stream.read(most))

    def _unpacked(self, name: str, use: Callable[[Any], Any]) -> Any:
        """What `use` makes of a part's stream."""
        try:
            with self._zip.open(name) as stream:
                return use(stream)
        except NotImplementedError:
            raise WorkbookProblem(f"{self.path.name} is packed in a way that is not supported ({name})") from None
        except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, OSError, ValueError):
            raise WorkbookProblem(f"{self.path.name} is damaged: its part {name} cannot be unpacked") from None

    def xml(self, part: str) -> Any:
        """A small part as an element tree. Not for sheets: those are patched, not parsed and written again."""
        try:
            return ElementTree.fromstring(self.read(part))
        except (ElementTree.ParseError, ValueError, LookupError):
            raise WorkbookProblem(f"{self.path.name} is damaged: its part {part} is not well-formed XML") from None

    def relationships(self, part: str) -> dict[str, Relationship]:
        """The relationships of a part ("" for the package itself), by id."""
        rels = rels_part(part)
        if rels not in self:
            return {}
        found = {}
        for element in self.xml(rels):
            if local(element.tag) != "Relationship":
                continue
            external = element.get("TargetMode") == "External"
            target = element.get("Target") or ""
            if not external:
                target = resolve(part, target)
            kind = (element.get("Type") or "").rsplit("/", 1)[-1]
            found[element.get("Id") or ""] = Relationship(element.get("Id") or "", kind, target, external)
        return found

    @cached_property
    def workbook_part(self) -> str:
        """The name of the part that lists the sheets."""
        for relationship in self.relationships("").values():
            if relationship.type == "officeDocument" and relationship.target in self:
                return self._by_lower[relationship.target.lower()]
        raise WorkbookProblem(f"{self.path.name} is not a workbook: it has no workbook part")

    @cached_property
    def _workbook(self) -> Any:
        return self.xml(self.workbook_part)

    @cached_property
    def sheets(self) -> tuple[SheetPart, ...]:
        """The sheets, in the order of their tabs."""
        links = self.relationships(self.workbook_part)
        sheets = []
        listed = [entry for child in self._workbook if local(child.tag) == "sheets" for entry in child]
        for element in listed:
            if local(element.tag) != "sheet":
                continue
            link = next((links.get(v) for k, v in element.attrib.items() if _is_relationship_id(k)), None)
            if link is None or link.external or link.target not in self:
                raise WorkbookProblem(f"{self.path.name} is damaged: the sheet “{element.get('name')}” has no part")
            kind = _KINDS.get(link.type, "macro")
            part = self._by_lower[link.target.lower()]
            sheets.append(SheetPart(element.get("name") or "", part, element.get("state") or "visible", kind))
        return tuple(sheets)

    @cached_property
    def date1904(self) -> bool:
        """Whether the sheet's day 0 is in 1904 (the older habit on the Mac)."""
        for element in self._workbook:
            if local(element.tag) == "workbookPr":
                return (element.get("date1904") or "").strip().lower() in ("1", "true", "on")
        return False

    def _check(self, limits: Limits) -> None:
        name = self.path.name
        check_entries(name, self._zip, limits)
        if "mimetype" in self and b"opendocument" in self._read("mimetype", 200):
            raise WorkbookProblem(
                f"{name} is an OpenDocument file (.ods): save it as .xlsx in your spreadsheet program"
            )
        if CONTENT_TYPES not in self:
            raise WorkbookProblem(f"{name} is not an .xlsx or .xlsm workbook: it has no list of content types")
        for part in self.names:
            check_prolog(name, part, self._read(part, PROLOG_LIMIT))
        if self.workbook_part.lower().endswith(".bin"):
            raise WorkbookProblem(f"{name} is a binary workbook (.xlsb): save it as .xlsx in your spreadsheet program")
        if local(self._workbook.tag) != "workbook":
            raise WorkbookProblem(f"{name} is another kind of document, not a spreadsheet workbook")
        macro = next((sheet for sheet in self.sheets if sheet.kind == "macro"), None)
        if macro is not None:  # Excel 4 macros run commands from cells; nobody's recipe needs them
            raise WorkbookProblem(f"{name} has a macro sheet, which can run commands; it was not opened")

    # -- writing -------------------------------------------------------------------------------------------------

    def changed(self, replaced: Mapping[str, bytes], dropped: Collection[str] = ()) -> bytes:
        """The file's bytes with some parts replaced and some dropped; every other part as it is."""
        replaced = {self._known(part): content for part, content in replaced.items()}
        gone = {self._known(part) for part in dropped}
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w") as out:
            out.comment = self._zip.comment
            for entry in self._zip.infolist():
                if entry.filename in gone:
                    continue
                content = replaced.get(entry.filename)
                if content is None:
                    self._copy(entry, out)
                else:
                    out.writestr(_like(entry), content, compresslevel=_LEVEL)
        return stream.getvalue()

    def _copy(self, entry: zipfile.ZipInfo, out: zipfile.ZipFile) -> None:
        """A part taken over as it is packed: a photograph is neither packed anew nor held in memory whole.

        It is unpacked once, piece by piece, and thrown away, to be sure that it is sound.
        """
        self._unpacked(entry.filename, _read_through)
        # 30 bytes lie before an entry's name, and the lengths of it and its extra field are the last (APPNOTE.TXT).
        name, extra = struct.unpack_from("<HH", self.data, entry.header_offset + 26)
        start = entry.header_offset + 30 + name + extra
        new = _like(entry)
        new.CRC, new.compress_size, new.file_size = entry.CRC, entry.compress_size, entry.file_size
        new.flag_bits = entry.flag_bits & 0x6  # how it is packed
        new.header_offset = out.fp.tell()
        out.fp.write(new.FileHeader())
        out.fp.write(memoryview(self.data)[start : start + entry.compress_size])
        out.filelist.append(new)
        out.NameToInfo[new.filename] = new
        out.start_dir = out.fp.tell()

    def write(
        self,
        out: str | Path,
        replaced: Mapping[str, bytes],
        dropped: Collection[str] = (),
        in_place: bool = False,
    ) -> Path | None:
        """Writes a changed copy, whole or not at all. The backup's path when it goes over the input (`in_place`)."""
        out = Path(out)
        over_input = safe_write.same_file(out, self.path)
        if over_input and not in_place:
            raise WorkbookProblem(f"{out.name} is the input itself: give another name, or ask to change it in place")
        safe_write.refuse_if_open(out)
        content = self.changed(replaced, dropped)
        if not over_input:
            safe_write.write(out, content, like=self.path)
            return None
        with safe_write.alone_in(out.parent):
            return self._write_over(out, content)

    def _write_over(self, out: Path, content: bytes) -> Path:
        """Puts a backup beside the file and the new content in its place."""
        if self._from_disk and safe_write.differs(out, self.data):
            raise WorkbookProblem(f"{out.name} was changed by another program in the meantime; nothing was written")
        backup = safe_write.backup_name(out)
        safe_write.write(backup, self.data, like=self.path)
        try:
            safe_write.write(out, content, like=self.path)
        except WorkbookProblem:
            backup.unlink(missing_ok=True)
            raise
        return backup

    def _known(self, part: str) -> str:
        name = self._by_lower.get(part.lower())
        if name is None:
            raise KeyError(part)
        return name


def _read_through(stream: Any) -> None:
    while stream.read(1 << 20):
        pass


def _like(entry: zipfile.ZipInfo) -> zipfile.ZipInfo:
    """A fresh entry of the same name, time, compression and attributes."""
    new = zipfile.ZipInfo(entry.filename, entry.date_time)
    new.compress_type = entry.compress_type
    new.comment = entry.comment
    new.create_system = entry.create_system
    new.external_attr = entry.external_attr
    new.internal_attr = entry.internal_attr
    return new


def local(tag: str) -> str:
    """An element's name without its namespace or prefix."""
    return tag.rsplit("}", 1)[-1].rsplit(":", 1)[-1]


def rels_part(part: str) -> str:
    """The name of the part that holds a part's relationships."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def resolve(part: str, target: str) -> str:
    """The part name that a relationship's target means, seen from `part`."""
    target = unquote(target.split("#")[0])
    if target.startswith("/"):
        return posixpath.normpath(target).lstrip("/")
    return posixpath.normpath(posixpath.join(posixpath.dirname(part), target))


def _is_relationship_id(key: str) -> bool:
    return key.endswith("}id") and key[1:-3].endswith(_RELATIONSHIPS)
