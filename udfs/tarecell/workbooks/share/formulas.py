"""A cell's formula with every call of a TC_ function replaced by a plain step, or the reason why it cannot be.

The formula is read as tokens. A call's arguments that are cells, ranges or typed values go to the translation as they
are; any other argument is worked out in a step of its own first.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.formula.translate import Translator, TranslatorError

from tarecell.errors import CellError
from tarecell.hosts.embedded import Names
from tarecell.hosts.embedded import ranges as engine_ranges
from tarecell.hosts.embedded.references import LAST_COLUMN, LAST_ROW, QUALIFIED, REFERENCE, Box, relative, shifted
from tarecell.hosts.embedded.tables import Unsupported, plain_range
from tarecell.hosts.plain import Given, Result, Sheet, Untranslatable, translate_call
from tarecell.workbooks.cells import FormulaCell
from tarecell.workbooks.references import Position, address, area, letters

MOST_CELLS = 60_000  # in one argument's range
_LIFTED = engine_ranges.LIFTED | engine_ranges.SINGLE
# Functions that Excel 2016 does not have; in a file they carry a prefix.
NEWER = re.compile(
    r"_xlfn\.(?:_xlws\.)?(?:XLOOKUP|XMATCH|LET|LAMBDA|FILTER|SORT|SORTBY|UNIQUE|SEQUENCE|RANDARRAY|TEXTJOIN|CONCAT|IFS|"
    r"SWITCH|MAXIFS|MINIFS|TEXTSPLIT|TEXTBEFORE|TEXTAFTER|VSTACK|HSTACK|TOCOL|TOROW|TAKE|DROP|CHOOSECOLS|CHOOSEROWS|"
    r"WRAPROWS|WRAPCOLS|EXPAND|MAP|REDUCE|SCAN|BYROW|BYCOL|MAKEARRAY|ANCHORARRAY|SINGLE)\b",
    re.IGNORECASE,
)


def text_at(cell: FormulaCell) -> str:
    """A formula as its own cell has it, also where it shares another cell's."""
    if cell.shift == (0, 0):
        return cell.text
    row, column = cell.position
    origin = address((row - cell.shift[0], column - cell.shift[1]))
    try:
        return Translator("=" + cell.text, origin).translate_formula(address(cell.position)).removeprefix("=")
    except (TranslatorError, ValueError):
        raise Untranslatable("it shares a formula that cannot be moved") from None


def tokens_of(text: str) -> list[Token]:
    try:
        return [t for t in Tokenizer("=" + text).items if t.type != Token.WSPACE]
    except Exception:
        raise Untranslatable("its formula cannot be read") from None


def quoted(sheet: str) -> str:
    """A sheet's name as it stands before the “!”."""
    return "'" + sheet.replace("'", "''") + "'"


def sheets_named(text: str, names: Names, own: str = "", depth: int = 0) -> set[str]:
    """The sheets that a formula names, in lower case, those in the definitions of its names included."""
    found = set()
    for token in Tokenizer("=" + text.removeprefix("=")).items:
        if token.type != Token.OPERAND or token.subtype != Token.RANGE:
            continue
        qualifier, body = QUALIFIED.fullmatch(token.value).groups()
        if qualifier:
            found |= {part.lower() for part in unquoted(qualifier).split(":")}
        table = names.tables.get(body.split("[")[0].lower())
        if table is not None:
            found.add(table.sheet.lower())
        definition = names.defined.get((own.lower(), body.lower())) or names.defined.get(("", body.lower()))
        if definition and depth < 10:
            found |= sheets_named(definition, names, own, depth + 1)
    return found


def unquoted(qualifier: str) -> str:
    """'Cream batch'! → Cream batch"""
    name = qualifier.removesuffix("!")
    return name[1:-1].replace("''", "'") if name.startswith("'") else name


