"""Elements cut out of XML, or exchanged, with every other byte left as it is."""

import re
from collections.abc import Callable, Mapping
from xml.parsers import expat
from xml.sax.saxutils import quoteattr

from tarecell.workbooks.cell_map import TAG
from tarecell.workbooks.problems import WorkbookProblem

Decision = Callable[[Mapping[str, str], bytes], "bytes | None"]


def edit(xml: bytes, decisions: Mapping[str, Decision]) -> bytes:
    """XML with some elements exchanged. For every element of a listed name (without its prefix) the decision sees its
    attributes and bytes, and gives None to keep it, other bytes to put in its place."""
    if not any(name.encode() in xml for name in decisions):
        return xml
    parser = expat.ParserCreate()
    stack: list[tuple[str, dict[str, str], int, int]] = []
    splices: list[tuple[int, int, bytes]] = []

    def start(name, attributes):
        begin = parser.CurrentByteIndex
        stack.append((name.rsplit(":", 1)[-1], attributes, begin, TAG.match(xml, begin).end()))

    def end(_):
        name, attributes, begin, opened = stack.pop()
        if name not in decisions:
            return
        closed = xml[opened - 2 : opened] == b"/>"
        finish = opened if closed else xml.index(b">", parser.CurrentByteIndex) + 1
        made = decisions[name](attributes, xml[begin:finish])
        if made is not None:
            while splices and splices[-1][0] >= begin:
                splices.pop()
            splices.append((begin, finish, made))

    parser.StartElementHandler, parser.EndElementHandler = start, end
    try:
        parser.Parse(xml, True)
    except expat.ExpatError:
        raise WorkbookProblem("a part of the workbook is not well-formed XML") from None
    pieces, at = [], 0
    for begin, finish, content in splices:
        pieces += (xml[at:begin], content)
        at = finish
    return b"".join([*pieces, xml[at:]])


def dropped(_: Mapping[str, str], __: bytes) -> bytes:
    """The decision to cut an element out."""
    return b""


def with_attribute(element: bytes, name: str, value: str | None) -> bytes:
    """An element with one attribute of its start tag set, or taken out."""
    tag = TAG.match(element).group()
    bare = re.sub(rb"\s+%s\s*=\s*(?:\"[^\"]*\"|'[^']*')" % re.escape(name.encode()), b"", tag)
    if value is not None:
        bare = re.sub(rb"^(<[^\s/>]+)", lambda m: m.group(1) + f" {name}={quoteattr(value)}".encode(), bare)
    return bare + element[len(tag) :]
