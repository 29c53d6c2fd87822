"""Dates of a batch, as plain formulas on the sheet's own serial numbers."""

from tarecell.calculations.schedule import _MOST, LONGEST_CODE
from tarecell.hosts.plain.calls import Call, translates
from tarecell.hosts.plain.reading import LAST_DAY


def _whole(call: Call, value: str, what: str) -> str:
    """A whole number, #NUM! for a fraction."""
    return call.cell(f"IF(OR({value}<>INT({value}),{value}>{_MOST}),#NUM!,{value})", f"whole {what}")


def _moved(call: Call, day: str) -> str:
    moved = call.cell(day, "day")
    return f"IF(OR({moved}<1,{moved}>{LAST_DAY}),#NUM!,{moved})"


@translates("TC_READY")
def ready(call, made, days):
    return _moved(call, f"{made}+{_whole(call, days, 'days')}")


@translates("TC_START_BY")
def start_by(call, needed, days):
    return _moved(call, f"{needed}-{_whole(call, days, 'days')}")


@translates("TC_BEST_BEFORE")
def best_before(call, made, months, expiries):
    whole = _whole(call, months, "months")
    shelf_life = call.cell(f"IF({whole}>120000,#NUM!,EDATE({made},{whole}))", "shelf life")
    if expiries is None:
        return shelf_life
    first = call.cell(f"MIN({expiries})", "first to expire")
    return f"IF(COUNT({expiries})=0,{shelf_life},0*{shelf_life}+IF({first}<{made},#NUM!,MIN({shelf_life},{first})))"


@translates("TC_LOT")
def lot(call, made, code, run):
    number = _whole(call, run, "run")
    day = f"YEAR({made})*10000+MONTH({made})*100+DAY({made})"
    return f'IF(LEN({code})>{LONGEST_CODE},#NUM!,{code}&"-"&({day})&"-"&IF({number}<10,"0","")&{number})'