@dataclass
class Plainer:
    """Translates the formulas of one workbook; `work` and `reference` get the steps."""

    names: Names
    sheets: Mapping[str, str]  # names by their lower case
    work: Sheet
    reference: Sheet
    date1904: bool = False
    _made: dict[tuple, Result] = field(default_factory=dict)

    def call(self, name: str, given: Sequence[Given]) -> Result:
        """What stands for a call; the same call in another cell shares its steps."""
        key = name, tuple((g.value.__class__, str(g.value), g.cells, g.column) for g in given)
        if key not in self._made:
            self._made[key] = translate_call(name, given, self.work, self.reference, self.date1904)
        return self._made[key]

    def formula(self, cell: FormulaCell, text: str) -> str:
        """The plain formula of a cell. Raises Untranslatable with the reason."""
        self.work.begin(f"{cell.sheet}!{address(cell.position)}")
        reading = _Formula(self, cell.sheet, cell.position, cell.box is not None)
        return reading.emit(tokens_of(text), moved=False)


@dataclass
class _Formula:
    """One formula under way."""

    plainer: Plainer
    sheet: str
    position: Position
    array: bool

    def emit(self, tokens: Sequence[Token], moved: bool, around: tuple = ()) -> str:
        """The text of tokens. `moved`: for another sheet, so that references name theirs."""
        pieces, i, stack = [], 0, [list(f) for f in around]
        while i < len(tokens):
            token = tokens[i]
            if token.type == Token.FUNC and token.subtype == Token.OPEN and _name(token).startswith("TC_"):
                end = closing(tokens, i)
                result = self.call(_name(token), arguments(tokens[i + 1 : end]))
                pieces.append(self._placed(result, stack))
                i = end + 1
                continue
            if token.subtype == Token.OPEN:
                stack.append([_name(token) if token.type == Token.FUNC else "(", 0])
            elif token.subtype == Token.CLOSE and stack:
                stack.pop()
            elif token.type == Token.SEP and token.subtype == Token.ARG and stack:
                stack[-1][1] += 1
            pieces.append(self._moved(token) if moved else token.value)
            if token.type == Token.OPERAND and token.subtype == Token.RANGE:
                self._check_name(token.value)
            i += 1
        return "".join(pieces)

    def _placed(self, result: Result, stack: list) -> str:
        """A result in its place: all its cells where they are wanted, the first one elsewhere."""
        if result.rows * result.columns == 1:
            return result.text
        functions = [f for f in stack if f[0] != "("]
        whole = self.array or any(name in engine_ranges.WHOLE for name, _ in functions)
        if whole or (functions and engine_ranges.takes(*functions[-1])):
            return result.text
        return result.first

    def _moved(self, token: Token) -> str:
        if token.type != Token.OPERAND or token.subtype != Token.RANGE:
            return token.value
        qualifier, body = QUALIFIED.fullmatch(token.value).groups()
        if qualifier:
            return token.value
        if "[" in body:
            own_row = "#this row" in body.lower() or "[@" in body or body.startswith("[")
            return self._table_range(token.value) if own_row else token.value
        if REFERENCE.fullmatch(body):
            return f"{quoted(self.sheet)}!{body}"
        scoped = (self.sheet.lower(), body.lower()) in self.plainer.names.defined
        return f"{quoted(self.sheet)}!{body}" if scoped else body

    def _check_name(self, value: str) -> None:
        definition = self._definition(value)
        if definition and "TC_" in definition.upper():
            raise Untranslatable(f"the name {value} stands for a TC_ function")

    def _definition(self, value: str) -> str | None:
        qualifier, body = QUALIFIED.fullmatch(value).groups()
        scope = unquoted(qualifier) if qualifier else self.sheet
        defined = self.plainer.names.defined
        return defined.get((scope.lower(), body.lower())) or defined.get(("", body.lower()))

    # -- calls ---------------------------------------------------------------------------------------------------

    def call(self, name: str, given: Sequence[Sequence[Token]]) -> Result:
        return self.plainer.call(name, [self.given(tokens) for tokens in given])

    def given(self, tokens: Sequence[Token]) -> Given:
        """One argument: nothing, a typed value, cells, or a step that works it out."""
        if not tokens:
            return Given()
        while tokens[0].type == Token.PAREN and closing(tokens, 0) == len(tokens) - 1 and len(tokens) > 2:
            tokens = tokens[1:-1]
        first = tokens[0]
        if first.type == Token.ARRAY and closing(tokens, 0) == len(tokens) - 1:
            return self._typed(tokens)
        if len(tokens) == 1 and first.type == Token.OPERAND:
            return self._operand(first)
        if len(tokens) == 2 and first.value == "-" and tokens[1].subtype == Token.NUMBER:
            return Given(-float(tokens[1].value))
        if first.type == Token.FUNC and _name(first).startswith("TC_") and closing(tokens, 0) == len(tokens) - 1:
            return self._grid(self.call(_name(first), arguments(tokens[1:-1])).text)
        text = self.emit(tokens, moved=True)
        rows, columns = self._shape(tokens)
        if rows * columns == 1 and not self.array:
            return Given(cells=((self.plainer.work.cell(text, "worked out first"),),))
        if not self.array:
            raise Untranslatable("it calculates with whole ranges in an ordinary formula")
        grid = self.plainer.work.array(text, rows, columns, "worked out first")
        return Given(cells=tuple(tuple(row) for row in grid))

    def _typed(self, tokens: Sequence[Token]) -> Given:
        """A typed array, {1;2;3}: its values in cells of the workings."""
        rows: list[list[str]] = [[]]
        sign = ""
        for token in tokens[1:-1]:
            if token.type == Token.SEP and token.subtype == Token.ROW:
                rows.append([])
            elif token.type == Token.OP_PRE:
                sign = token.value
            elif token.type == Token.OPERAND and token.subtype != Token.RANGE:
                rows[-1].append(f"{sign}{token.value}")
                sign = ""
        if len({len(row) for row in rows}) != 1 or not rows[0]:
            raise Untranslatable("it calculates with a typed array")
        cells = self.plainer.work.rows(rows).cells
        wide = len(rows[0])
        return Given(cells=tuple(cells[i : i + wide] for i in range(0, len(cells), wide)))

    def _operand(self, token: Token) -> Given:
        if token.subtype == Token.NUMBER:
            return Given(float(token.value))
        if token.subtype == Token.TEXT:
            return Given(token.value[1:-1].replace('""', '"'))
        if token.subtype == Token.LOGICAL:
            return Given(token.value.upper() == "TRUE")
        if token.subtype == Token.ERROR:
            return Given(CellError("", token.value.upper()))
        return self._reference(token.value)

    def _table_range(self, value: str) -> str:
        """The plain range that a table reference means in this cell."""
        try:
            return plain_range(value, self.plainer.names.tables, self.sheet, *self.position)
        except Unsupported as unsupported:
            raise Untranslatable(f"it reads {value[:60]}: {unsupported}") from None

    def _reference(self, value: str, depth: int = 0) -> Given:
        qualifier, body = QUALIFIED.fullmatch(value).groups()
        if "[" in body:
            plain = self._table_range(value)
            return Given(cells=self._reference(plain, depth + 1).cells, column=value if ":" in plain else "")
        match = REFERENCE.fullmatch(body)
        if match:
            sheet = self.plainer.sheets.get((unquoted(qualifier) if qualifier else self.sheet).lower())
            _, box = shifted(match, 0, 0)
            if sheet is None or box is None:
                raise Untranslatable(f"it reads {value[:60]}, which is not in this workbook")
            return Given(cells=_cells(sheet, box))
        definition = self._definition(value)
        if definition is None or depth > 5 or relative(definition):
            raise Untranslatable(f"it reads {value[:60]}, which is not a plain range")
        self._check_name(value)
        tokens = tokens_of(definition.removeprefix("="))
        if len(tokens) == 1 and tokens[0].type == Token.OPERAND and tokens[0].subtype == Token.RANGE:
            return self._reference(tokens[0].value, depth + 1)
        return self.given(tokens)

    def _grid(self, text: str) -> Given:
        """The cells of a result, as the argument of another call."""
        sheet, found, ref = text.rpartition("!")
        if not found:
            value = self._operand(tokens_of(text)[0]) if len(tokens_of(text)) == 1 else None
            if value is None:
                raise Untranslatable("its inner function gives a value that cannot be handed on")
            return value
        return Given(cells=_cells(sheet, area(ref), plain=True))

    def _shape(self, tokens: Sequence[Token]) -> tuple[int, int]:
        """Rows and columns of what an expression gives, when all its ranges are worked through."""
        rows = columns = 1
        stack: list[list] = []
        for i, token in enumerate(tokens):
            if token.type == Token.ARRAY and token.subtype == Token.OPEN and not _reduced(stack):
                raise Untranslatable("it calculates with a typed array")
            if token.subtype == Token.OPEN:
                name = _name(token)
                if name.startswith("TC_") and engine_ranges.gives_array(name) and not _reduced(stack):
                    raise Untranslatable("it calculates with the cells that another function gives")
                stack.append([name or "(", 0])
            elif token.subtype == Token.CLOSE and stack:
                stack.pop()
            elif token.type == Token.SEP and stack:
                stack[-1][1] += 1
            elif token.type == Token.OPERAND and token.subtype == Token.RANGE:
                if ":" in "".join(t.value for t in tokens[i + 1 : i + 2]):
                    raise Untranslatable("it reads a range that is worked out")
                if _reduced(stack):
                    continue
                given = self._size(token.value)
                rows, columns = max(rows, given[0]), max(columns, given[1])
        return rows, columns

    def _size(self, value: str) -> tuple[int, int]:
        try:
            given = self._reference(value)
        except Untranslatable:
            return 1, 1
        return (len(given.cells), len(given.cells[0])) if given.cells else (1, 1)


