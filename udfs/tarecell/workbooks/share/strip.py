"""What leaves a copy that goes to other people: names of persons, old versions, other files, macros."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from tarecell.workbooks.package import CONTENT_TYPES, Package, rels_part, resolve
from tarecell.workbooks.share.kinds import leaves
from tarecell.workbooks.share.xml_edit import dropped, edit, with_attribute

_MAIN = {
    b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
    b"application/vnd.ms-excel.template.macroEnabled.main+xml",
    b"application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml",
}
_SHEET = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"


@dataclass
class Parts:
    """The parts of a copy under way: read from the package, changed here, written once."""

    package: Package
    changed: dict[str, bytes] = field(default_factory=dict)
    added: dict[str, bytes] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)

    def read(self, part: str) -> bytes:
        name = next((n for n in self.changed if n.lower() == part.lower()), None)
        return self.changed[name] if name else self.package.read(part)

    def write(self, part: str, content: bytes) -> None:
        name = next((n for n in self.package.names if n.lower() == part.lower()), part)
        if name in self.package.names:
            self.changed[name] = content
        else:
            self.added[name] = content

    def tell(self, line: str) -> None:
        if line and line not in self.told:
            self.told.append(line)

    def reachable(self) -> set[str]:
        """The parts that the package still leads to, in lower case."""
        known = {name.lower(): name for name in self.package.names}
        found: set[str] = set()
        waiting = [""]
        while waiting:
            part = waiting.pop()
            rels = rels_part(part).lower()
            if rels not in known:
                continue
            found.add(rels)
            for target in _targets(self.read(known[rels]), part):
                if target.lower() in known and target.lower() not in found:
                    found.add(target.lower())
                    waiting.append(known[target.lower()])
        return found | {CONTENT_TYPES.lower()}


def _targets(rels: bytes, part: str) -> list[str]:
    found = []

    def note(attributes, _):
        if attributes.get("TargetMode") != "External":
            found.append(resolve(part, attributes.get("Target", "")))

    edit(rels, {"Relationship": note})
    return found


def without_relationships(parts: Parts, part: str, unwanted: Callable[[str, str], bool]) -> set[str]:
    """Cuts links out of a part's relationships; their ids. `unwanted` sees the kind and the target as written."""
    rels, ids = rels_part(part), set()
    if rels not in parts.package:
        return ids

    def decide(attributes, _):
        if unwanted(attributes.get("Type", "").rsplit("/", 1)[-1], attributes.get("Target", "")):
            ids.add(attributes.get("Id", ""))
            return b""
        return None

    parts.write(rels, edit(parts.read(rels), {"Relationship": decide}))
    return ids


def strip(parts: Parts) -> None:
    """Takes out what tells of persons and other files. `parts.told` gets what was found."""
    package = parts.package
    owners = [""] + [name for name in package.names if rels_part(name) in package and "_rels/" not in name]
    for part in owners:
        ids = without_relationships(parts, part, lambda kind, _: _leaves(parts, kind))
        if ids and part.lower().endswith(".xml"):
            parts.write(part, without_ids(parts.read(part), ids))
    _core_properties(parts)
    notes = {
        link.target.lower()
        for part in owners
        for link in package.relationships(part).values()
        if link.type == "comments" and not link.external
    }
    for name in package.names:
        low = name.lower()
        if low in notes:
            _comments(parts, name)
        elif low.endswith(".xml") and "/drawings/" in low and b"macro=" in parts.read(name):
            parts.write(name, re.sub(rb'\smacro="[^"]+"', b' macro=""', parts.read(name)))
        elif "/tables/" in low and b"queryTable" in parts.read(name):
            parts.write(name, re.sub(rb'\s(tableType="queryTable"|queryTableFieldId="[^"]*")', b"", parts.read(name)))
        elif "/worksheets/" in low and low.endswith(".xml"):
            _sheet(parts, name)
        elif "/pivotcache/" in low and b"refreshedBy=" in parts.read(name):
            parts.tell("names of those who refreshed pivot tables")
            parts.write(name, re.sub(rb'\srefreshedBy="[^"]*"', b"", parts.read(name)))
    _workbook(parts)
    types = parts.read(CONTENT_TYPES)
    for kind in _MAIN:
        types = types.replace(kind, _SHEET)
    parts.write(CONTENT_TYPES, types)


def _leaves(parts: Parts, kind: str) -> bool:
    called = leaves(kind)
    if called is None:
        return False
    parts.tell(called)
    return True


def _without_macro(_, element: bytes) -> bytes | None:
    return re.sub(rb'\smacro="[^"]*"', b"", element) if b"macro=" in element else None


