"""The embedded engine: formualizer with the functions registered. It needs no spreadsheet program."""

from tarecell.hosts.embedded.engine import Engine, EngineMissing, Uncomputed
from tarecell.hosts.embedded.formulas import Area, Names, Translated, Translator, Unsupported

__all__ = [
    "Area",
    "Engine",
    "EngineMissing",
    "Names",
    "Translated",
    "Translator",
    "Uncomputed",
    "Unsupported",
]
