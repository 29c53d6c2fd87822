"""Excel through xlwings: one Python function per record, made here, and called by the VBA module that `vba` makes.

    tarecell.hosts.excel.TC_TOP_UP(500.0, 487.5)

The functions are decorated where xlwings is installed; without it, and outside Windows, they are the plain functions.
An error comes back as a mark (see `calls`); for values in Python use `tarecell.call`.
Nothing here has been run in Excel yet: the tests run xlwings' own code, with the parts that only Windows has replaced.
"""

from tarecell.functions import REGISTRY
from tarecell.hosts.excel.calls import function

try:
    import xlwings
except ImportError:
    xlwings = None

globals().update({record.name: function(record, xlwings) for record in REGISTRY.values()})
