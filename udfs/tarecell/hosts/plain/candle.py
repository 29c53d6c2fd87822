"""Candles and melts, as plain formulas."""

from tarecell.hosts.plain.calls import translates
from tarecell.hosts.plain.units import kelvins, millilitres


@translates("TC_WAX")
def wax(call, volume, unit, density, fill_share):
    return f"{millilitres(call, volume, unit)}*{density}*{fill_share}"


@translates("TC_LOAD_OF_TOTAL")
def load_of_total(call, share):
    return f"{share}/(1+{share})"


@translates("TC_LOAD_OF_WAX")
def load_of_wax(call, share):
    return f"IF({share}>=1,#NUM!,{share}/(1-{share}))"


@translates("TC_LOAD")
def load(call, total, share, basis):
    fragrance = call.cell(
        f'IF({basis}="total",IF({share}>=1,#NUM!,{total}*{share}),{total}*({share}/(1+{share})))', "fragrance"
    )
    return call.row([fragrance, f"{total}-{fragrance}"])


@translates("TC_FLASH_MARGIN")
def flash_margin(call, add_temperature, flash_point, unit):
    sure = call.cell(f"SUM({kelvins(call, add_temperature, unit)},{kelvins(call, flash_point, unit)})", "temperatures")
    return f"IF({sure}>=0,{flash_point}-{add_temperature})"
