"""Text and numbers as they stand in a sheet's XML."""

import math
import re
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from tarecell.workbooks.problems import WorkbookProblem

MOST_TEXT = 32_767  # characters in a cell, a limit of the file format's programs
MOST_FORMULA = 8_192
# What XML cannot hold is written _xHHHH_ in a workbook; text that looks like such an escape gets its "_" escaped.
_UNWRITABLE = re.compile("[\x00-\x08\x0b-\x0d\x0e-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
_LONE_SURROGATE = re.compile("[\ud800-\udfff]")
_ESCAPE = re.compile("_x([0-9A-Fa-f]{4})_")


def plain(text: str) -> str:
    """Text for an element's content, with the three characters replaced that XML keeps for itself."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def cell_text(text: str) -> str:
    """A cell's text as an element's content."""
    if len(text) > MOST_TEXT:
        raise WorkbookProblem(f"a text of {len(text)} characters does not fit a cell: {MOST_TEXT} are the most")
    text = _LONE_SURROGATE.sub("\ufffd", text)
    return plain(_UNWRITABLE.sub(lambda found: f"_x{ord(found.group()):04X}_", text))


def read_text(content: str) -> str:
    """The text that a cell's content stands for: the reverse of `cell_text`, after XML has been read."""
    return _ESCAPE.sub(lambda found: chr(int(found.group(1), 16)), content)


def keeps_space(text: str) -> str:
    """The attribute that keeps outer spaces and line breaks, where there are any."""
    return ' xml:space="preserve"' if text != text.strip() or "\n" in text else ""


def number(value: float) -> str:
    """A number with all its digits. A workbook cannot hold infinities and NaN: ValueError."""
    if not math.isfinite(value):
        raise ValueError("not a finite number")
    return repr(float(value) + 0.0).removesuffix(".0")  # -0 is 0


def formula(text: str) -> str:
    """A formula as an element's content, without its "="."""
    text = text.removeprefix("=")
    if not text or len(text) > MOST_FORMULA:
        raise WorkbookProblem(f"a formula of {len(text)} characters does not fit a cell: {MOST_FORMULA} are the most")
    if re.search("[\x00-\x08\x0b-\x1f\ufffe\uffff\ud800-\udfff]", text):
        raise WorkbookProblem("a formula cannot hold control characters")
    return plain(text)


# -- reading bytes of a well-formed document -----------------------------------------------------------------------

# Stand-ins inside a document that is being read; none of them can occur in XML. See `without_asides`.
_NOTHING, _LESS, _AMPERSAND = b"\0", b"\1", b"\2"
_ASIDE = re.compile(rb"<!--.*?-->|<\?.*?\?>|<!\[CDATA\[(.*?)\]\]>", re.DOTALL)
_REFERENCE = re.compile("&(?:#x([0-9A-Fa-f]+)|#([0-9]+)|(lt|gt|amp|quot|apos));")
_NAMED = {"lt": "<", "gt": ">", "amp": "&", "quot": '"', "apos": "'"}
_ATTRIBUTES = re.compile(rb"([^\s=]+)\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")


def without_asides(xml: bytes) -> bytes:
    """The document with its comments, instructions and CDATA marks blanked, every other byte in its old place.

    Afterwards each "<" begins a tag. Nearly every sheet has nothing of the kind and is given back as it is.
    """
    return _ASIDE.sub(_blanked, xml) if has_asides(xml) else xml


def has_asides(xml: bytes) -> bool:
    """Whether there are comments, instructions or CDATA marks, the XML declaration left aside."""
    declared = xml.find(b"?>", 0, 200) + 2 if xml.find(b"<?xml", 0, 8) >= 0 else 0
    return holds(xml, b"<!") or holds(xml, b"<?", declared)


def holds(xml: bytes, mark: bytes, start: int = 0) -> bool:
    """Whether a mark occurs. Its last character is rare, and looked for far more quickly."""
    return xml.find(mark[-1:], start) >= 0 and xml.find(mark, start) >= 0


def _blanked(found: re.Match) -> bytes:
    inside = found.group(1)
    if inside is None:
        return _NOTHING * len(found.group())
    return _NOTHING * 9 + inside.replace(b"<", _LESS).replace(b"&", _AMPERSAND) + _NOTHING * 3


def content(raw: bytes) -> str:
    """The text of an element without children."""
    text = raw.decode()
    if "&" in text or "\r" in text or "\0" in text:
        text = _resolved(text.replace("\r\n", "\n").replace("\r", "\n"))
        return text.replace("\0", "").replace("\1", "<").replace("\2", "&")
    return text


def _resolved(text: str) -> str:
    return _REFERENCE.sub(_character, text) if "&" in text else text


def _character(found: re.Match) -> str:
    code, number_, name = found.groups()
    return _NAMED[name] if name else chr(int(code, 16) if code else int(number_))


@lru_cache(maxsize=4096)  # cells of a sheet have a handful of different attributes, besides their addresses
def attributes(raw: bytes) -> Mapping[str, str]:
    """The attributes in (a part of) a start tag."""
    found = {}
    for name, double, single in _ATTRIBUTES.findall(raw):
        text = (double or single).decode().replace("\r\n", " ")
        found[name.decode()] = _resolved(re.sub("[\t\r\n]", " ", text))
    return MappingProxyType(found)
