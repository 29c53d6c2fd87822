"""Makes the type library: what Calc knows of each function's arguments before it calls one.

Run `python -m tarecell.hosts.libreoffice.type_library` after a function was added or its number of arguments changed:
it writes tarecell.rdb anew, and beside it tarecell.idl, the text it was made from. That takes `unoidl-write` from
LibreOffice's developer kit; building and using the extension does not.
"""

import shutil
import subprocess
import tempfile
from pathlib import Path

from tarecell.functions import REGISTRY
from tarecell.hosts.libreoffice.interface import LIBRARY, SOURCE, idl
from tarecell.hosts.libreoffice.office import find_office
from tarecell.hosts.libreoffice.problem import OfficeProblem


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
    SOURCE.write_text(idl(), encoding="utf-8", newline="\n")
    print(f"{LIBRARY.name}: {len(REGISTRY)} functions, {LIBRARY.stat().st_size} bytes")


if __name__ == "__main__":
    main()
