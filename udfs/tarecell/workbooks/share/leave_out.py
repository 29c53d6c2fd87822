"""Leaving sheets out, with nothing of them left anywhere in the file."""

import re
from urllib.parse import unquote

from tarecell.workbooks.cell_map import TAG
from tarecell.workbooks.package import Package, rels_part, resolve
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.share.strip import Parts, without_ids, without_relationships
from tarecell.workbooks.share.xml_edit import dropped, edit, with_attribute

_RULES = ("cfRule", "dataValidation", "sparkline", "hyperlink")


def chosen(package: Package, wanted: list[str]) -> list[str]:
    """The sheets to leave out, as the workbook spells them. Raises WorkbookProblem for one that is not there."""
    known = {sheet.name.lower(): sheet.name for sheet in package.sheets}
    found = []
    for name in wanted:
        if name.lower() not in known:
            listed = ", ".join(known.values())
            raise WorkbookProblem(f"{package.path.name} has no sheet “{name}”; its sheets: {listed}")
        found.append(known[name.lower()])
    if not any(s.name not in found and not s.hidden for s in package.sheets):
        raise WorkbookProblem("at least one visible sheet has to stay")
    return list(dict.fromkeys(found))


def naming(sheets: list[str]) -> re.Pattern[bytes] | None:
    """What finds a reference to one of these sheets in XML."""
    if not sheets:
        return None
    forms = []
    for sheet in sheets:
        for text in (f"'{sheet.replace(chr(39), chr(39) * 2)}'!", f"{sheet}!"):
            for quote in ("'", "&apos;", "&#39;"):
                written = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("'", quote)
                forms.append(re.escape(written.encode()))
        inside = re.escape(sheet.replace("'", "''").encode())
        forms.append(rb"'[^'!<>]*:?" + inside + rb"(?::[^'!<>]*)?'!")
        forms.append(rb"\b" + inside + rb":[^!<>]+!")
    # A name of letters must not be found at the end of a longer one.
    return re.compile(rb"(?<![\w.])(?:" + b"|".join(dict.fromkeys(forms)) + rb")", re.IGNORECASE)


def leave_out(parts: Parts, sheets: list[str]) -> None:
    """Takes sheets out of the workbook, and out of all that speaks of them."""
    package, pattern = parts.package, naming(sheets)
    if pattern is None:
        return
    gone = {sheet.part.lower() for sheet in package.sheets if sheet.name in sheets}
    workbook = package.workbook_part
    ids = without_relationships(parts, workbook, lambda _, target: resolve(workbook, target).lower() in gone)
    _list_of_sheets(parts, ids, pattern)
    _title(parts)
    tables = _tables(package, sheets)
    _refuse_rich_values(package)
    _pivots(parts, pattern, tables)
    alive = parts.reachable()
    for name in package.names:
        low = name.lower()
        if low not in alive or not low.endswith(".xml"):
            continue
        _links(parts, name, pattern)
        xml = parts.read(name)
        if not pattern.search(xml):
            continue
        if "/charts/" in low or "/chartsheets/" in low or b":chartSpace" in xml[:2000]:
            parts.write(name, _chart(xml, pattern))
            parts.tell("the data of charts that drew what was left out")
        elif "/worksheets/" in low:
            parts.write(name, _sheet(parts, xml, pattern))
        elif "/drawings/" in low:
            parts.write(name, re.sub(rb'\stextlink="[^"]*"', lambda m: b"" if pattern.search(m[0]) else m[0], xml))
        elif "/tables/" in low:
            parts.write(
                name, edit(xml, dict.fromkeys(("calculatedColumnFormula", "totalsRowFormula"), _if_named(pattern)))
            )
        elif "/ctrlprops/" in low:
            parts.write(name, re.sub(rb'\sfmla\w+="[^"]*"', lambda m: b"" if pattern.search(m[0]) else m[0], xml))
    for sheet in sheets:
        parts.tell(f"the sheet “{sheet}”")


def _if_named(pattern):
    return lambda _, element: b"" if pattern.search(element) else None


