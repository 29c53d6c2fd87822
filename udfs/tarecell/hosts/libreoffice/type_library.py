"""The type library: what Calc knows of each function's arguments before it calls one.

`python -m tarecell.hosts.libreoffice.type_library` writes tarecell.rdb anew after a function was added or its number of
arguments changed. That takes `unoidl-write` from LibreOffice's developer kit; using the extension does not.
"""

import shutil
import subprocess
import tempfile
from collections.abc import Iterable
from pathlib import Path

from tarecell.functions import REGISTRY, Record
from tarecell.hosts.libreoffice.cells import argument_names, gives_many, needs_document, takes_rest
from tarecell.hosts.libreoffice.office import find_office
from tarecell.hosts.libreoffice.problem import OfficeProblem

LIBRARY = Path(__file__).with_name("tarecell.rdb")


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


def compiler() -> Path | None:
    """Where `unoidl-write` is, None when the developer kit is not installed."""
    found = shutil.which("unoidl-write")
    if found:
        return Path(found)
    try:
        kit = find_office(oldest=(0, 0)).program.parent / "sdk" / "bin"
    except OfficeProblem:
        return None
    return next((tool for tool in (kit / "unoidl-write", kit / "unoidl-write.exe") if tool.exists()), None)


def compiled(text: str) -> bytes:
    """The type library for a text in the type language."""
    tool, office = compiler(), find_office(oldest=(0, 0))
    if tool is None:
        raise OfficeProblem("unoidl-write is missing: install LibreOffice's developer kit (libreoffice-dev on Debian)")
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder, "tarecell.idl"), Path(folder, "tarecell.rdb")
        source.write_text(text, encoding="utf-8")
        known = [office.resources / "types.rdb", office.resources / "types" / "offapi.rdb"]
        done = subprocess.run([tool, *known, source, target], capture_output=True, text=True, timeout=120, check=False)
        if done.returncode:
            raise OfficeProblem(f"unoidl-write refused the types: {(done.stderr or done.stdout).strip()}")
        return target.read_bytes()


def main() -> None:
    LIBRARY.write_bytes(compiled(idl()))
    print(f"{LIBRARY.name}: {len(REGISTRY)} functions, {LIBRARY.stat().st_size} bytes")


if __name__ == "__main__":
    main()