_START = re.compile(rb"<(?:\w+:)?(\w+)\b([^<>]*)>")
_HOLDERS = ("oleObjects", "controls", "externalReferences", "customProperties", "tableParts", "pivotCaches")


def without_ids(xml: bytes, ids: set[str]) -> bytes:
    """A part without the elements that stand for parts that are gone."""

    def page(attributes, element):
        key = next((k for k, v in attributes.items() if ":" in k and v in ids), None)
        return with_attribute(element, key, None) if key else None

    def entry(attributes, _):
        return b"" if any(":" in k and v in ids for k, v in attributes.items()) else None

    sought = [re.compile(rb"\s\w+:\w+=[\"']%s[\"']" % re.escape(i.encode())) for i in ids]

    def alternate(_, element):
        return b"" if any(pattern.search(element) for pattern in sought) else None

    starts = _START.finditer(xml)
    named = {start[1].decode() for start in starts if any(pattern.search(start[2]) for pattern in sought)}
    decisions = {name: entry for name in named} | {"AlternateContent": alternate}
    xml = edit(xml, decisions | {"pageSetup": page})
    return edit(xml, {name: lambda _, e: None if re.search(rb"<[^>]+<|>\s*<(?!/)", e) else b"" for name in _HOLDERS})


def _core_properties(parts: Parts) -> None:
    for link in parts.package.relationships("").values():
        if link.target not in parts.package:
            continue
        if link.type == "core-properties":
            names = []

            def blank(_, element, names=names):
                text = re.sub(rb"<[^>]*>", b"", element).strip()
                if text:
                    names.append(text)
                return b""

            fields = ("creator", "lastModifiedBy", "keywords", "description", "subject", "category", "manager")
            parts.write(link.target, edit(parts.read(link.target), dict.fromkeys(fields, blank)))
            if names:
                parts.tell("author, last editor and description in the document's properties")
        elif link.type == "extended-properties":
            gone = ("Company", "Manager", "HyperlinkBase", "Template", "TitlesOfParts", "HeadingPairs", "HLinks")
            before = parts.read(link.target)
            if re.search(rb"<(Company|Manager)>[^<]", before):
                parts.tell("company and manager in the document's properties")
            parts.write(link.target, edit(before, dict.fromkeys(gone, dropped)))


def _comments(parts: Parts, name: str) -> None:
    """Blanks the authors of notes, and their names at the head of each note."""
    xml, authors = parts.read(name), []

    def author(_, element):
        text = re.sub(rb"<[^>]*>", b"", element).strip()
        if text:
            authors.append(text)
        tag = re.match(rb"<([^\s/>]+)", element).group(1)
        return b"<" + tag + b"></" + tag + b">"

    xml = edit(xml, {"author": author})
    for text in authors:
        xml = re.sub(rb"(>\s*)" + re.escape(text) + rb":", rb"\g<1>", xml)
    if authors:
        parts.tell("names of the authors of notes")
    parts.write(name, xml)


def _sheet(parts: Parts, name: str) -> None:
    """Views of single persons, what-if scenarios with their authors, who may change what."""

    def told(line: str):
        def gone(_, __):
            parts.tell(line)
            return b""

        return gone

    decisions = {
        "customSheetViews": dropped,
        "controls": _without_macro,
        "scenarios": told("what-if scenarios and the names of their authors"),
        "dataConsolidate": told("the sources of consolidated data"),
        "webPublishItems": dropped,
        "protectedRange": lambda _, element: with_attribute(element, "securityDescriptor", None),
    }
    parts.write(name, edit(parts.read(name), decisions))


def _workbook(parts: Parts) -> None:
    """Where the file lay, who shares it, whose views it keeps."""
    part = parts.package.workbook_part
    xml = parts.read(part)

    def alternate(_, element):
        if b"absPath" not in element:
            return None
        parts.tell("the folder where the file lay")
        return b""

    def shared(attributes, element):
        return with_attribute(element, "userName", None) if "userName" in attributes else None

    def external(_, element):
        return b"" if not re.search(rb"externalReference[\s/>]", element[19:]) else None

    gone = ("revisionPtr", "customWorkbookViews", "fileRecoveryPr", "functionGroups", "webPublishing")
    decisions = dict.fromkeys(gone, dropped)
    xml = edit(xml, decisions | {"AlternateContent": alternate, "fileSharing": shared, "externalReferences": external})
    parts.write(part, re.sub(rb'(<(?:\w+:)?workbookPr[^>]*?)\s+codeName="[^"]*"', rb"\1", xml))
