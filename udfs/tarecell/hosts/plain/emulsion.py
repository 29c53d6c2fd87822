"""Emulsions, as plain formulas."""

from tarecell.hosts.plain.calls import translates
from tarecell.hosts.plain.scaling import total_of


@translates("TC_REQUIRED_HLB")
def required_hlb(call, amounts, hlbs):
    nought = call.cell(f"SUMPRODUCT(({hlbs}=0)*{call.kept})", "values of 0")
    return f"IF({nought}>0,#VALUE!,SUMPRODUCT({amounts},{hlbs})/{total_of(call, amounts)})"


@translates("TC_EMULSIFIER_SPLIT")
def emulsifier_split(call, required, low_hlb, high_hlb, total):
    share = call.cell(f"IF({low_hlb}>={high_hlb},#NUM!,({required}-{low_hlb})/({high_hlb}-{low_hlb}))", "share of high")
    share = call.cell(f"IF(OR({share}<-1E-9,{share}>1+1E-9),#NUM!,MIN(MAX({share},0),1))", "between the two")
    return call.row([f"{total}-{total}*{share}", f"{total}*{share}"])


@translates("TC_HLB")
def hlb(call, saponification, acid):
    return f"IF({saponification}>{acid},#NUM!,20*(1-{saponification}/{acid}))"
