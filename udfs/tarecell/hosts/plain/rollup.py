"""The cost of an item through every level of a parts table, as plain formulas.

Each level of the table is one more column of steps. There are eight; a deeper table is #NUM!, like a loop.
"""

from dataclasses import dataclass

from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.keys import NameList, folded, highest, key_of, replaced
from tarecell.hosts.plain.reading import Word, text_cell
from tarecell.hosts.plain.workings import Block, Untranslatable

LEVELS = 8
NA, NUM, VALUE = 1, 2, 3  # what stands for an error
MOST_ROWS = 400
# SUMIF reads * ? ~ as wildcards and "9" as a number; these keys have none of them.
_TAME = {"*": "‹", "?": "›", "~": "¬"}


@dataclass(frozen=True)
class Parts:
    """A parts table, read: the first error of the table in `sure`, and a step for each line of it."""

    sure: str
    items: Block
    parts: Block
    needed: Block
    given: Block
    made: Block
    names: NameList
    part_names: Block


def _amount(x: str, most: str = "") -> str:
    high = f"IF({x}+0>{most},#NUM!,{x}+0)" if most else f"{x}+0"
    return f'IF(ISTEXT({x}),IF(TRIM({x})="","",#VALUE!),IF(ISBLANK({x}),"",IF({x}+0<0,#NUM!,{high})))'


def _parts(call: Call, table) -> Parts:
    key = "parts", table
    if key not in call.work.shared:
        call.work.shared[key] = _read(call, table)
    return call.work.shared[key]


def _read(call: Call, table) -> Parts:
    width = len(table[0])
    if width not in (4, 5) or len(table) > MOST_ROWS:
        raise Untranslatable(f"its parts table has not 4 or 5 columns, or more than {MOST_ROWS} rows")
    work = call.work
    heading = work.cell(_heading(table), "1 if row 1 is a heading")

    def unless_heading(texts):
        return [f'IF({heading}=1,"",{text})' if i == 0 else text for i, text in enumerate(texts)]

    items = work.column(unless_heading([text_cell(row[0]) for row in table]), "item")
    parts = work.column(unless_heading([text_cell(row[1]) for row in table]), "part")
    quantities = work.column(unless_heading([_amount(row[2]) for row in table]), "quantity")
    costs = work.column(unless_heading([_amount(row[3]) for row in table]), "unit cost")
    losses = (
        work.column(unless_heading([_amount(row[4], "0.99") for row in table]), "loss")
        if width == 5
        else work.constants([0.0] * len(table), "loss")
    )
    rows = zip(items.cells, parts.cells, quantities.cells, costs.cells, losses.cells, strict=True)
    texts = [_sound(*row, no_loss='""' if width == 5 else "0") for row in rows]
    checks = work.column(texts, "line is sound")
    sure = work.cell(f'IF(SUM({checks})=0,IF(SUMPRODUCT(1*({items}<>""))=0,#VALUE!,0))', "table is sound")
    names = NameList.of(work, items)
    tame = work.column([f'IF({t}="","","k:"&{replaced(t, _TAME)})' for t in names.folded.cells], "item key")
    part_tame = work.column([f'IF({p}="","","k:"&{replaced(folded(p), _TAME)})' for p in parts.cells], "part key")
    needed = work.column(
        [f'IF({q}="",0,{q}/(1-N({loss})))' for q, loss in zip(quantities.cells, losses.cells, strict=True)], "needed"
    )
    made = work.column([f'IF({p}="",0,SUMPRODUCT(1*({tame}={p})))' for p in part_tame.cells], "lines of its own")
    return Parts(sure, tame, part_tame, needed, costs, made, names, parts)


