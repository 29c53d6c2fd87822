"""Preservation, as plain formulas. The legal limits are looked up in a table that is a copy of that day's."""

from tarecell.hosts.plain.calls import translates
from tarecell.hosts.plain.units import kelvins


@translates("TC_UNDISSOCIATED")
def undissociated(call, pka, ph):
    return f"1/(1+10^({ph}-{pka}))"


@translates("TC_COOL_ENOUGH")
def cool_enough(call, temperature, unit, limit, limit_unit):
    pot = kelvins(call, temperature, unit)
    most = kelvins(call, limit, limit_unit)
    # Of two errors Calc would pass on the limit's.
    return f"IF(ISERROR({pot}),{pot},{pot}<{most}-1E-9)"
