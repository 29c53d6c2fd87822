"""The embedded engine: formualizer with the functions registered. It needs no spreadsheet program."""

from tarecell.hosts.embedded.engine import Engine, EngineMissing, Uncomputed
from tarecell.hosts.embedded.formulas import Names, Translated, Translator
from tarecell.hosts.embedded.patterns import Patterns
from tarecell.hosts.embedded.references import Area
from tarecell.hosts.embedded.tables import TableArea, Unsupported

__all__ = [
    "Area",
    "Engine",
    "EngineMissing",
    "Names",
    "Patterns",
    "TableArea",
    "Translated",
    "Translator",
    "Uncomputed",
    "Unsupported",
]
