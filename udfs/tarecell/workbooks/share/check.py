"""The last look at a finished copy: nothing in it needs an add-in, and nothing of what was left out is in it."""

import re
from collections.abc import Collection, Iterator

from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.share.leave_out import naming
from tarecell.workbooks.share.original import Original
from tarecell.workbooks.xml_text import cell_text, number

_PLACES = rb"f|formula|formula1|formula2|definedName|calculatedColumnFormula|totalsRowFormula"
_FORMULA = re.compile(rb"<(?:\w+:)?(?:" + _PLACES + rb")(?:\s[^>]*)?>([^<]*\bTC_[A-Z][^<]*)")
_TEXT = re.compile(rb"\"[^\"]*\"|&quot;.*?&quot;")
_TYPED_TITLE = re.compile(rb"<a:t>[^<]*</a:t>")  # typed into a chart that stays; what it takes from cells is not here
_WORDS = re.compile(rb"<(?:\w+:)?t(?:\s[^>]*)?>[^<]*<")  # typed into a cell or note that stays: no reference to a sheet
_BETWEEN_TAGS = re.compile(rb">([^<>]*)<")
# A formula without long figures of its own, before the value that it gives.
_WORKED_OUT = re.compile(rb"(>(?:(?!(?<![A-Z$\d.])\d[\d.]{5})[^<])*</(?:\w+:)?f>)<(?:\w+:)?v>[^<]*</(?:\w+:)?v>")
_TO_DO = "take it out there, or leave that sheet in"
_LONG_NUMBER = 6  # characters of a figure that hardly stands elsewhere by chance
_LEAST, _LONG = 4, 12  # characters of a text that is told apart from others, as a whole and anywhere


def nothing_left(
    original: Original,
    copy: Package,
    own: Collection[str] = (),
    labels: Collection[str] = (),
    steps: Collection[str] = (),
) -> None:
    """Raises WorkbookProblem where a call of a TC_ function, or something of a sheet left out, is still in the copy.

    `own`: parts with nothing but reference figures and words of this package. `steps`: parts with its in-between steps;
    what their formulas give follows from what stays. `labels`: what the steps are called.
    """
    names = naming(original.without)
    secrets = _texts(original).difference(labels)
    for part in copy.names:
        content = copy.read(part)
        if any(b"TC_" in _TEXT.sub(b"", formula) for formula in _FORMULA.findall(content)):
            raise WorkbookProblem(f"the copy would still hold a Tarecell function, in {part}: please report this")
        if names is not None and part.endswith((".xml", ".vml", ".rels")) and names.search(_WORDS.sub(b"", content)):
            raise WorkbookProblem(
                f"the copy would still speak of a sheet that was left out, in {_told(copy, part)}: {_TO_DO}"
            )
        if part.startswith("xl/charts/"):
            content = _TYPED_TITLE.sub(b"", content)
        if part in steps:
            content = _WORKED_OUT.sub(rb"\1", content)
        found = None if part in own else next(_held(content, secrets), None)
        if found is not None:
            where = _told(copy, part)
            raise WorkbookProblem(
                f"the copy would still hold “{found[:40]}” from a sheet that was left out, in {where}: {_TO_DO}"
            )


def _told(copy: Package, part: str) -> str:
    """A part of the file as people know it: the sheet itself, or the one that it belongs to (notes, charts …)."""
    for sheet in copy.sheets:
        if part == sheet.part:
            return f"the sheet “{sheet.name}”"
        linked = {link.target for link in copy.relationships(sheet.part).values()}
        drawn = {link.target for other in linked for link in copy.relationships(other).values()}
        if part in linked | drawn:
            return f"what belongs to the sheet “{sheet.name}” ({part})"
    return part


def _held(xml: bytes, texts: Collection[str]) -> Iterator[str]:
    """The texts that stand in XML: a short one as a whole, as it may be part of any other word."""
    if not texts:
        return
    whole = {*_BETWEEN_TAGS.findall(xml), *xml.split(b'"')[1:-1]}
    for text in texts:
        written = cell_text(text).encode()
        if len(text) >= _LONG and " " in text:
            found = written in xml
        elif b">" in written or b'"' in written:
            found = b">" + written + b"<" in xml or b'"' + written + b'"' in xml
        else:
            found = written in whole
        if found:
            yield text


def _texts(original: Original) -> set[str]:
    """Texts and long figures that stand only on sheets that are left out, and the names of those.

    What a sheet that stays says in a note, a list or its footer is no secret either.
    """
    if not original.without:
        return set()
    gone, kept = {name for name in original.without if len(name) >= _LEAST}, []
    for name, (_, layout) in original.evaluation.sheets.items():
        for cell in layout.cells():
            value = original.value(name, cell.position)
            if isinstance(value, float) and len(number(value)) >= _LONG_NUMBER:
                value = number(value)
            if isinstance(value, str) and len(value.strip()) >= _LEAST:
                gone.add(value) if name in original.without else kept.append(value)
    kept += [sheet.name for sheet in original.package.sheets if sheet.name not in original.without]
    together = "\n".join([*kept, *original.texts.values()])
    staying = [
        original.package.read(sheet.part) for sheet in original.package.sheets if sheet.name not in original.without
    ]
    gone = {text for text in gone if text not in together}
    return gone.difference(*(_held(sheet, gone) for sheet in staying))
