"""The add-in as Calc loads it: carries cells to the cell functions and back, nothing else."""

import datetime
import os
import sys

import uno
import unohelper
from com.sun.star.lang import XServiceInfo

# In front, so that another pint or Tarecell on this machine cannot take the place of the ones carried along.
_PARTS = os.path.join(os.path.dirname(__file__), "pythonpath")
sys.path[:] = [_PARTS] + [path for path in sys.path if path != _PARTS]

from tarecell.errors import CellError  # noqa: E402
from tarecell.functions import REGISTRY, Host, result  # noqa: E402
from tarecell.hosts.libreoffice import cells  # noqa: E402

IMPLEMENTATION = "Tarecell"  # formulas in .ods files are saved under this name: it never changes
SERVICES = ("com.sun.star.sheet.AddIn",)


def _version(context):
    """LibreOffice's own version number, as its About window shows it."""
    provider = context.ServiceManager.createInstanceWithContext(
        "com.sun.star.configuration.ConfigurationProvider", context
    )
    where = uno.createUnoStruct("com.sun.star.beans.PropertyValue", "nodepath", 0, "/org.openoffice.Setup/Product", 0)
    product = provider.createInstanceWithArguments("com.sun.star.configuration.ConfigurationAccess", (where,))
    return product.getPropertyValue("ooSetupVersionAboutBox")


class Functions(unohelper.Base, XServiceInfo, uno.getClass("tarecell.XFunctions")):
    """One method per record, added below."""

    def __init__(self, context, *_):
        self.name, self.version = "LibreOffice Calc", _version(context)
        self.host = Host(self.name, self.version)
        self.hosts = {self.host.epoch: self.host}

    def host_of(self, document):
        """The host as this document sees it: documents differ in day 0 of their dates."""
        if document is None:
            return self.host
        day = document.getPropertyValue("NullDate")
        epoch = datetime.date(day.Year, day.Month, day.Day)
        if epoch not in self.hosts:
            self.hosts[epoch] = Host(self.name, self.version, epoch)
        return self.hosts[epoch]

    def getImplementationName(self):
        return IMPLEMENTATION

    def getSupportedServiceNames(self):
        return SERVICES

    def supportsService(self, name):
        return name in SERVICES


def _method(record):
    """The method that Calc calls for a record."""
    many = cells.gives_many(record)
    document, rest = cells.needs_document(record), cells.takes_rest(record)

    def call(self, *args):
        host = self.host
        if document:
            host, args = self.host_of(args[0]), args[1:]
        if rest:
            args = args[:-1] + args[-1]
        try:
            value = result(record, args, host, cells.column)
        except CellError as error:
            return cells.error_cells(error, record.room(args)) if many else cells.error_cell(error)
        if many:
            return cells.table(value, record)
        return value if value.__class__ is float else cells.cell(value)

    return call


for _record in REGISTRY.values():
    setattr(Functions, _record.name, _method(_record))

g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Functions, IMPLEMENTATION, SERVICES)
