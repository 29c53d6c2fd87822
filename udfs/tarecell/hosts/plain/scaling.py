"""Scaling a recipe, as plain formulas."""

from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.keys import Key, NameList, highest, key_of
from tarecell.hosts.plain.reading import Word
from tarecell.hosts.plain.rounding import apportioned, counted, difference
from tarecell.hosts.plain.units import millilitres
from tarecell.hosts.plain.workings import Block


def total_of(call: Call, amounts: Block, more: str = "") -> str:
    """The sum, #NUM! where it is 0."""
    total = call.cell(f"SUM({amounts}{more})", "total")
    return call.cell(f"IF({total}<=0,#NUM!,{total})", "total, not 0")


@translates("TC_SHARES")
def shares(call, amounts):
    total = total_of(call, amounts)
    return call.filled([f"{a}/{total}" for a in amounts.cells])


def scaled(call: Call, amounts: Block, taken, total: str, target: str, step: str | None) -> Block:
    """Amounts in proportion, rounded where a step is given. `taken`: 1 for the rows that take part."""
    exact = call.column(
        [f'IF({t}=1,{a}*{target}/{total},"")' for a, t in zip(amounts.cells, taken, strict=True)], "in proportion"
    )
    if step is None:
        return exact
    rounded = apportioned(call, exact, taken, step)
    return call.column(
        [f'IF({step}="",{e},{r})' for e, r in zip(exact.cells, rounded.cells, strict=True)], "as weighed"
    )


@translates("TC_SCALE")
def scale(call, amounts, target, step):
    total = total_of(call, amounts)
    return call.filled(scaled(call, amounts, call.kept.cells, total, target, step).cells)


@translates("TC_AMOUNTS")
def amounts(call, shares, batch, step):
    total = total_of(call, shares)
    whole = call.cell(f"IF(ABS({total}-1)>0.000500000001,#NUM!,{total})", "100 %")
    return call.filled(scaled(call, shares, call.kept.cells, whole, batch, step).cells)


def key(call: Call, word: Word) -> Key:
    return key_of(call.work, word.cell, word.known)


def same_phase(call: Call, phases: Block, phase: Word) -> Block:
    """1 for the rows of a phase. #N/A where there is none, #VALUE! where two spellings may mean the same."""
    names = NameList.of(call.work, phases)
    wanted = key(call, phase)
    count = call.cell(f"SUMPRODUCT(1*({names.squeezed}={wanted.squeezed}))", "rows of the phase")
    last = call.cell(highest(f"({names.squeezed}={wanted.squeezed})*{names.index}", names.index), "the last of them")
    found = names.folded.nth(f"MAX({last},1)")
    alike = f"SUMPRODUCT(({names.squeezed}={wanted.squeezed})*({names.folded}={found}))={count}"
    sure = call.cell(f"IF({count}=0,#N/A,IF({alike},1,#VALUE!))", "phase found")
    return call.column([f"IF({s}={wanted.squeezed},{sure},0*{sure})" for s in names.squeezed.cells], "in the phase")


@translates("TC_PHASE_TOTAL")
def phase_total(call, phases, amounts, phase):
    inside = same_phase(call, phases, phase)
    return f"SUMPRODUCT({inside},{amounts})"


@translates("TC_PHASE_SCALE")
def phase_scale(call, phases, amounts, phase, target, step):
    inside = same_phase(call, phases, phase)
    total = call.cell(f"SUMPRODUCT({inside},{amounts})", "weight of the phase")
    total = call.cell(f"IF({total}<=0,#NUM!,{total})", "not 0")
    moved = scaled(call, amounts, inside.cells, total, target, step)
    error = call.cell(f"0*SUM({moved})", "scaling")
    return call.filled(
        [f"IF({error}=0,IF({i}=1,{m},{a}))" for i, m, a in zip(inside.cells, moved.cells, amounts.cells, strict=True)]
    )


@translates("TC_EXTRA")
def extra(call, base, share):
    return f"{base}*{share}"


@translates("TC_WITHIN")
def within(call, base, share, others):
    taken = call.cell(f"{share}+SUM({others})" if others else f"{share}+0", "all the shares")
    return f"IF({taken}>=1-1E-12,#NUM!,{base}*{share}/(1-{taken}))"


@translates("TC_FINISHED_SHARE")
def finished_share(call, addition, base, others):
    return f"{addition}/({addition}+{base}{f'+SUM({others})' if others else ''})"


@translates("TC_TOP_UP")
def top_up(call, target, weighed):
    missing = call.cell(difference(target, weighed), "missing")
    return f"IF(ABS({missing})<=1E-12*{target},0,IF({missing}<0,#NUM!,{missing}))"


@translates("TC_MAX_BATCH")
def max_batch(call, amounts, on_hand):
    limits = _limits(call, amounts, on_hand)
    return f"MIN({limits})*{total_of(call, amounts)}"


def _limits(call, amounts, on_hand):
    return call.column(
        [f'IF({a}="","",IF({a}>0,{s}/{a},""))' for a, s in zip(amounts.cells, on_hand.cells, strict=True)],
        "shelf ÷ amount",
    )


@translates("TC_LIMITED_BY")
def limited_by(call, names, amounts, on_hand):
    limits = _limits(call, amounts, on_hand)
    total = total_of(call, amounts)
    least = call.cell(f"MIN({limits})*(1+1E-12)", "the least")

    def step(i, above):
        before = above or '""'
        hit = f'IF({limits.cells[i]}="",FALSE,{limits.cells[i]}<={least})'
        new = f'ISERROR(FIND(", "&{names.cells[i]}&", ",", "&{before}&", "))'
        return f'IF(AND({hit},{new}),{before}&IF({before}="","",", ")&{names.cells[i]},{before}&"")'

    listed = call.work.running(len(names), "runs out first", step)
    return f"IF({total}>0,{listed.cells[-1]})"


@translates("TC_BATCH")
def batch(call, pieces, fill, loss, spare):
    return f"{pieces}*{fill}*(1+{spare})/(1-{loss})"


def _whole_pieces(call, batch, fill, loss):
    usable = call.cell(f"{batch}*(1-{loss})", "after the loss")
    return usable, call.cell(f"INT({counted(call, usable, fill, 'pieces')})", "whole pieces")


@translates("TC_PIECES")
def pieces(call, batch, fill, loss):
    return _whole_pieces(call, batch, fill, loss)[1]


@translates("TC_LEFTOVER")
def leftover(call, batch, fill, loss):
    usable, whole = _whole_pieces(call, batch, fill, loss)
    rest = call.cell(difference(usable, f"{whole}*{fill}"), "rest")
    return f"IF({rest}>{usable}*1E-9,{rest},0)"


@translates("TC_FILL")
def fill(call, volume, unit, density, headroom):
    return f"{millilitres(call, volume, unit)}*{density}*(1-{headroom})"
