"""What Excel 2016 would not take in a formula, or would work out otherwise than Calc and the embedded engine do.

Written from Excel's published limits ("Excel specifications and limits" and "Create custom functions" in its own help)
and from what an ordinary formula, one that is not entered as an array formula, does with a range: outside of functions
that take a whole range it is the one cell beside the formula. SUMPRODUCT works through ranges, but not through an IF.
"""

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.utils import FORMULAE

MOST_FORMULA, MOST_NESTED, MOST_TEXT, MOST_ARGUMENTS, LAST_ROW, LAST_COLUMN = 8192, 64, 255, 255, 1_048_576, 16_384
# openpyxl lists the functions of the first edition of the file format (Excel 2007); these came with 2010 and 2013.
_LATER = {"IFNA", "AGGREGATE", "XOR"}
_ANY = {"SUM", "MIN", "MAX", "COUNT", "COUNTA", "COUNTBLANK", "AVERAGE", "AND", "OR", "ROWS", "COLUMNS", "SUMPRODUCT"}
_ANY |= {"ROW", "COLUMN", "SUBTOTAL", "AGGREGATE", "AREAS", "OFFSET", "MEDIAN", "NPV", "IRR", "CELL"}
_ANY |= {"SUMIFS", "COUNTIFS", "AVERAGEIFS"}
_SOME = {"INDEX": {0}, "SUMIF": {0, 2}, "COUNTIF": {0}, "AVERAGEIF": {0, 2}, "MATCH": {1}, "VLOOKUP": {1}}
_SOME |= {"HLOOKUP": {1}, "LOOKUP": {1, 2}, "LARGE": {0}, "SMALL": {0}, "RANK": {1}, "FORECAST": {1, 2}}
_STOPS = {"IF", "CHOOSE", "INDEX", "SUMIF", "COUNTIF", "AND", "OR", "IFERROR", "VLOOKUP", "MATCH"}
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@dataclass(frozen=True)
class Written:
    """A formula of a file, and whether it is an array formula."""

    place: str
    text: str
    array: bool = False


def formulas(path: Path) -> Iterator[Written]:
    """All the formulas of the cells of an .xlsx file, as they are written in it."""
    with zipfile.ZipFile(path) as package:
        for name in package.namelist():
            if re.fullmatch(r"xl/worksheets/[^/]*\.xml", name):
                for cell in ElementTree.fromstring(package.read(name)).iter(f"{_MAIN}c"):
                    found = cell.find(f"{_MAIN}f")
                    if found is not None and found.text:
                        yield Written(f"{name} {cell.get('r')}", found.text, found.get("t") == "array")


def faults(written: Written) -> list[str]:
    """What Excel would mind in a formula."""
    text = written.text
    tokens = [t for t in Tokenizer("=" + text).items if t.type != Token.WSPACE]
    found = [f"{len(text)} characters"] if len(text) > MOST_FORMULA else []
    stack: list[list] = []  # name, number of the argument
    for i, token in enumerate(tokens):
        if token.subtype == Token.OPEN:
            name = token.value[:-1].upper() if token.type == Token.FUNC else "("
            if token.type == Token.FUNC and name not in FORMULAE and name not in _LATER:
                found.append(f"{name} is no function of Excel 2016")
            stack.append([name, 0])
            if len([f for f in stack if f[0] != "("]) > MOST_NESTED:
                found.append(f"more than {MOST_NESTED} functions in each other")
        elif token.subtype == Token.CLOSE:
            stack.pop()
        elif token.type == Token.SEP and stack:
            stack[-1][1] += 1
            if stack[-1][1] >= MOST_ARGUMENTS:
                found.append(f"{stack[-1][0]} has more than {MOST_ARGUMENTS} arguments")
        elif token.subtype == Token.TEXT and len(token.value[1:-1].replace('""', '"')) > MOST_TEXT:
            found.append(f"a text of more than {MOST_TEXT} characters")
        elif token.subtype == Token.NUMBER and not re.fullmatch(r"\d+(\.\d+)?(E[+-]\d+)?", token.value):
            found.append(f"the number {token.value} is not written as Excel writes it")
        elif token.subtype == Token.RANGE:
            found += _outside(token.value)
            if ":" in token.value and not written.array and not _taken(stack, tokens, i):
                found.append(f"{token.value} needs an array formula")
    return found


def _outside(value: str) -> list[str]:
    for column, row in re.findall(r"\$?([A-Z]{1,3})\$?(\d+)", value.rsplit("!")[-1]):
        number = 0
        for letter in column:
            number = number * 26 + ord(letter) - 64
        if number > LAST_COLUMN or int(row) > LAST_ROW:
            return [f"{value} lies outside a sheet"]
    return []


def _taken(stack: list[list], tokens: list[Token], i: int) -> bool:
    """Whether a range stands where an ordinary formula takes all of it."""
    functions = [f for f in stack if f[0] != "("]
    if not functions:
        return False
    name, number = functions[-1]
    alone = stack[-1] is functions[-1] and tokens[i - 1].type in (Token.FUNC, Token.SEP)
    alone = alone and (tokens[i + 1].type == Token.SEP or tokens[i + 1].subtype == Token.CLOSE)
    if alone and (name in _ANY or number in _SOME.get(name, ())):
        return True
    for name, _ in reversed(functions):
        if name == "SUMPRODUCT":
            return True
        if name in _STOPS:
            return False
    return False
