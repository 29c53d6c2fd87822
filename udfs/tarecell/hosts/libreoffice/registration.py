"""The texts by which Calc knows the extension: names, descriptions, parts and the version it needs."""

from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape, quoteattr

from tarecell import __version__
from tarecell.functions import REGISTRY, Record
from tarecell.functions.guide import when_left_out
from tarecell.hosts.libreoffice.cells import takes_rest
from tarecell.hosts.libreoffice.interface import argument_names
from tarecell.hosts.libreoffice.office import OLDEST

IDENTIFIER = "tarecell"
IMPLEMENTATION = "Tarecell"
COMPONENT, COMPONENTS, TYPES, CONFIGURATION = "addin.py", "addin.components", "types.rdb", "functions.xcu"
ICON = "icon.png"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_MEDIA = "application/vnd.sun.star."


def _property(name: str, text: str, localised: bool = True) -> str:
    language = ' xml:lang="en-US"' if localised else ""
    return f"<prop oor:name={quoteattr(name)}><value{language}>{escape(text)}</value></prop>"


def _node(name: str, inside: str) -> str:
    return f'<node oor:name={quoteattr(name)} oor:op="replace">{inside}</node>\n'


def _shown(record: Record) -> Iterator[tuple[str, str]]:
    """Each argument's name and description as Calc shows them.

    Calc's wizard writes "(optional)" over every argument of an add-in, needed or not. So those that may be left out
    stand in brackets, as in the guide, and each description says which it is.
    """
    for argument in record.arguments:
        if takes_rest(record) and argument is record.arguments[-1]:
            yield argument.name, argument.doc  # Calc numbers them: arguments2, arguments3, …
        elif argument.required:
            yield argument.name, f"{argument.doc} (must be given)"
        else:
            yield f"[{argument.name}]", argument.doc + when_left_out(argument)


def _arguments(record: Record) -> str:
    return "".join(
        _node(key, _property("DisplayName", name) + _property("Description", doc))
        for key, (name, doc) in zip(argument_names(record), _shown(record), strict=True)
    )


def _function(record: Record) -> str:
    """Names in US English only: a Calc in any language falls back to them, so a formula reads the same everywhere."""
    return _node(
        record.name,
        _property("DisplayName", record.name)
        + _property("CompatibilityName", record.name)  # the name in .xlsx files
        + _property("Description", record.summary)
        + _property("Category", "Tarecell", localised=False)  # one that Calc does not know is shown as Add-in
        + f'<node oor:name="Parameters">{_arguments(record)}</node>',
    )


def configuration(records: Iterable[Record] = REGISTRY.values()) -> str:
    """The .xcu file: every function's names and descriptions."""
    functions = "".join(_function(record) for record in sorted(records, key=lambda r: r.name))
    return (
        f'{_HEAD}<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="CalcAddIns" oor:package="org.openoffice.Office">'
        f'<node oor:name="AddInInfo"><node oor:name="{IMPLEMENTATION}" oor:op="replace">'
        f'<node oor:name="AddInFunctions">\n{functions}</node></node></node></oor:component-data>\n'
    )


def components() -> str:
    """Registers the add-in passively: nothing of it runs before Calc needs a function."""
    return (
        f'{_HEAD}<components xmlns="http://openoffice.org/2010/uno-components">'
        f'<component loader="com.sun.star.loader.Python" uri="{COMPONENT}">'
        f'<implementation name="{IMPLEMENTATION}"><service name="com.sun.star.sheet.AddIn"/></implementation>'
        "</component></components>\n"
    )


def manifest() -> str:
    """Which part of the extension is what."""
    parts = {
        TYPES: "uno-typelibrary;type=RDB",
        COMPONENTS: "uno-components",
        CONFIGURATION: "configuration-data",
    }
    entries = "".join(
        f'<manifest:file-entry manifest:full-path="{part}" manifest:media-type="{_MEDIA}{kind}"/>'
        for part, kind in parts.items()
    )
    return f'{_HEAD}<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">{entries}</manifest:manifest>\n'


def description() -> str:
    """Identifier, version, the LibreOffice it needs, and what the extension manager shows."""
    oldest = ".".join(map(str, OLDEST))
    return (
        f'{_HEAD}<description xmlns="http://openoffice.org/extensions/description/2006" '
        'xmlns:l="http://libreoffice.org/extensions/description/2011" xmlns:xlink="http://www.w3.org/1999/xlink">'
        f'<identifier value="{IDENTIFIER}"/><version value="{__version__}"/>'
        f'<dependencies><l:LibreOffice-minimal-version value="{oldest}" l:name="LibreOffice {oldest}"/></dependencies>'
        '<display-name><name lang="en">Tarecell</name></display-name>'
        f'<icon><default xlink:href="{ICON}"/></icon>'
        '<extension-description><src lang="en" xlink:href="description.txt"/></extension-description>'
        "</description>\n"
    )
