"""The one running Calc of the host tests."""

from hosts.conftest import _host, calc

__all__ = ["_host", "calc"]
