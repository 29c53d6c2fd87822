"""An extension for Calc whose functions take arguments and do nothing: what any add-in function costs at least.

It brings a service too, which has a document recalculated from a thread that runs Python already (see calc_clock.py).
"""

import zipfile
from collections.abc import Mapping
from pathlib import Path

from tarecell.hosts.libreoffice.type_library import compiled

RECALCULATION = "emptyaddin.Recalculation"
BACK = "EMPTYBACK"  # the one that gives its argument, a range, back
_RANGE = "sequence<sequence<any> >"
_OFFICE = "http://openoffice.org/"
_MEDIA = "application/vnd.sun.star."
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_COMPONENT = """\
import uno
import unohelper
from com.sun.star.lang import XServiceInfo
from com.sun.star.task import XJob


class Functions(unohelper.Base, XServiceInfo, uno.getClass("emptyaddin.XFunctions")):
    def __init__(self, context, *_):
        pass

    def getImplementationName(self):
        return "EmptyAddIn"

    def getSupportedServiceNames(self):
        return ("com.sun.star.sheet.AddIn",)

    def supportsService(self, name):
        return name == "com.sun.star.sheet.AddIn"


{methods}


class Recalculation(unohelper.Base, XJob):
    def __init__(self, context, *_):
        pass

    def execute(self, arguments):
        arguments[0].Value.calculateAll()


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Functions, "EmptyAddIn", ("com.sun.star.sheet.AddIn",))
g_ImplementationHelper.addImplementation(Recalculation, "{service}", ("{service}",))
"""


def build(path: Path, functions: Mapping[str, int]) -> Path:
    """Writes the extension. `functions`: how many arguments each function takes, by name (capitals)."""
    declared = "".join(
        f"    {_RANGE if name == BACK else 'any'} {name}({_arguments(count, '[in] any a{}')});\n"
        for name, count in functions.items()
    )
    methods = "".join(
        f"def {name}(self, {_arguments(count, 'a{}')}):\n    {'return a1' if name == BACK else 'pass'}\n\n\n"
        f"Functions.{name} = {name}\n\n\n"
        for name, count in functions.items()
    )
    nodes = "".join(
        f'<node oor:name="{name}" oor:op="replace"><prop oor:name="DisplayName"><value xml:lang="en-US">{name}</value>'
        f'</prop><prop oor:name="CompatibilityName"><value xml:lang="en-US">{name}</value></prop></node>'
        for name in functions
    )
    parts = {
        "META-INF/manifest.xml": f'{_HEAD}<manifest:manifest xmlns:manifest="{_OFFICE}2001/manifest">'
        + _entry("types.rdb", "uno-typelibrary;type=RDB")
        + _entry("addin.components", "uno-components")
        + _entry("functions.xcu", "configuration-data")
        + "</manifest:manifest>",
        "description.xml": f'{_HEAD}<description xmlns="{_OFFICE}extensions/description/2006">'
        '<identifier value="emptyaddin"/><version value="1"/></description>',
        "functions.xcu": f'{_HEAD}<oor:component-data xmlns:oor="{_OFFICE}2001/registry" '
        'oor:name="CalcAddIns" oor:package="org.openoffice.Office"><node oor:name="AddInInfo">'
        '<node oor:name="EmptyAddIn" oor:op="replace"><node oor:name="AddInFunctions">'
        f"{nodes}</node></node></node></oor:component-data>",
        "addin.components": f'{_HEAD}<components xmlns="{_OFFICE}2010/uno-components">'
        '<component loader="com.sun.star.loader.Python" uri="addin.py"><implementation name="EmptyAddIn">'
        f'<service name="com.sun.star.sheet.AddIn"/></implementation><implementation name="{RECALCULATION}">'
        f'<service name="{RECALCULATION}"/></implementation></component></components>',
        "addin.py": _COMPONENT.format(methods=methods.rstrip(), service=RECALCULATION),
        "types.rdb": compiled(f"module emptyaddin {{\n  interface XFunctions {{\n{declared}  }};\n}};\n"),
    }
    with zipfile.ZipFile(path, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return path


def _arguments(count: int, pattern: str) -> str:
    return ", ".join(pattern.format(i) for i in range(1, count + 1))


def _entry(path: str, kind: str) -> str:
    return f'<manifest:file-entry manifest:full-path="{path}" manifest:media-type="{_MEDIA}{kind}"/>'