def _sound(item: str, part: str, quantity: str, cost: str, loss: str, no_loss: str) -> str:
    """0 where a line is sound or blank, or the error that the function meets first in it."""
    nothing = f'AND({item}="",{part}="",{quantity}="",{cost}="",{loss}={no_loss})'
    blank = f"IF(ISERROR(SUM({quantity},{cost},{loss})),FALSE,{nothing})"
    wrong = f"IF(ISERROR({loss}),{loss},IF(ISERROR({cost}),{cost},0))"
    amount = f'IF(ISERROR({quantity}),{quantity},IF({quantity}="",#VALUE!,{wrong}))'
    return f'IF({blank},0,IF(OR({item}="",{part}=""),#VALUE!,{amount}))'


def _heading(table) -> str:
    """1 where the first row is words over the quantity and cost columns, and names no item below."""
    item, _, quantity, cost = table[0][:4]

    def word(x):
        digits = "+".join(f'(LEFT(TRIM({x}),1)="{c}")' for c in "#+-−.,0123456789")
        return f'IF(ISTEXT({x}),IF(TRIM({x})="",FALSE,({digits})=0),FALSE)'

    if len(table) == 1:
        return f"IF(AND({word(quantity)},{word(cost)}),1,0)"
    below = f"{table[1][0]}:{table[-1][0].rsplit('!')[-1]}" if len(table) > 2 else table[1][0]
    again = f"SUMPRODUCT(1*({below}={item}))"
    return f'IF(AND({word(quantity)},{word(cost)}),IF({item}="",1,IF({again}=0,1,0)),0)'


def _spent(call: Call, parts: Parts) -> tuple[Block, Block]:
    """What each line costs, added up level by level, and what is wrong with it: 0, or the number of an error.

    Errors go as numbers, because programs differ on whether SUMIF sees an error.
    """
    work = call.work
    lines = list(zip(parts.parts.cells, parts.given.cells, parts.made.cells, parts.needed.cells, strict=True))
    spent = work.column([f'IF(OR({p}="",{g}=""),0,{n}*{g})' for p, g, _, n in lines], "spent, level 1")
    wrong = work.column(
        [f'IF({p}="",0,IF({g}="",IF({m}>0,{NUM},{NA}),IF({m}>0,{VALUE},0)))' for p, g, m, _ in lines],
        "wrong, level 1",
    )
    for level in range(2, LEVELS + 1):
        both = zip(lines, spent.cells, wrong.cells, strict=True)
        costs, faults = [], []
        for (p, g, m, n), before, fault in both:
            made = f'AND({g}="",{m}>0)'
            costs.append(f"IF({made},{n}*SUMIF({parts.items},{p},{spent}),{before})")
            faults.append(f"IF({made},{_worst(parts, p, wrong)},{fault})")
        spent, wrong = work.column(costs, f"spent, level {level}"), work.column(faults, f"wrong, level {level}")
    return spent, wrong


def _worst(parts: Parts, key: str, wrong: Block) -> str:
    return highest(f"({parts.items}={key})*{wrong}", parts.names.index)


def _error(number: str) -> str:
    """The error that a number stands for, 0 where there is none."""
    return f"IF({number}=0,0,IF({number}={NA},#N/A,IF({number}={NUM},#NUM!,#VALUE!)))"


def _item_key(call: Call, parts: Parts, item: Word) -> str:
    """The key of the item asked for. Its name may stand in many rows, all alike."""
    key = key_of(call.work, item.cell, item.known)
    names = parts.names
    sure = highest(f"({names.folded}={key.folded})*{names.index}", names.index)
    near = call.cell(highest(f"({names.squeezed}={key.squeezed})*{names.index}", names.index), "near")
    alike = (
        f"SUMPRODUCT(({names.squeezed}={key.squeezed})*({names.folded}={names.folded.nth(f'MAX({near},1)')}))="
        f"SUMPRODUCT(1*({names.squeezed}={key.squeezed}))"
    )
    row = call.cell(f"IF({parts.sure}=0,IF({sure}>0,{sure},IF({near}=0,#N/A,IF({alike},{near},#N/A))))", "its row")
    return call.cell(parts.items.nth(row), "item key")


