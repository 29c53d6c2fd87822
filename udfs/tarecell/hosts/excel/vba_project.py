"""Puts the text of modules into a VBA project ([MS-OVBA]) that has modules of these names already.

The project must carry no compiled code of its own (as in the add-in template that xlwings brings): Excel then compiles
the texts when it opens the file. A module that is replaced loses its compiled form, which no longer fits.
"""

import struct
from collections.abc import Mapping

from tarecell.hosts.excel import compound_file

_CHUNK = 4096  # bytes of text that are packed together
_PROJECT_NAME, _PROJECT_VERSION, _MODULE_STREAM, _MODULE_OFFSET = 0x0004, 0x0009, 0x001A, 0x0031
_BYTES = "latin-1"  # keeps every byte of a text as it is, whatever code page it was written in
_NOT_COMPILED = b"\xcc\x61\xff\xff"  # how a project begins that brings no compiled code


class ProjectProblem(ValueError):
    """The project is not of the kind that is handled here; the message says in one line why."""


def with_modules(project: bytes, texts: Mapping[str, str], name: str) -> bytes:
    """The project under a name of its own, with these modules' texts in place of what they were."""
    root = compound_file.read(project)
    try:
        streams = root.folders["VBA"].streams
        if streams["_VBA_PROJECT"][:4] != _NOT_COMPILED:
            raise ProjectProblem("the project brings compiled code along")
        records = _records(decompressed(streams["dir"]))
        for module, text in texts.items():
            if module not in streams:
                raise ProjectProblem(f"the project has no module {module}")
            streams[module] = compressed(text.encode(_BYTES))
        _set_offsets(records, set(texts))
        old = _rename(records, name)
        streams["dir"] = compressed(b"".join(_packed(r) for r in records))
        lines = root.streams["PROJECT"].decode(_BYTES).split("\r\n")
        root.streams["PROJECT"] = "\r\n".join(
            f'Name="{name}"' if line == f'Name="{old}"' else line for line in lines
        ).encode(_BYTES)
    except KeyError as error:
        raise ProjectProblem(f"the project has no stream {error}") from None
    return compound_file.write(root)


def module_text(project: bytes, module: str) -> str:
    """The text of a module."""
    root = compound_file.read(project)
    streams = root.folders["VBA"].streams
    found, current = {}, ""
    for kind, data in _records(decompressed(streams["dir"])):
        if kind == _MODULE_STREAM:
            current = data.decode(_BYTES)
        elif kind == _MODULE_OFFSET:
            found[current] = struct.unpack("<I", data)[0]
    if module not in found:
        raise ProjectProblem(f"the project has no module {module}")
    return decompressed(streams[module][found[module] :]).decode(_BYTES)


def _records(raw: bytes) -> list[tuple[int, bytes]]:
    """The records of the stream `dir`, in order."""
    found, at = [], 0
    while at < len(raw):
        kind, size = struct.unpack_from("<HI", raw, at)
        if kind == _PROJECT_VERSION:
            size = 6  # its length field says 4 and does not count the minor version
        found.append((kind, raw[at + 6 : at + 6 + size]))
        at += 6 + size
    return found


def _packed(record: tuple[int, bytes]) -> bytes:
    kind, data = record
    return struct.pack("<HI", kind, 4 if kind == _PROJECT_VERSION else len(data)) + data


def _set_offsets(records: list[tuple[int, bytes]], modules: set[str]) -> None:
    """These modules' streams begin with their text."""
    current = ""
    for i, (kind, data) in enumerate(records):
        if kind == _MODULE_STREAM:
            current = data.decode(_BYTES)
        elif kind == _MODULE_OFFSET and current in modules:
            records[i] = kind, struct.pack("<I", 0)


def _rename(records: list[tuple[int, bytes]], name: str) -> str:
    for i, (kind, data) in enumerate(records):
        if kind == _PROJECT_NAME:
            records[i] = kind, name.encode(_BYTES)
            return data.decode(_BYTES)
    raise ProjectProblem("the project has no name")


# -- the packing of texts ([MS-OVBA] 2.4.1) ----------------------------------------------------------------------------


def compressed(data: bytes) -> bytes:
    """Data as a VBA project keeps it."""
    return b"\x01" + b"".join(_packed_chunk(data[i : i + _CHUNK]) for i in range(0, len(data), _CHUNK))


def _packed_chunk(chunk: bytes) -> bytes:
    body = _tokens(chunk)
    if len(body) > _CHUNK and len(chunk) == _CHUNK:  # as it is, where packing makes it longer
        return struct.pack("<H", 0x3000 | (_CHUNK - 1)) + chunk
    if len(body) > _CHUNK:  # the format has no way to keep it
        raise ProjectProblem("a text that does not pack")
    return struct.pack("<H", 0xB000 | (len(body) - 1)) + body


def _tokens(chunk: bytes) -> bytes:
    """Groups of eight, each a letter or a reference to letters before, told apart by the bits of a first byte."""
    out, seen, at = bytearray(), {}, 0
    while at < len(chunk):
        flags_at = len(out)
        out.append(0)
        for bit in range(8):
            if at >= len(chunk):
                break
            offset, length = _match(chunk, at, seen)
            if length:
                out[flags_at] |= 1 << bit
                out += struct.pack("<H", (offset - 1) << (16 - _offset_bits(at)) | (length - 3))
            else:
                out.append(chunk[at])
            for place in range(at, at + max(length, 1)):
                seen.setdefault(chunk[place : place + 3], []).append(place)
            at += max(length, 1)
    return bytes(out)


def _match(chunk: bytes, at: int, seen: dict[bytes, list[int]]) -> tuple[int, int]:
    """The longest piece before `at` that goes on as the chunk does: how far back, how long."""
    most = min((0xFFFF >> _offset_bits(at)) + 3, len(chunk) - at)
    best, best_place = 0, 0
    if most >= 3:
        for place in reversed(seen.get(chunk[at : at + 3], ())):
            length = 3
            while length < most and chunk[place + length] == chunk[at + length]:
                length += 1
            if length > best:
                best, best_place = length, place
                if best == most:
                    break
    return at - best_place, best


def _offset_bits(at: int) -> int:
    """How many bits of a reference tell how far back: as many as it takes, 4 at least."""
    return max((at - 1).bit_length(), 4)


def decompressed(data: bytes) -> bytes:
    """What was packed."""
    if data[:1] != b"\x01":
        raise ProjectProblem("a stream does not begin as packed data does")
    out, at = bytearray(), 1
    while at < len(data):
        head = struct.unpack_from("<H", data, at)[0]
        end = at + (head & 0x0FFF) + 3
        if head & 0x8000:
            _unpack(data, at + 2, min(end, len(data)), out)
        else:
            out += data[at + 2 : end]
        at = end
    return bytes(out)


def _unpack(data: bytes, at: int, end: int, out: bytearray) -> None:
    start = len(out)
    while at < end:
        flags, at = data[at], at + 1
        for bit in range(8):
            if at >= end:
                return
            if not flags >> bit & 1:
                out.append(data[at])
                at += 1
                continue
            token, at = struct.unpack_from("<H", data, at)[0], at + 2
            bits = _offset_bits(len(out) - start)
            back, length = (token >> (16 - bits)) + 1, (token & 0xFFFF >> bits) + 3
            if back > len(out) - start:
                raise ProjectProblem("packed data refers to what is not there")
            for _ in range(length):
                out.append(out[-back])