def _reduced(stack: Sequence[Sequence]) -> bool:
    """Whether a range inside these functions is taken in as a whole by one of them."""
    for name, _ in reversed([f for f in stack if f[0] != "("]):
        if name in _LIFTED:
            continue
        return True
    return False


def _name(token: Token) -> str:
    return token.value[:-1].strip().upper() if token.type == Token.FUNC else ""


def closing(tokens: Sequence[Token], start: int) -> int:
    """The number of the token that closes what `start` opens."""
    depth = 0
    for i in range(start, len(tokens)):
        depth += (tokens[i].subtype == Token.OPEN) - (tokens[i].subtype == Token.CLOSE)
        if depth == 0:
            return i
    raise Untranslatable("its formula cannot be read")


def arguments(tokens: Sequence[Token]) -> list[list[Token]]:
    """The tokens of each argument."""
    if not tokens:
        return []
    found: list[list[Token]] = [[]]
    depth = 0
    for token in tokens:
        depth += (token.subtype == Token.OPEN) - (token.subtype == Token.CLOSE)
        if depth == 0 and token.type == Token.SEP and token.subtype == Token.ARG:
            found.append([])
        else:
            found[-1].append(token)
    return found


def _cells(sheet: str, box: Box, plain: bool = False) -> tuple[tuple[str, ...], ...]:
    top, left, bottom, right = box
    if bottom == LAST_ROW or right == LAST_COLUMN or (bottom - top + 1) * (right - left + 1) > MOST_CELLS:
        raise Untranslatable("it reads whole columns or rows, or a very large range")
    prefix = sheet if plain else quoted(sheet)
    return tuple(tuple(f"{prefix}!{letters(c)}{r}" for c in range(left, right + 1)) for r in range(top, bottom + 1))
