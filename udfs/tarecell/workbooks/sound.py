"""Whether a sheet's XML is well-formed: expat tells, which is called for what is not known to be so already."""

import codecs
import re
from xml.parsers import expat

from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.xml_text import holds

_CONTROL = bytes(set(range(32)) - set(b"\t\n\r"))  # characters that XML cannot hold
_PIECE = 1 << 20
# References that are not surely to characters that XML can hold: 1 to 4 digits from 32 on, and 6 digits, are.
_NUMBER = b"9|1[03]|3[2-9]|[4-9][0-9]|[1-9][0-9]{2,3}|[1-9][0-9]{5}"
_OTHER_REFERENCE = re.compile(b"&(?!(?:lt|gt|amp|quot|apos|#(?:%s));)" % _NUMBER)


def parse(xml: bytes, **handlers) -> None:
    """Reads a document whole. Without handlers of its elements this is quick: it only tells whether it is sound."""
    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = _doctype
    parser.XmlDeclHandler = _declaration
    for name, handler in handlers.items():
        setattr(parser, name, lambda *given, handler=handler: handler(parser, *given))
    try:
        parser.Parse(xml, True)
    except expat.ExpatError as error:
        raise WorkbookProblem(f"this sheet's XML is damaged (line {error.lineno})") from None


def _doctype(*_):
    raise WorkbookProblem("this sheet declares XML entities, which no workbook needs")


def _declaration(version, encoding, standalone):
    if encoding and encoding.lower() not in ("utf-8", "utf8", "us-ascii"):
        raise WorkbookProblem(f"this sheet is stored as {encoding}; save the file once in your spreadsheet program")


class Rows:
    """Looks at the rows from the first to the last one, each of them before anything else does.

    A row that fits the shape of one that was looked at has the same tags. Only its own start tag can be another one,
    and of its texts the characters matter, which are looked at in all rows at once.
    """

    def __init__(self, text: bytes, start: int, end: int):
        self._text, self._at = text, start
        self._harmless = _harmless(text, start, end)
        self._tags: set[bytes] = set()
        self._parser = expat.ParserCreate()
        self._parse(b"<rows>")

    def look(self, end: int) -> None:
        """Looks at everything up to this place."""
        if end > self._at:
            self._parse(self._text[self._at : end])
            self._at = end

    def look_at_tag(self, number_end: int, opened: int, end: int) -> None:
        """Looks at a row of a known shape, of which this is where the number, the start tag and all of it end."""
        if not self._harmless:
            self.look(end)
            return
        rest = self._text[number_end:opened]
        if rest not in self._tags:
            self._tags.add(rest)
            self._parse(b'<row r="1' + rest + b"</row>")
        self._at = end

    def close(self) -> None:
        self._parse(b"</rows>", True)

    def _parse(self, xml: bytes, last: bool = False) -> None:
        try:
            self._parser.Parse(xml, last)
        except expat.ExpatError:
            raise WorkbookProblem("this sheet's XML is damaged") from None


def _harmless(text: bytes, start: int, end: int) -> bool:
    """Whether texts can hold nothing that is no text in XML: no other characters, no other references."""
    decode = codecs.getincrementaldecoder("utf-8")().decode
    try:
        for at in range(start, end, _PIECE):
            piece = text[at : min(at + _PIECE, end)]
            words = decode(piece, at + _PIECE >= end)
            if len(piece.translate(None, _CONTROL)) != len(piece) or "\ufffe" in words or "\uffff" in words:
                return False
    except ValueError:
        return False
    return not holds(text, b"]]>", start) and _OTHER_REFERENCE.search(text, start, end) is None
