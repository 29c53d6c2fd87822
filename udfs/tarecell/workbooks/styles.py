"""Cell formats added to a workbook's styles.xml: a cell's look with another number format, spliced in at the end.

Existing formats keep their numbers and their bytes, so that no cell elsewhere changes its look.
"""

import re
from dataclasses import dataclass, field
from xml.parsers import expat
from xml.sax.saxutils import quoteattr

from tarecell.workbooks.cell_map import TAG, Span
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem

GENERAL = "General"
# Formats that every program knows by number (ECMA-376 part 1, 18.8.30); only those that are the same everywhere.
_BUILT_IN = {0: GENERAL, 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 49: "@"}
_FIRST_OWN = 164  # numbers below are kept for the programs' own formats
MOST_FORMATS = 64_000  # cell formats in a workbook, a limit of the file format's programs


@dataclass(slots=True)
class _Format:
    """A cell format: its attributes, its bytes and those of its alignment and protection."""

    attributes: dict[str, str]
    span: Span
    alignment: dict[str, str] = field(default_factory=dict)
    children: dict[str, Span] = field(default_factory=dict)


class Styles:
    """A styles part: ask it for cell formats, then take its `xml`."""

    def __init__(self, xml: bytes):
        self._xml = xml
        self._prefix = ""
        self._sections: dict[str, Span] = {}
        self._first_child: int | None = None
        self._formats: list[_Format] = []
        self._codes: dict[int, str] = {}
        self._new_codes: dict[str, int] = {}
        self._new_formats: list[bytes] = []
        self._scan()

    @classmethod
    def of(cls, package: Package) -> tuple["Styles", str] | None:
        """The styles of a workbook and their part; None for a workbook that has none."""
        for link in package.relationships(package.workbook_part).values():
            if link.type == "styles" and link.target in package:
                return cls(package.read(link.target)), link.target
        return None

    def number_format(self, style: int) -> str:
        """The number format of a cell format."""
        number = self._number(self._format(style).attributes.get("numFmtId", "0"))
        return self._codes.get(number) or _BUILT_IN.get(number, GENERAL)

    def wraps(self, style: int) -> bool:
        """Whether a cell format breaks long text into lines."""
        return self._format(style).alignment.get("wrapText", "0") in ("1", "true", "on")

    def like(self, style: int, number_format: str, align: bool = False, quoted: bool = False) -> int:
        """A cell format with the font, fill and border of `style` and this number format; added if there is none.

        `align`: the alignment too; otherwise only whether the text stands at the top, in the middle or at the bottom.
        `quoted`: for text that begins like a formula, so that it stays text when somebody edits it.
        """
        source = self._format(style)
        made = self._made(source, self._code_number(number_format), align, quoted)
        for position, other in enumerate(self._formats):
            if self._xml[other.span.start : other.span.end] == made:
                return position
        if made not in self._new_formats:
            if len(self._formats) + len(self._new_formats) >= MOST_FORMATS:
                raise WorkbookProblem(f"the workbook has {MOST_FORMATS} cell formats, as many as there can be")
            self._new_formats.append(made)
        return len(self._formats) + self._new_formats.index(made)

    @property
    def xml(self) -> bytes:
        """The part with what was added."""
        splices = []
        if self._new_codes:
            splices += self._with_codes()
        if self._new_formats:
            section = self._sections["cellXfs"]
            tag = self._counted(section, len(self._formats) + len(self._new_formats))
            splices.append((section.start, section.opened, tag))
            splices.append((section.closing, section.closing, b"".join(self._new_formats)))
        pieces, at = [], 0
        for start, end, content in sorted(splices, key=lambda splice: splice[:2]):
            pieces += (self._xml[at:start], content)
            at = end
        return b"".join([*pieces, self._xml[at:]])

    @property
    def changed(self) -> bool:
        """Whether anything was added."""
        return bool(self._new_codes or self._new_formats)

    # -- reading -------------------------------------------------------------------------------------------------

    def _scan(self) -> None:
        if b"\0" in self._xml[:4]:
            raise WorkbookProblem("the workbook is stored as UTF-16; save the file once in your spreadsheet program")
        parser = expat.ParserCreate()
        path: list[tuple[str, Span]] = []

        def start(name: str, attributes: dict[str, str]) -> None:
            begin = parser.CurrentByteIndex
            span = Span(begin, TAG.match(self._xml, begin).end())
            name = name.rsplit(":", 1)[-1]
            path.append((name, span))
            if len(path) == 1:
                tag = self._xml[begin : span.opened]
                self._prefix = tag[1 : tag.index(b"styleSheet")].decode() if b"styleSheet" in tag else ""
                self._first_child = span.opened
            elif len(path) == 2:
                self._sections.setdefault(name, span)
            elif len(path) == 3 and path[1][0] == "cellXfs" and name == "xf":
                self._formats.append(_Format(attributes, span))
            elif len(path) == 3 and path[1][0] == "numFmts" and name == "numFmt":
                self._codes[self._number(attributes.get("numFmtId", "0"))] = attributes.get("formatCode", "")
            elif len(path) == 4 and path[1][0] == "cellXfs" and self._formats:
                self._formats[-1].children[name] = span
                if name == "alignment":
                    self._formats[-1].alignment = attributes

        def end(_: str) -> None:
            _, span = path.pop()
            if self._xml[span.opened - 2 : span.opened] == b"/>":
                span.closing = span.end = span.opened
            else:
                span.closing = parser.CurrentByteIndex
                span.end = self._xml.index(b">", span.closing) + 1

        parser.StartElementHandler, parser.EndElementHandler = start, end
        try:
            parser.Parse(self._xml, True)
        except expat.ExpatError as error:
            raise WorkbookProblem(f"the workbook's cell formats are damaged (line {error.lineno})") from None
        if not self._formats or self._sections["cellXfs"].self_closing:
            raise WorkbookProblem("the workbook's cell formats are damaged: there is not one of them")

    @staticmethod
    def _number(text: str) -> int:
        return int(text) if text.strip().isdigit() else 0

    def _format(self, style: int) -> _Format:
        return self._formats[style if 0 <= style < len(self._formats) else 0]

    # -- writing -------------------------------------------------------------------------------------------------

    def _code_number(self, code: str) -> int:
        for known in (_BUILT_IN, self._codes):
            for number, text in known.items():
                if text == code and (known is self._codes or number not in self._codes):
                    return number
        if code not in self._new_codes:
            self._new_codes[code] = max([_FIRST_OWN - 1, *self._codes, *self._new_codes.values()]) + 1
        return self._new_codes[code]

    def _made(self, source: _Format, number: int, align: bool, quoted: bool) -> bytes:
        kept = {k: source.attributes.get(k, "0") for k in ("fontId", "fillId", "borderId")}
        parent = source.attributes.get("xfId")
        parts = [f'numFmtId="{number}"', *(f"{k}={quoteattr(v)}" for k, v in kept.items())]
        if parent is not None:
            parts.append(f"xfId={quoteattr(parent)}")
        parts += [f'{k}="1"' for k in ("applyNumberFormat", "applyFont", "applyFill", "applyBorder")]
        if quoted:
            parts.append('quotePrefix="1"')
        inside = self._alignment(source, align) + self._child(source, "protection")
        if b"alignment" in inside:
            parts.append('applyAlignment="1"')
        if b"protection" in inside:
            parts.append('applyProtection="1"')
        head = f"<{self._prefix}xf {' '.join(parts)}".encode()
        return head + (b">" + inside + f"</{self._prefix}xf>".encode() if inside else b"/>")

    def _alignment(self, source: _Format, whole: bool) -> bytes:
        if whole:
            return self._child(source, "alignment")
        vertical = source.alignment.get("vertical")
        return f"<{self._prefix}alignment vertical={quoteattr(vertical)}/>".encode() if vertical else b""

    def _child(self, source: _Format, name: str) -> bytes:
        span = source.children.get(name)
        return self._xml[span.start : span.end] if span else b""

    def _with_codes(self) -> list[tuple[int, int, bytes]]:
        p = self._prefix
        new = "".join(
            f'<{p}numFmt numFmtId="{number}" formatCode={quoteattr(code)}/>' for code, number in self._new_codes.items()
        ).encode()
        section = self._sections.get("numFmts")
        if section is None:
            whole = f'<{p}numFmts count="{len(self._new_codes)}">'.encode() + new + f"</{p}numFmts>".encode()
            return [(self._first_child, self._first_child, whole)]
        tag = self._counted(section, len(self._codes) + len(self._new_codes))
        if section.self_closing:
            return [(section.start, section.end, tag[:-2] + b">" + new + f"</{p}numFmts>".encode())]
        return [(section.start, section.opened, tag), (section.closing, section.closing, new)]

    def _counted(self, section: Span, count: int) -> bytes:
        tag = self._xml[section.start : section.opened]
        return re.sub(rb"(\scount\s*=\s*)(?:\"[^\"]*\"|'[^']*')", rb'\g<1>"%d"' % count, tag, count=1)
