"""A formula taken apart as far as an inspection needs it: its calls, its references, its pattern."""

import re
from dataclasses import dataclass, field
from functools import lru_cache

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token

from tarecell.workbooks.references import letters, position

_LONGEST = 8192
_PREFIXES = ("_XLFN.", "_XLWS.", "_XLUDF.")
_CELL = re.compile(r"(?<![A-Za-z0-9_.$])(\$?)([A-Z]{1,3})(\$?)([1-9]\d{0,6})(?![A-Za-z0-9_(.!])", re.IGNORECASE)


@dataclass
class Call:
    """A function call: its name in capitals, its arguments as they stand, and whether it is the whole formula."""

    name: str
    arguments: list[str]
    whole: bool = False


@dataclass
class Formula:
    """The calls and references of a formula, from the outside in; `readable` is False where it resists."""

    text: str
    calls: list[Call] = field(default_factory=list)
    references: list[str] = field(default_factory=list)
    operators: set[str] = field(default_factory=set)
    readable: bool = True


@lru_cache(maxsize=20_000)
def taken_apart(text: str) -> Formula:
    """Takes a formula ("=SUM(A1:A3)") apart."""
    formula = Formula(text)
    if len(text) > _LONGEST:
        formula.readable = False
        return formula
    try:
        tokens = Tokenizer(text).items
    except Exception:  # the tokenizer gives up in many ways on text that no program would accept
        formula.readable = False
        return formula
    _walk([t for t in tokens if t.type != Token.WSPACE], formula)
    return formula


def _walk(tokens: list[Token], formula: Formula) -> None:
    stack: list[tuple[str, int, list[str], list[str]]] = []  # name, start, arguments, current argument
    closed: list[tuple[int, Call]] = []
    for index, token in enumerate(tokens):
        if token.type == Token.OPERAND and token.subtype == Token.RANGE:
            formula.references.append(token.value)
        elif token.type == Token.OP_IN:
            formula.operators.add(token.value)
        opening = token.subtype == Token.OPEN
        if token.type == Token.SEP and stack and token.subtype == Token.ARG:
            stack[-1][2].append("".join(stack[-1][3]))
            stack[-1][3].clear()
            for frame in stack[:-1]:
                frame[3].append(token.value)
            continue
        if token.subtype == Token.CLOSE and token.type in (Token.FUNC, Token.PAREN, Token.ARRAY) and stack:
            name, start, arguments, current = stack.pop()
            if token.type == Token.FUNC:
                if current or arguments:
                    arguments.append("".join(current))
                whole = start == 0 and index == len(tokens) - 1
                closed.append((start, Call(bare(name), arguments, whole)))
        for frame in stack:
            frame[3].append(token.value)
        if opening and token.type in (Token.FUNC, Token.PAREN, Token.ARRAY):
            stack.append((token.value[:-1], index, [], []))
    formula.calls = [call for _, call in sorted(closed, key=lambda item: item[0])]


def bare(name: str) -> str:
    """A function's name without the prefixes that files put before newer ones."""
    name = name.strip().lstrip("@+-").upper()
    while name.startswith(_PREFIXES):
        name = name.split(".", 1)[1]
    return name


def pattern(text: str, row: int, column: int) -> str:
    """The formula with its relative references counted from its own cell: the same for cells that were filled down."""

    def relative(found: re.Match) -> str:
        fixed_column, name, fixed_row, number = found.groups()
        where = position(f"{name}{number}")
        across = f"C{letters(where[1])}" if fixed_column else f"C[{where[1] - column}]"
        down = f"R{where[0]}" if fixed_row else f"R[{where[0] - row}]"
        return down + across

    parts = re.split(r'("[^"]*")', text)
    try:
        return "".join(p if p.startswith('"') else _CELL.sub(relative, p) for p in parts)
    except Exception:  # a name that looks like a cell beyond the sheet's end
        return text
