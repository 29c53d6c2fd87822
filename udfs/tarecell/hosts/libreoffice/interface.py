"""The functions as Calc's type language has them, and the type library that was made of that."""

from collections.abc import Iterable
from pathlib import Path

from tarecell.functions import REGISTRY, Record
from tarecell.hosts.libreoffice.cells import gives_many, needs_document, takes_rest
from tarecell.hosts.libreoffice.problem import OfficeProblem

LIBRARY = Path(__file__).with_name("tarecell.rdb")
SOURCE = LIBRARY.with_suffix(".idl")


def argument_names(record: Record) -> list[str]:
    """Names for the arguments that no word of the type language collides with: a1, a2, …"""
    return [f"a{i + 1}" for i in range(len(record.arguments))]


def method(record: Record) -> str:
    """One function in the type language."""
    result = "sequence<sequence<any> >" if gives_many(record) else "any"
    parts = [f"[in] any {name}" for name in argument_names(record)]
    if takes_rest(record):
        parts[-1] = f"[in] sequence<any> {argument_names(record)[-1]}"
    if needs_document(record):
        parts.insert(0, "[in] com::sun::star::beans::XPropertySet document")
    return f"    {result} {record.name}({', '.join(parts)});"


def idl(records: Iterable[Record] = REGISTRY.values()) -> str:
    """The interface of all functions in the type language."""
    methods = "\n".join(method(record) for record in sorted(records, key=lambda r: r.name))
    return f"module tarecell {{\n  interface XFunctions {{\n{methods}\n  }};\n}};\n"


def library() -> bytes:
    """The type library as it is stored. Raises OfficeProblem when functions have changed since it was made."""
    if SOURCE.read_text(encoding="utf-8") != idl():
        raise OfficeProblem(
            "the functions have changed since the type library was made: run python -m "
            "tarecell.hosts.libreoffice.type_library"
        )
    return LIBRARY.read_bytes()
