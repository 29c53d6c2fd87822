"""LibreOffice Calc: the extension made from the records, and its way into LibreOffice and out again."""

from tarecell.hosts.libreoffice.bundle import build
from tarecell.hosts.libreoffice.installing import install, uninstall
from tarecell.hosts.libreoffice.office import Office, find_office
from tarecell.hosts.libreoffice.problem import OfficeProblem

__all__ = ["Office", "OfficeProblem", "build", "find_office", "install", "uninstall"]
