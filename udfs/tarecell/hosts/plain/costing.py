"""Cost and price, as plain formulas."""

from tarecell.hosts.plain.calls import translates
from tarecell.hosts.plain.rounding import apportioned, counted, difference, up_to_step
from tarecell.hosts.plain.scaling import total_of
from tarecell.hosts.plain.units import TEMPERATURE, convert, unit_of
from tarecell.hosts.plain.workings import Untranslatable


@translates("TC_UNIT_COST")
def unit_cost(call, price, pack, pack_unit, use_unit, freight, density):
    unit = unit_of(call, pack_unit)
    content = convert(call, pack, pack_unit, use_unit, density)
    if isinstance(unit, str):
        return unit
    return f"IF({unit.dimension}={TEMPERATURE},0*{content}+#NUM!,({price}+{freight})/{content})"


@translates("TC_LANDED")
def landed(call, values, freight, weights):
    keys = values if weights is None else weights
    total = total_of(call, keys)
    exact = call.column(
        [f'IF({k}=1,{freight}*{key}/{total},"")' for k, key in zip(call.kept.cells, keys.cells, strict=True)], "exact"
    )
    return call.filled(apportioned(call, exact, call.kept.cells, "0.01", keep_all=False).cells)


@translates("TC_AVERAGE_COST")
def average_cost(call, quantities, unit_costs):
    total = total_of(call, quantities)
    return f"SUMPRODUCT({quantities},{unit_costs})/{total}"


@translates("TC_FIFO")
def fifo(call, quantities, unit_costs, used):
    cells = quantities.cells

    def taken(i, above):
        before = "0" if i == 0 else f"SUM({cells[0]}:{cells[i - 1].rsplit('!')[-1]})"
        return f"MAX(0,MIN(SUM({cells[i]}),{used}-{before}))"

    used_up = call.column([taken(i, None) for i in range(len(cells))], "taken")
    return f"IF({used}-SUM({used_up})>{used}*1E-9,#NUM!,SUMPRODUCT({used_up},{unit_costs}))"


@translates("TC_RECIPE_COST")
def recipe_cost(call, amounts, unit_costs):
    return f"SUMPRODUCT({amounts},{unit_costs})"


@translates("TC_LABOUR")
def labour(call, minutes, hourly_rate, pieces):
    if pieces is None:
        return f"{minutes}/60*{hourly_rate}"
    return f'{minutes}/60*{hourly_rate}/IF({pieces}="",1,{pieces})'


@translates("TC_PRICE")
def price(call, cost, margin, fee_share, fixed_fee, round_to):
    kept = call.cell(f"ROUND(1-{fee_share}-{margin},15)", "share kept")
    exact = call.cell(f"IF({kept}<=1E-12,#NUM!,({cost}+{fixed_fee})/{kept})", "exact price")
    if round_to is None:
        return exact
    return f'IF({round_to}="",{exact},{up_to_step(call, exact, round_to)})'


@translates("TC_MARKUP_PRICE")
def markup_price(call, cost, markup):
    return f"{cost}*(1+{markup})"


@translates("TC_MARGIN")
def margin(call, price, cost, fee_share, fixed_fee):
    return f"({price}-{cost}-{price}*{fee_share}-{fixed_fee})/{price}"


@translates("TC_BREAK_EVEN")
def break_even(call, price, variable_cost, fixed_cost, profit):
    earned = call.cell(difference(price, variable_cost), "earned on each")
    pieces = call.cell(f"IF({earned}<=0,#NUM!,({fixed_cost}+{profit})/{earned})", "pieces, exact")
    return up_to_step(call, pieces, "1")


@translates("TC_PACKS")
def packs(call, needed, sizes, prices):
    if len(sizes) > 1:
        raise Untranslatable("it weighs several pack sizes against each other, which no ordinary formula does")
    return call.filled([f"-INT(-{counted(call, needed, sizes.cells[0], 'packs')})"])
