"""Labels and packing, as plain formulas."""

from tarecell.calculations import labels
from tarecell.hosts.plain.calls import translates
from tarecell.hosts.plain.rounding import up_to_step
from tarecell.hosts.plain.workings import literal


@translates("TC_LABEL_FIT")
def label_fit(call, diameter, label_length):
    return f"{label_length}-PI()*{diameter}"


@translates("TC_WRAP_SIZE")
def wrap_size(call, diameter, height, ease):
    side = f"{diameter}+{height}+{ease}"
    return call.row([side, side])


@translates("TC_TOLERANCE")
def tolerance(call, nominal):
    text = "#NUM!"
    for most, share, fixed in reversed(labels._TOLERANCES):
        value = literal(fixed) if share is None else up_to_step(call, call.cell(f"{nominal}*{literal(share)}"), "0.1")
        text = f"IF({nominal}<={literal(most)},{value},{text})"
    return f"IF({nominal}<5,#NUM!,{text})"