def _refuse_rich_values(package: Package) -> None:
    """Linked data types and pictures in cells lie in one store for all sheets."""
    for name in package.names:
        if re.search(r"/(?:rdrichvalue|richvaluerel|rdarray)\.xml$", name.lower()):
            raise WorkbookProblem(
                "the workbook holds pictures in cells, or linked data types such as shares, in one store for all its "
                "sheets; no sheet can be left out without them: put plain values in their place first"
            )


def _links(parts: Parts, part: str, pattern) -> None:
    """Takes out the links of pictures, shapes and cells that lead into what is left out."""

    def leads_there(kind: str, target: str) -> bool:
        return kind == "hyperlink" and bool(pattern.search(unquote(target).encode()))

    ids = without_relationships(parts, part, leads_there)
    if ids:
        parts.tell("rules, links and small charts in cells that read what was left out")
        parts.write(part, without_ids(parts.read(part), ids))


def _title(parts: Parts) -> None:
    """The document's title mostly stands on its first sheet, too."""
    for link in parts.package.relationships("").values():
        if link.type == "core-properties" and link.target in parts.package:
            before = parts.read(link.target)
            after = edit(before, {"title": dropped})
            if after != before:
                parts.write(link.target, after)
                parts.tell("the title in the document's properties")


def _list_of_sheets(parts: Parts, ids: set[str], pattern) -> None:
    """The workbook's own list, and its names."""
    package = parts.package
    order = [sheet.name for sheet in package.sheets]
    xml = parts.read(package.workbook_part)
    left: list[int] = []
    count = [0]

    def sheet(attributes, _):
        number, count[0] = count[0], count[0] + 1
        if any(k.endswith(":id") and v in ids for k, v in attributes.items()):
            return b""
        left.append(number)
        return None

    xml = edit(xml, {"sheet": sheet})

    def name(attributes, element):
        scope = attributes.get("localSheetId")
        if pattern.search(element) or (scope is not None and int(scope) not in left):
            return b""
        return with_attribute(element, "localSheetId", str(left.index(int(scope)))) if scope is not None else None

    if len(order) != count[0]:
        raise WorkbookProblem("the workbook lists its sheets in a way that is not understood")
    parts.write(package.workbook_part, _without_empty(edit(xml, {"definedName": name}), "definedNames"))


def _without_empty(xml: bytes, name: str) -> bytes:
    return re.sub(rb"<(\w+:)?%s>\s*</(\w+:)?%s>" % (name.encode(), name.encode()), b"", xml)


def _tables(package: Package, sheets: list[str]) -> set[str]:
    """The names of the tables on the sheets that are left out."""
    found = set()
    for sheet in package.sheets:
        if sheet.name in sheets:
            for link in package.relationships(sheet.part).values():
                if link.type == "table" and link.target in package:
                    table = package.xml(link.target)
                    found |= {table.get("displayName") or "", table.get("name") or ""}
    return found - {""}


def _pivots(parts: Parts, pattern, tables: set[str]) -> None:
    """Pivot tables of data that is left out keep their cells and lose their data."""
    package, caches = parts.package, set()
    for name in package.names:
        if re.search(r"/pivotcachedefinition[^/]*\.xml$", name.lower()):
            xml = parts.read(name)
            source = re.search(rb"<(?:\w+:)?worksheetSource\b[^>]*>", xml)
            text = source[0] if source else b""
            sheet = re.search(rb'\ssheet="([^"]*)"', text)
            named = re.search(rb'\sname="([^"]*)"', text)
            own = pattern.search(b"'" + sheet[1].replace(b"'", b"''") + b"'!") if sheet else None
            if own or (named and named[1].decode("utf8", "replace") in tables) or (text and not sheet):
                caches.add(name.lower())
    if not caches:
        return
    parts.tell("the data behind pivot tables of what was left out (the cells they filled stay as values)")
    pivots = {
        n.lower()
        for n in package.names
        if any(link.target.lower() in caches for link in package.relationships(n).values() if not link.external)
        and "/pivottables/" in n.lower()
    }
    doomed, kinds = caches | pivots, ("slicer", "slicerCache", "timeline", "timelineCache")
    for part in [n for n in package.names if rels_part(n) in package and "_rels/" not in n]:
        ids = without_relationships(
            parts, part, lambda kind, t, part=part: resolve(part, t).lower() in doomed or kind in kinds
        )
        if ids and part.lower().endswith(".xml"):

            def entry(attributes, _, ids=ids):
                return b"" if any(k.endswith(":id") and v in ids for k, v in attributes.items()) else None

            names = ("pivotCache", "slicer", "slicerCache", "timelineRef", "timelineCacheRef")
            xml = edit(parts.read(part), dict.fromkeys(names, entry))
            parts.write(part, _without_empty(xml, "pivotCaches"))


