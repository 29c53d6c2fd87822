"""Rounding to what a scale can show, as steps: the same rules as in calculations/rounding.py."""

from collections.abc import Sequence

from tarecell.hosts.plain.calls import Call
from tarecell.hosts.plain.workings import Block, Untranslatable

MOST_APPORTIONED = 300  # rows: each is compared with all the others


def without_noise(count: str) -> str:
    """A count of steps, whole where it is whole but for binary noise. `count` is the address of a step."""
    return f"IF(ABS({count}-ROUND({count},0))<=MAX(1E-9,2E-15*ABS({count})),ROUND({count},0),{count})"


def counted(call: Call, amount: str, step: str, label: str = "in steps") -> str:
    """How many steps an amount is; #NUM! where there are too many to be told apart."""
    count = call.cell(f"{amount}/{step}", label)
    return call.cell(f"IF(ABS({count})<=1E+12,{without_noise(count)},#NUM!)", "without noise")


def in_steps(count: str, step: str) -> str:
    """A whole number of steps as an amount."""
    return f"ROUND(({count})*{step},12)"


def difference(amount: str, less: str) -> str:
    return f"ROUND({amount}-{less},14-INT(LOG10({amount})))"


def up_to_step(call: Call, amount: str, step: str) -> str:
    count = counted(call, amount, step)
    return in_steps(f"-INT(-{count})", step)


def down_to_step(call: Call, amount: str, step: str) -> str:
    return in_steps(f"INT({counted(call, amount, step)})", step)


def to_step(call: Call, amount: str, step: str) -> str:
    return in_steps(nearest(call, counted(call, amount, step)), step)


def nearest(call: Call, count: str) -> str:
    """The nearest whole number, halves up."""
    half = call.cell(f"{count}+0.5", "and a half")
    return f"INT({without_noise(half)})"


def apportioned(call: Call, amounts: Block, taken: Sequence[str], step: str, keep_all: bool = True) -> Block:
    """Amounts rounded so that their total keeps: the steps missing go to the largest remainders.

    `taken`: for each row the step that is 1 where it takes part. The cells of other rows stay empty text.
    """
    if len(amounts) > MOST_APPORTIONED:
        raise Untranslatable(f"it rounds {len(amounts)} rows against each other, more than {MOST_APPORTIONED}")
    rows = range(len(amounts))
    raw = call.column([f'IF({taken[i]}=1,{amounts.cells[i]}/{step},"")' for i in rows], "in steps")
    counts = call.column(
        [f'IF({c}="","",IF(ABS({c})<=1E+12,{without_noise(c)},#NUM!))' for c in raw.cells], "without noise"
    )
    whole = call.column([f'IF({c}="",0,INT({c}))' for c in counts.cells], "rounded down")
    # To six digits, as in the calculation: smaller differences are binary noise.
    rest = call.column(
        [f'IF({counts.cells[i]}="",-1,ROUND({counts.cells[i]}-{whole.cells[i]},6))' for i in rows], "remainder"
    )
    size = call.column([f'IF({c}="",-1,{c})' for c in counts.cells], "size")
    rows_before = call.column([str(i + 1) for i in rows], "row")
    small = call.column(
        [f'IF({c}="",0,IF(AND({c}>0,{c}<1),{1 if keep_all else 0},0))' for c in counts.cells], "would vanish"
    )
    missing = call.cell(f"{nearest(call, call.cell(f'SUM({counts})', 'all steps'))}-SUM({whole})", "steps missing")

    def rank(i: int) -> str:
        r, s, n, v = rest.cells[i], size.cells[i], rows_before.cells[i], small.cells[i]
        tie = f"({rest}={r})*(({size}>{s})+({size}={s})*({rows_before}<{n}))"
        return f"SUMPRODUCT(({small}>{v})+({small}={v})*(({rest}>{r})+{tie}))"

    place = call.column([rank(i) for i in rows], "others before it")
    given = call.column(
        [f'IF({counts.cells[i]}="",0,{whole.cells[i]}+IF({place.cells[i]}<{missing},1,0))' for i in rows], "steps given"
    )
    refused = "0"
    if keep_all:
        refused = f"IF(SUMPRODUCT(({size}>0)*({size}<0.5))+SUMPRODUCT(({size}>0)*({given}=0))>0,#NUM!,0)"
    refused = call.cell(refused, "too small")
    return call.column(
        [f'IF({refused}=0,IF({counts.cells[i]}="","",{in_steps(given.cells[i], step)}))' for i in rows], "rounded"
    )
