"""Compound files ([MS-CFB] version 3), in which Office keeps a VBA project: read whole, written anew whole."""

import struct
from dataclasses import dataclass, field

_SIGNATURE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_SECTOR, _SMALL_SECTOR, _SMALL = 512, 64, 4096  # bytes; streams below 4096 lie in the small sectors
_FREE, _END, _FAT, _NONE = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD, 0xFFFFFFFF
_STORAGE, _STREAM, _ROOT = 1, 2, 5
_RED, _BLACK = 0, 1
_IN_HEADER = 109  # sector numbers of the table that fit into the header: files up to 7 MB


class NotCompound(ValueError):
    """The bytes are no compound file, or not one of the kind that is handled here."""


@dataclass
class Folder:
    """A storage: streams and further storages by name."""

    streams: dict[str, bytes] = field(default_factory=dict)
    folders: dict[str, "Folder"] = field(default_factory=dict)


# -- reading -----------------------------------------------------------------------------------------------------------


def read(data: bytes) -> Folder:
    """The whole content of a compound file."""
    if data[:8] != _SIGNATURE or struct.unpack_from("<H", data, 26)[0] != 3:
        raise NotCompound("not a compound file of version 3")
    directory, small_first = (struct.unpack_from("<I", data, at)[0] for at in (48, 60))
    if struct.unpack_from("<I", data, 72)[0]:
        raise NotCompound("too large a compound file")
    try:
        return _Reader(data).content(directory, small_first)
    except (struct.error, IndexError) as error:
        raise NotCompound(f"a damaged compound file ({error})") from None


class _Reader:
    def __init__(self, data: bytes):
        self.data = data
        self.table: list[int] = []
        for sector in struct.unpack_from(f"<{_IN_HEADER}I", data, 76):
            if sector != _FREE:
                self.table.extend(struct.unpack_from(f"<{_SECTOR // 4}I", data, (sector + 1) * _SECTOR))

    def chain(self, first: int) -> bytes:
        parts, sector = [], first
        while sector != _END:
            if len(parts) > len(self.table):
                raise NotCompound("a damaged compound file (a chain without an end)")
            parts.append(self.data[(sector + 1) * _SECTOR : (sector + 2) * _SECTOR])
            sector = self.table[sector]
        return b"".join(parts)

    def content(self, directory: int, small_first: int) -> Folder:
        self.entries = self.chain(directory)
        numbers = self.chain(small_first)
        self.small_table = struct.unpack(f"<{len(numbers) // 4}I", numbers)
        first = self._fields(0)[5]
        self.small = b"" if first == _END else self.chain(first)
        return self._folder(self._fields(0)[4])

    def _fields(self, number: int) -> tuple[str, int, int, int, int, int, int]:
        """Name, kind, left, right and first child entry, first sector, size."""
        entry = self.entries[number * 128 : number * 128 + 128]
        length, kind = struct.unpack_from("<HB", entry, 64)
        left, right, child = struct.unpack_from("<III", entry, 68)
        first, size = struct.unpack_from("<II", entry, 116)
        return entry[: max(length - 2, 0)].decode("utf-16-le"), kind, left, right, child, first, size

    def _folder(self, number: int) -> Folder:
        folder, todo = Folder(), [number]
        while todo:
            number = todo.pop()
            if number == _NONE:
                continue
            name, kind, left, right, child, first, size = self._fields(number)
            if kind == _STORAGE:
                folder.folders[name] = self._folder(child)
            else:
                folder.streams[name] = self._stream(first, size)
            todo += [left, right]
        return folder

    def _stream(self, first: int, size: int) -> bytes:
        if size >= _SMALL:
            return self.chain(first)[:size]
        parts, sector = [], first
        while sector != _END and size:
            parts.append(self.small[sector * _SMALL_SECTOR : (sector + 1) * _SMALL_SECTOR])
            sector = self.small_table[sector]
        return b"".join(parts)[:size]


# -- writing -----------------------------------------------------------------------------------------------------------


def write(root: Folder) -> bytes:
    """A compound file with this content; the same content gives the same bytes."""
    return _Writer().file(root)