def _chart(xml: bytes, pattern) -> bytes:
    """A chart whose references to what is left out are broken, and whose stored points are gone."""

    def reference(_, element):
        if not pattern.search(element):
            return None
        prefix = re.match(rb"<(\w+:)?", element)[1] or b""
        kind = re.match(rb"<[^\s/>]+", element)[0][1:]
        return b"<" + kind + b"><" + prefix + b"f>#REF!</" + prefix + b"f></" + kind + b">"

    def newer(_, element):
        """Charts of the newer kinds hold their points in a dimension; labels and titles theirs beside the reference."""
        if not pattern.search(element):
            return None
        head, prefix = TAG.match(element).group(), re.match(rb"<(\w+:)?", element)[1] or b""
        kind = re.match(rb"<[^\s/>]+", element)[0][1:]
        return head + b"<" + prefix + b"f>#REF!</" + prefix + b"f></" + kind + b">"

    named = dict.fromkeys(("datalabelsRange", "pivotSource"), _if_named(pattern))
    olds, news = ("numRef", "strRef", "multiLvlStrRef"), ("numDim", "strDim", "txData")
    return edit(xml, dict.fromkeys(olds, reference) | dict.fromkeys(news, newer) | named)


def _sheet(parts: Parts, xml: bytes, pattern) -> bytes:
    """A sheet that stays, without the rules, links and small charts that read what is left out."""

    def rule(_, element):
        if not pattern.search(element):
            return None
        parts.tell("rules, links and small charts in cells that read what was left out")
        return b""

    return counted(edit(xml, dict.fromkeys(_RULES, rule)))


def counted(xml: bytes) -> bytes:
    """A sheet whose lists of rules are gone where they are empty, and counted anew where they are not."""

    def validations(_, element):
        count = len(re.findall(rb"<(?:\w+:)?dataValidation[\s>]", element))
        if not count:
            return b""
        return with_attribute(element, "count", str(count)) if re.match(rb"<[^>]*\scount=", element) else None

    def holder(name):
        return lambda _, element: None if re.search(rb"<(?:\w+:)?%s[\s/>]" % name, element[1:]) else b""

    decisions = {
        "dataValidations": validations,
        "hyperlinks": holder(b"hyperlink"),
        "sparklines": holder(b"sparkline"),
        "conditionalFormatting": holder(b"cfRule"),
    }
    xml = edit(xml, decisions)
    xml = edit(xml, {"sparklineGroup": holder(b"sparklines")})
    xml = edit(
        xml, {"sparklineGroups": holder(b"sparklineGroup"), "conditionalFormattings": holder(b"conditionalFormatting")}
    )
    xml = edit(xml, {"ext": lambda _, e: b"" if re.fullmatch(rb"<(\S+)[^>]*>\s*</\1>", e) else None})
    return edit(xml, {"extLst": lambda _, e: b"" if re.fullmatch(rb"<(\S+)[^>]*>\s*</\1>|<\S+[^>]*/>", e) else None})


def without_unused_strings(xml: bytes, used: set[int]) -> bytes:
    """The shared texts, those that no cell shows any more emptied; they keep their numbers."""
    number = [-1]

    def item(_, element):
        number[0] += 1
        if number[0] in used:
            return None
        prefix = re.match(rb"<(\w+:)?si", element)[1] or b""
        return b"<" + prefix + b"si><" + prefix + b"t/></" + prefix + b"si>"

    return edit(xml, {"si": item})
