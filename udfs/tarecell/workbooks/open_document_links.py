"""An .ods file that neither fetches nor runs anything when Calc reads it."""

import io
import re
import zipfile
from pathlib import Path
from xml.parsers import expat

from tarecell.workbooks.problems import WorkbookProblem

# Macros and what the windows looked like: nothing of that comes into an .xlsx file.
_LEFT_OUT = ("Basic/", "Dialogs/", "Scripts/", "Configurations2/")
_HREF = "http://www.w3.org/1999/xlink href"
_CLICKED = {  # followed by a click only, and so kept
    "urn:oasis:names:tc:opendocument:xmlns:text:1.0 a",
    "urn:oasis:names:tc:opendocument:xmlns:drawing:1.0 a",
}
_TAG = re.compile(rb"""<(?:[^"'>]|"[^"]*"|'[^']*')*>""")
_HREF_WRITTEN = re.compile(rb"""(\s[^\s"'=<>]+:href\s*=\s*)(?:"[^"]*"|'[^']*')""")
# No macros, no links brought up to date, and a proxy where nobody answers: some pictures escape every other setting.
_SETTINGS = (
    ("org.openoffice.Office.Common/Security/Scripting", "DisableMacrosExecution", "true"),
    ("org.openoffice.Office.Common/Security/Scripting", "MacroSecurityLevel", "3"),
    ("org.openoffice.Office.Common/Security/Scripting", "BlockUntrustedRefererLinks", "true"),
    ("org.openoffice.Office.Calc/Content/Update", "Link", "2"),
    ("org.openoffice.Inet/Settings", "ooInetProxyType", "2"),
    ("org.openoffice.Inet/Settings", "ooInetHTTPProxyName", "127.0.0.1"),
    ("org.openoffice.Inet/Settings", "ooInetHTTPProxyPort", "9"),
    ("org.openoffice.Inet/Settings", "ooInetHTTPSProxyName", "127.0.0.1"),
    ("org.openoffice.Inet/Settings", "ooInetHTTPSProxyPort", "9"),
)


def wary_profile(folder: Path) -> None:
    """A user profile for Calc that runs no macro and reaches no network."""
    items = "".join(
        f'<item oor:path="/{path}"><prop oor:name="{name}" oor:op="fuse"><value>{value}</value></prop></item>\n'
        for path, name, value in _SETTINGS
    )
    (folder / "user").mkdir(parents=True)
    (folder / "user" / "registrymodifications.xcu").write_text(
        f'<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<oor:items xmlns:oor="http://openoffice.org/2001/registry">\n{items}</oor:items>\n',
        encoding="utf-8",
    )


def belongs(part: str) -> bool:
    """Whether a part is read at all."""
    return not part.startswith(_LEFT_OUT)


def without_links(name: str, data: bytes) -> bytes:
    """The package without macros, and with every link that a program follows by itself emptied.

    Links to the package's own parts and those that people click are kept. WorkbookProblem for damaged XML.
    """
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        parts = set(old.namelist())
        inside = parts | {folder for part in parts for folder in _folders(part)}
        for entry in old.infolist():
            if not belongs(entry.filename):
                continue
            part = old.read(entry)
            if entry.filename.endswith(".xml") and not entry.filename.startswith("META-INF/"):
                part = _emptied(name, entry.filename, part, inside)
            new.writestr(entry, part, entry.compress_type)
    return made.getvalue()


def _folders(part: str) -> list[str]:
    names = part.rstrip("/").split("/")
    return ["/".join(names[:count]) for count in range(1, len(names))]


def _emptied(name: str, part: str, xml: bytes, inside: set[str]) -> bytes:
    places: list[int] = []
    parser = expat.ParserCreate(namespace_separator=" ")

    def begins(element: str, attributes: dict[str, str]) -> None:
        link = attributes.get(_HREF)
        if link and element not in _CLICKED and not link.startswith("#"):
            if link.removeprefix("./").rstrip("/") not in inside:
                places.append(parser.CurrentByteIndex)

    def declared(_version: str, encoding: str | None, _standalone: int) -> None:
        if encoding and encoding.lower() not in ("utf-8", "us-ascii"):
            raise WorkbookProblem(f"{name}: its part {part} is written in {encoding[:40]}, not in UTF-8")

    parser.StartElementHandler, parser.XmlDeclHandler = begins, declared
    try:
        parser.Parse(xml, True)
    except expat.ExpatError:
        raise WorkbookProblem(f"{name}: its part {part} is damaged; it was not opened") from None
    made, end = [], 0
    for place in places:
        tag = _TAG.match(xml, place)
        if tag is None:  # UTF-16 without a declaration
            raise WorkbookProblem(f"{name}: its part {part} is not written in UTF-8; it was not opened")
        made += [xml[end:place], _HREF_WRITTEN.sub(rb'\1""', tag[0])]
        end = tag.end()
    return b"".join([*made, xml[end:]])