@translates("TC_ROLLUP")
def rollup(call, item, table):
    parts = _parts(call, table)
    key = _item_key(call, parts, item)
    spent, wrong = _spent(call, parts)
    sure = call.cell(_error(call.cell(_worst(parts, key, wrong), "wrong")), "cost is known")
    return f"IF({sure}=0,SUMIF({parts.items},{key},{spent}))"


@translates("TC_ROLLUP_LINES")
def rollup_lines(call, item, table):
    parts = _parts(call, table)
    key = _item_key(call, parts, item)
    work = call.work
    _, wrong = _spent(call, parts)
    cost = call.cell(_error(call.cell(_worst(parts, key, wrong), "wrong")), "cost is known")
    own = [f"IF({i}={key},1,0)" for i in parts.items.cells]
    times = work.column(own, "times, level 1")
    for level in range(2, LEVELS + 1):
        into = work.column(
            [f"{t}*{n}" for t, n in zip(times.cells, parts.needed.cells, strict=True)], f"into, level {level - 1}"
        )
        texts = [
            f'IF({i}="",0,{o}+SUMIF({parts.parts},{i},{into}))' for i, o in zip(parts.items.cells, own, strict=True)
        ]
        times = work.column(texts, f"times, level {level}")
    columns = zip(times.cells, parts.needed.cells, parts.given.cells, strict=True)
    quantity = work.column([f'IF({g}="",0,{t}*{n})' for t, n, g in columns], "quantity")
    under = _under(call, parts, key)
    money = work.column(
        [f'IF({g}="",0,{q}*{g})' for q, g in zip(quantity.cells, parts.given.cells, strict=True)], "cost"
    )
    return _listed(call, parts, cost, under, quantity, money)


def _under(call: Call, parts: Parts, key: str) -> Block:
    """1 for the lines that belong to the item, through every level."""
    work = call.work
    own = [f"IF({i}={key},1,0)" for i in parts.items.cells]
    reached = work.column(own, "reached, level 1")
    for level in range(2, LEVELS + 1):
        texts = [
            f'IF({i}="",0,IF({o}+SUMIF({parts.parts},{i},{reached})>0,1,0))'
            for i, o in zip(parts.items.cells, own, strict=True)
        ]
        reached = work.column(texts, f"reached, level {level}")
    return work.column(
        [f'IF({g}="",0,{r})' for g, r in zip(parts.given.cells, reached.cells, strict=True)], "bought for it"
    )


def _listed(call: Call, parts: Parts, cost: str, under: Block, quantity: Block, money: Block) -> Block:
    """The bought parts in the table's order, each once."""
    work, count = call.work, len(under)
    keys = work.column(
        [f'IF({u}=1,{p},"")' for u, p in zip(under.cells, parts.parts.cells, strict=True)], "bought part"
    )

    def place(i, above):
        before = above or "0"
        if i == 0:
            new = "TRUE"
        else:
            new = f"SUMPRODUCT(1*({keys.cells[0]}:{keys.cells[i - 1].rsplit('!')[-1]}={keys.cells[i]}))=0"
        return f'{before}+IF({keys.cells[i]}="",0,IF({new},1,0))'

    places = work.running(count, "place in the list", place)
    rows: list[list[str]] = []
    first = ""
    total = places.cells[-1]
    numbers = parts.names.index
    for k in range(1, count + 1):
        row = f"({count + 1}-{highest(f'({places}={k})*({count + 1}-{numbers})', numbers)})"
        # A list of one row fills all the cells that an array formula has for it.
        row = call.cell(f"IF({k}>{total},IF({total}=1,{first},0),{row})" if k > 1 else row, "row")
        first = first or row
        key = call.cell(f'IF({row}=0,"",{keys.nth(row)})', "part key")
        name = parts.part_names.nth(row)
        amounts = [f"SUMIF({keys},{key},{block})" for block in (quantity, money)]
        rows.append([call.guarded(f"IF({cost}=0,IF({row}=0,#N/A,{text}))") for text in (name, *amounts)])
    return work.rows(rows, ("part", "quantity", "cost"))
