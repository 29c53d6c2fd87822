"""Names as plain formulas compare them: without case, accents, outer and doubled spaces, as `tarecell.tables.fold`.

Every accented letter that makers in Europe and the Americas type is listed; a name with any other one is compared as it
is typed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from tarecell.errors import CellError
from tarecell.hosts.plain.workings import Block, Sheet, literal
from tarecell.tables import fold, squeeze

_ACCENTED = "àáâãäåąçćčèéêëęěğìíîïñńòóôõöőřśšşùúûüűůýÿźżž"
_LETTERS = {letter: fold(letter) for letter in _ACCENTED} | {"ß": "ss", "\u00a0": " "}
_HYPHENS = "-‑–—_"


def replaced(text: str, changes: Mapping[str, str]) -> str:
    """A formula that exchanges letters."""
    for old, new in changes.items():
        text = f"SUBSTITUTE({text},{literal(old)},{literal(new)})"
    return text


def folded(text: str, also: Mapping[str, str] = MappingProxyType({})) -> str:
    """The formula of a name without case, accents and doubled spaces. `also`: further letters to exchange."""
    return f"TRIM({replaced(f'LOWER({text})', {**_LETTERS, **also})})"


def squeezed(text: str) -> str:
    """The formula of a folded name without spaces and hyphens."""
    return replaced(text, {" ": "", **dict.fromkeys(_HYPHENS, "")})


def squeezed_word(text: str) -> str:
    """As `squeezed`, for a word of a fixed list of plain ones: without looking for accents."""
    return replaced(f"LOWER(TRIM({text}))", {" ": "", "-": "", "_": ""})


@dataclass(frozen=True)
class Key:
    """A name that is looked for: folded and squeezed, each a text in quotes or the address of a step."""

    folded: str
    squeezed: str


def key_of(
    work: Sheet, text: str | None, word: str | None = None, also: Mapping[str, str] = MappingProxyType({})
) -> Key:
    """The key of a name: known when the copy is made (`word`), or in a cell (`text`)."""
    if word is not None:
        return Key(literal(fold(word)), literal(squeeze(word)))
    first = work.cell(folded(text, also), "name, plain")
    return Key(first, work.cell(squeezed(first), "without spaces"))


@dataclass(frozen=True)
class NameList:
    """A column of names in a sheet, ready to be searched."""

    folded: Block
    squeezed: Block
    index: Block

    @classmethod
    def of(cls, work: Sheet, texts: Block) -> "NameList":
        first = work.column([f'IF({t}="","",{folded(t)})' for t in texts.cells], "names, plain")
        second = work.column([squeezed(t) for t in first.cells], "without spaces")
        return cls(first, second, numbered(work, len(texts)))

    def position(self, work: Sheet, key: Key) -> str:
        """Where the one row of that name is, from 1: #N/A where there is none, #VALUE! where there are several."""
        sure = work.cell(f"SUMPRODUCT(1*({self.folded}={key.folded}))", "rows of that name")
        near = work.cell(f"SUMPRODUCT(1*({self.squeezed}={key.squeezed}))", "rows but for spaces")
        last = work.cell(highest(f"({self.squeezed}={key.squeezed})*{self.index}", self.index), "the last of them")
        alike = (
            f"SUMPRODUCT(({self.squeezed}={key.squeezed})*({self.folded}={self.folded.nth(f'MAX({last},1)')}))={near}"
        )
        return work.cell(
            f"IF({sure}=1,SUMPRODUCT(({self.folded}={key.folded})*{self.index}),IF({sure}>1,#VALUE!,"
            f"IF({near}=0,#N/A,IF({alike},IF({near}=1,{last},#VALUE!),#N/A))))",
            "its row",
        )


def highest(each: str, numbers: Block) -> str:
    """The formula of the highest value of an expression over whole columns; `numbers` is the column 1, 2, 3 ….

    Multiplied by the first row's 1, as some programs take only columns in a SUMPRODUCT. LARGE, as Gnumeric hands MAX
    one row at a time there.
    """
    return f"SUMPRODUCT(LARGE({each},1)*({numbers}=1))"


def numbered(work: Sheet, count: int) -> Block:
    """1, 2, 3 …"""
    return work.constants([float(i) for i in range(1, count + 1)], "row")


@dataclass(frozen=True)
class Listed:
    """A reference table on the sheet of reference values: keys, and a column of values for each of its fields.

    The values begin with #N/A, so that row 0, which stands for a name that is not there, gives that.
    """

    folded: Block
    squeezed: Block
    index: Block
    fields: Mapping[str, Block]

    def row(self, key: Key) -> str:
        """The formula of a name's row, 0 where it is not there."""
        return (
            f"IF(SUMPRODUCT(1*({self.folded}={key.folded}))>0,SUMPRODUCT(({self.folded}={key.folded})*{self.index}),"
            f"SUMPRODUCT(({self.squeezed}={key.squeezed})*{self.index}))"
        )

    def value(self, field: str, row: str) -> str:
        """The formula of a value; `row` is the address of a step."""
        return self.fields[field].nth(f"{row}+1")


def listed(
    sheet: Sheet, title: str, names: Sequence[str], fields: Mapping[str, Sequence], first_wins: bool = False
) -> Listed:
    """Writes a reference table once. A name that is like another but for its spaces is found only as it is written,
    unless the first of them wins."""
    if title in sheet.shared:
        return sheet.shared[title]
    rows: dict[str, int] = {}
    for i, name in enumerate(names):
        rows.setdefault(fold(name), i)
    near: dict[str, list[str]] = {}
    for key in rows:
        near.setdefault(squeeze(key), []).append(key)

    def found_near(key):
        alike = near[squeeze(key)]
        return len(alike) == 1 or (first_wins and alike[0] == key)

    sheet.begin(title)
    first = sheet.constants(list(rows), "name")
    second = sheet.constants([squeeze(key) if found_near(key) else "(several)" for key in rows], "without spaces")
    index = sheet.constants([float(i) for i in range(1, len(rows) + 1)], "row")
    missing = CellError("", "#N/A")
    kept = {
        label: sheet.constants([missing, *(values[i] for i in rows.values())], label)
        for label, values in fields.items()
    }
    sheet.shared[title] = Listed(first, second, index, kept)
    return sheet.shared[title]
