"""xlwings' own code for Windows, run anywhere: only what Windows itself would bring is replaced.

What runs for real: xlwings' decorators, its COM server's `CallUDF`, its reading and writing of values, its Range and
Book classes, its VBA generator. What is replaced: pywin32, and Excel's own objects (cells, sheet, workbook).
"""

import ctypes
import datetime
import importlib
import sys
from contextlib import contextmanager
from types import ModuleType, SimpleNamespace
from unittest.mock import MagicMock

RANGE = "{00020846-0000-0000-C000-000000000046}"  # Excel's interface for a range
MISSING = -2147352572  # what a left-out optional argument arrives as (DISP_E_PARAMNOTFOUND)
ERROR_CELLS = {  # as COM has Excel's error cells: 0x800A0000 plus the number of CVErr
    "#NULL!": -2146826288,
    "#DIV/0!": -2146826281,
    "#VALUE!": -2146826273,
    "#REF!": -2146826265,
    "#NAME?": -2146826259,
    "#NUM!": -2146826252,
    "#N/A": -2146826246,
    "#SPILL!": -2146826243,
    "#CALC!": -2146826238,
}
_NAMES = (
    "pythoncom pywintypes win32api win32con win32event win32gui win32process win32timezone win32com win32com.client "
    "win32com.server win32com.server.util win32com.server.dispatcher win32com.server.policy win32com.server.exception"
).split()


class Time(datetime.datetime):
    """Stands for pywintypes' own time, which is a datetime too."""


class ComError(Exception):
    """Stands for pywintypes.com_error."""


def _unwrap(value):
    raise ComError("not one of Python's own objects")


def _modules():
    modules = {name: ModuleType(name) for name in _NAMES}
    for name, module in modules.items():
        parent, _, last = name.rpartition(".")
        if parent:
            setattr(modules[parent], last, module)
        module.__getattr__ = lambda attribute: MagicMock(name=attribute)  # whatever else is looked up on import
        module.__path__ = []
    modules["pywintypes"].TimeType = Time
    modules["pywintypes"].com_error = ComError
    modules["pywintypes"].IID = str
    modules["pythoncom"].TypeIIDs = MagicMock()
    modules["pythoncom"].CoInitialize = lambda *_: None
    client = modules["win32com.client"]
    client.Dispatch = lambda thing, *_, **__: thing
    for name in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass"):
        setattr(client, name, type(name, (), {}))
    modules["win32com.server.util"].unwrap = _unwrap
    modules["win32com.server.policy"].DesignatedWrapPolicy = type("DesignatedWrapPolicy", (), {})
    modules["win32timezone"].TimeZoneInfo = SimpleNamespace(utc=lambda: datetime.timezone.utc)
    return modules


class Cells:
    """A range as Excel hands it over, with the value that COM would give: one value, or a tuple of rows."""

    def __init__(self, value, sheet=None, address="$A$1"):
        self.Value = value
        self._value = value
        self.Worksheet = self.Parent = sheet
        self._address = address
        info = SimpleNamespace(GetTypeAttr=lambda: SimpleNamespace(iid=RANGE))
        self._oleobj_ = SimpleNamespace(GetTypeInfo=lambda: info)
        self.CLSID = RANGE
        rows = value if isinstance(value, tuple) else ((value,),)
        self.Rows = SimpleNamespace(Count=len(rows))
        self.Columns = SimpleNamespace(Count=len(rows[0]))
        self.Row = self.Column = 1

    def GetAddress(self, *_):
        return self._address


class Worksheets(list):
    """A workbook's sheets as Excel hands them over, counted from 1."""

    @property
    def Count(self):
        return len(self)

    def __call__(self, number):
        return self[number - 1]


def workbook():
    """A workbook in Excel with one sheet; `.cell` is a calling cell in it."""
    application = SimpleNamespace(Hwnd=1)
    book = SimpleNamespace(Name="Soap.xlsm", Application=application)
    sheet = SimpleNamespace(Name="Recipe", Parent=book, Application=application)
    book.Worksheets = Worksheets([sheet])
    return SimpleNamespace(book=book, cell=Cells(None, sheet))


@contextmanager
def xlwings_for_windows():
    """xlwings with its Windows modules imported: `.udfs`, `.server` (its COM server) and the decorators."""
    import xlwings

    stubs = _modules()
    kept = {name: sys.modules.get(name) for name in _NAMES}
    added = ("windll", "oledll", "WINFUNCTYPE", "wintypes")
    missing = [name for name in added if not hasattr(ctypes, name)]
    sys.modules.update(stubs)
    for name in missing:
        setattr(ctypes, name, MagicMock(name=name))
    loader, ctypes.PyDLL = ctypes.PyDLL, MagicMock(name="PyDLL")
    decorators = {name: getattr(xlwings, name) for name in ("func", "arg", "ret")}
    try:
        xlwings._xlwindows = importlib.import_module("xlwings._xlwindows")
        udfs = importlib.import_module("xlwings.udfs")
        server = importlib.import_module("xlwings.com_server")
        xlwings.engines.add(xlwings.Engine(impl=xlwings._xlwindows.engine))  # as xlwings itself does on Windows
        xlwings.func, xlwings.arg, xlwings.ret = udfs.xlfunc, udfs.xlarg, udfs.xlret
        yield SimpleNamespace(udfs=udfs, server=server)
    finally:
        ctypes.PyDLL = loader
        del xlwings.engines.engines[:]
        for name, value in decorators.items():
            setattr(xlwings, name, value)
        for name in missing:
            delattr(ctypes, name)
        for name in ("xlwings.udfs", "xlwings.com_server", "xlwings._xlwindows"):
            sys.modules.pop(name, None)
            if hasattr(xlwings, name.split(".")[1]):
                delattr(xlwings, name.split(".")[1])
        for name, module in kept.items():
            if module is None:
                sys.modules.pop(name, None)
            else:
                sys.modules[name] = module
