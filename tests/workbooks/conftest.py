"""The one running Calc of the host tests, for the workbook tests that ask for it."""

from hosts.conftest import _host, calc

__all__ = ["_host", "calc"]
