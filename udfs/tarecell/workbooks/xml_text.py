"""Text and numbers as they stand in a sheet's XML."""

import math
import re

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
    if value == int(value) and abs(value) < 1e16:
        return str(int(value))
    return repr(float(value))


def formula(text: str) -> str:
    """A formula as an element's content, without its "="."""
    text = text.removeprefix("=")
    if not text or len(text) > MOST_FORMULA:
        raise WorkbookProblem(f"a formula of {len(text)} characters does not fit a cell: {MOST_FORMULA} are the most")
    if re.search("[\x00-\x08\x0b-\x1f\ufffe\uffff\ud800-\udfff]", text):
        raise WorkbookProblem("a formula cannot hold control characters")
    return plain(text)