class _Writer:
    def __init__(self):
        self.sectors: list[bytes] = []
        self.table: list[int] = []
        self.small = b""
        self.small_table: list[int] = []
        self.entries: list[bytes] = []

    def file(self, root: Folder) -> bytes:
        self.entries.append(b"")  # the root's, known only at the end
        child = self._children(root)
        small = self._keep(self.small)
        self.entries[0] = _entry("Root Entry", _ROOT, _BLACK, _NONE, _NONE, child, small, len(self.small))
        while len(self.entries) % 4:
            self.entries.append(_entry("", 0, _RED, _NONE, _NONE, _NONE, 0, 0))
        directory = self._keep(b"".join(self.entries))
        numbers = struct.pack(f"<{len(self.small_table)}I", *self.small_table)
        small_count = -(-len(numbers) // _SECTOR)
        small_first = self._keep(numbers, b"\xff")
        return self._head(directory, small_first, small_count) + b"".join(self.sectors)

    def _head(self, directory: int, small_first: int, small_count: int) -> bytes:
        """The header, after putting the table of all sectors at the end."""
        count = 1
        while count * (_SECTOR // 4) < len(self.table) + count:
            count += 1
        if count > _IN_HEADER:
            raise NotCompound("too much content for a compound file of this kind")
        places = range(len(self.table), len(self.table) + count)
        self.table += [_FAT] * count
        numbers = self.table + [_FREE] * (count * _SECTOR // 4 - len(self.table))
        packed = struct.pack(f"<{len(numbers)}I", *numbers)
        self.sectors += [packed[i : i + _SECTOR] for i in range(0, len(packed), _SECTOR)]
        listed = [*places, *[_FREE] * (_IN_HEADER - count)]
        return (
            _SIGNATURE
            + bytes(16)
            + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6)
            + bytes(6)
            + struct.pack("<IIII", 0, count, directory, 0)
            + struct.pack("<IIIII", _SMALL, small_first, small_count, _END, 0)
            + struct.pack(f"<{_IN_HEADER}I", *listed)
        )

    def _keep(self, content: bytes, filler: bytes = b"\0") -> int:
        """Puts content into sectors of its own; the first one's number."""
        if not content:
            return _END
        first = len(self.table)
        count = -(-len(content) // _SECTOR)
        padded = content.ljust(count * _SECTOR, filler)
        self.sectors += [padded[i * _SECTOR : (i + 1) * _SECTOR] for i in range(count)]
        self.table += [*range(first + 1, first + count), _END]
        return first

    def _keep_small(self, content: bytes) -> int:
        if not content:
            return _END
        first = len(self.small_table)
        count = -(-len(content) // _SMALL_SECTOR)
        self.small += content.ljust(count * _SMALL_SECTOR, b"\0")
        self.small_table += [*range(first + 1, first + count), _END]
        return first

    def _children(self, folder: Folder) -> int:
        """Entries for all that a folder holds, as a balanced tree; the number of its top."""
        names = sorted([*folder.streams, *folder.folders], key=lambda n: (len(n.encode("utf-16-le")), n.upper()))
        numbers = {name: len(self.entries) + i for i, name in enumerate(names)}
        self.entries += [b""] * len(names)
        complete = (len(names) + 1).bit_length() - 1  # levels without a gap; entries below them are the red ones

        def tree(low: int, high: int, level: int) -> int:
            if low >= high:
                return _NONE
            middle = (low + high) // 2
            name = names[middle]
            left, right = tree(low, middle, level + 1), tree(middle + 1, high, level + 1)
            colour = _BLACK if level < complete else _RED
            self.entries[numbers[name]] = self._packed(folder, name, colour, left, right)
            return numbers[name]

        return tree(0, len(names), 0)

    def _packed(self, folder: Folder, name: str, colour: int, left: int, right: int) -> bytes:
        if name in folder.folders:
            child = self._children(folder.folders[name])
            return _entry(name, _STORAGE, colour, left, right, child, 0, 0)
        content = folder.streams[name]
        first = self._keep(content) if len(content) >= _SMALL else self._keep_small(content)
        return _entry(name, _STREAM, colour, left, right, _NONE, first, len(content))


def _entry(name: str, kind: int, colour: int, left: int, right: int, child: int, first: int, size: int) -> bytes:
    raw = name.encode("utf-16-le")
    if len(raw) > 62:
        raise NotCompound(f"{name}: the name is too long")
    length = len(raw) + 2 if kind else 0
    return (
        raw.ljust(64, b"\0")
        + struct.pack("<HBBIII", length, kind, colour, left, right, child)
        + bytes(36)  # class, state, times
        + struct.pack("<IQ", first, size)
    )
