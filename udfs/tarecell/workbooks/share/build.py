"""Building a plain copy: every formula of the original decided on, the parts written."""

import io
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from tarecell.errors import CellError
from tarecell.hosts.plain import Sheet, Untranslatable
from tarecell.workbooks import cells
from tarecell.workbooks.evaluate import Place, Trials, Value
from tarecell.workbooks.package import CONTENT_TYPES, Package, resolve
from tarecell.workbooks.patch import CellEdit, Constant, Result, patch_sheet
from tarecell.workbooks.references import Position, inside
from tarecell.workbooks.share import first_sheet, formulas, leave_out, sheets
from tarecell.workbooks.share.decide import TC, Decisions
from tarecell.workbooks.share.original import Original
from tarecell.workbooks.share.precedents import box_of
from tarecell.workbooks.share.report import FixedCell, Report
from tarecell.workbooks.share.strip import Parts, strip
from tarecell.workbooks.share.xml_edit import edit, with_attribute
from tarecell.workbooks.sheet_map import SheetMap, sheet_map
from tarecell.workbooks.xml_text import formula as formula_text

WORKINGS, REFERENCE = "Workings", "ReferenceValues"
_USES = re.compile(rb"TC_[A-Z]|\[\d+\]")  # a function, or another workbook


@dataclass
class Copy:
    """A plain copy under way. `frozen`: formulas that have to be values, and why; `sheltered`: formulas that have to be
    #N/A with the values that they depend on; `unsure`: values that cannot be watched (all found by comparing)."""

    original: Original
    report: Report
    frozen: dict[Place, str] = field(default_factory=dict)
    sheltered: set[Place] = field(default_factory=set)
    unsure: set[Place] = field(default_factory=set)
    translated: dict[Place, str] = field(default_factory=dict)  # the plain formulas
    fixed: dict[Place, FixedCell] = field(default_factory=dict)
    names: tuple[str, ...] = ()
    reference_parts: tuple[str, ...] = ()
    step_parts: tuple[str, ...] = ()
    labels: frozenset[str] = frozenset()  # of the steps on the sheet of workings

    def build(self) -> Package:
        """The copy as a package in memory, its values filled in."""
        original = self.original
        self.parts = Parts(original.package)
        strip(self.parts)
        leave_out.leave_out(self.parts, original.without)
        taken = {s.name.lower() for s in original.package.sheets} | {name for _, name in original.names.defined}
        self.names = sheets.free_name(WORKINGS, taken), sheets.free_name(REFERENCE, taken)
        work, reference = Sheet(self.names[0]), Sheet(self.names[1])
        decisions = Decisions(original, self.frozen, self.sheltered, self.unsure, work, reference)
        for sheet, edits in decisions.edits().items():
            self._sheet(sheet, edits)
        self.translated, self.fixed = decisions.translated, decisions.fixed
        self._rules()
        self._report()
        added = self._new_sheets(work, reference)
        return self._filled(self._packed(), added)

    def _sheet(self, name: str, edits: Mapping[Position, CellEdit]) -> None:
        part = self.original.evaluation.sheets[name][0].part
        layout = sheet_map(unshared(sheets.unselected(self.parts.read(part))))
        boxes = list(layout.arrays().values())  # their cells are written all together, also those that are blank

        def needed(where, e):
            return e != Constant(None) or layout.cell(where) is not None or any(inside(where, box) for box in boxes)

        edits = {where: e for where, e in edits.items() if needed(where, e)}
        self.parts.write(part, patch_sheet(layout.xml, edits, layout) if edits else layout.xml)

    def _rules(self) -> None:
        """Names, rules and charts that use the functions or another workbook have no place in the copy."""
        parts, package = self.parts, self.original.package

        def name(_, element):
            if not _USES.search(element):
                return None
            parts.tell("names that stand for Tarecell functions or for other workbooks")
            return b""

        parts.write(package.workbook_part, edit(parts.read(package.workbook_part), {"definedName": name}))

        def rule(_, element):
            if not re.search(rb"(?:formula\d?|f)>[^<]*(?:TC_[A-Z]|\[\d+\])", element):
                return None
            parts.tell("rules for colouring or checking cells that use Tarecell functions or other workbooks")
            return b""

        for sheet in package.sheets:
            if sheet.name in self.original.kept:
                xml = edit(parts.read(sheet.part), dict.fromkeys(("cfRule", "dataValidation"), rule))
                parts.write(sheet.part, leave_out.counted(xml))
                for link in package.relationships(sheet.part).values():
                    if link.type == "table" and link.target in package:
                        parts.write(link.target, self._table(parts.read(link.target)))

    def _table(self, xml: bytes) -> bytes:
        """A table whose new rows are not filled with calls of the functions."""

        def column(_, element):
            names = ("calculatedColumnFormula", "totalsRowFormula")
            without = edit(element, dict.fromkeys(names, lambda _, e: b"" if _USES.search(e) else None))
            if without == element:
                return None
            self.parts.tell("formulas that fill new rows of tables with Tarecell functions or other workbooks")
            if not re.search(rb"<(?:\w+:)?totalsRowFormula", without):
                without = re.sub(rb'\stotalsRowFunction="custom"', b"", without)
            return without

        return edit(xml, {"tableColumn": column})

    # -- the package ---------------------------------------------------------------------------------------------

    def _report(self) -> None:
        every = [
            replace(fixed, position=cell)
            for (sheet, where), fixed in self.fixed.items()
            for cell in box_of(self.original.evaluation.formulas[sheet, where])
        ]
        self.report.fixed = sorted(every, key=lambda c: (self.original.kept.index(c.sheet), c.position))
        self.report.live = {}
        for place in self.translated:
            functions = {f.upper().rstrip("( ") for f in TC.findall(self.original.texts[place])}
            for function in sorted(functions)[:1]:
                size = len(box_of(self.original.evaluation.formulas[place]))
                self.report.live[function] = self.report.live.get(function, 0) + size
        self.report.removed = list(self.parts.told)
        unseen = [sheet.name for sheet in self.original.package.sheets if sheet.hidden]
        self.report.hidden = [name for name in unseen if name not in self.original.without]

    def _new_sheets(self, work: Sheet, reference: Sheet) -> list[str]:
        parts = self.parts
        heading = wrapped = 0
        for link in parts.package.relationships(parts.package.workbook_part).values():
            if link.type == "styles" and link.target in parts.package:
                styles, heading, wrapped = sheets.looks(parts.read(link.target))
                parts.write(link.target, styles)
        work.cells[1, 1] = "In-between steps of the ordinary formulas in this copy. Do not change them."
        reference.cells[1, 1] = "Reference figures, as they were when this copy was made."
        hidden = []
        self.labels = frozenset(work.labels | reference.labels)
        self.reference_parts = self.step_parts = ()
        for sheet in (work, reference):
            if len(sheet.cells) > 1:
                part = sheets.add_sheet(parts, sheet.name, sheets.sheet_xml(sheet, heading), hidden=True)
                if sheet is reference:
                    self.reference_parts = (part,)
                else:
                    self.step_parts = (part,)
                hidden.append(sheet.name)
        self.first = sheets.free_name(first_sheet.NAME, {s.name.lower() for s in parts.package.sheets})
        self.first_part = sheets.add_sheet(parts, self.first, b"", first=True)
        self.told = lambda: first_sheet.first_sheet(self.report, tuple(hidden), heading, wrapped)
        parts.added[self.first_part] = self.told()
        return hidden

    def _packed(self) -> bytes:
        """The package's bytes without what nothing leads to any more."""
        parts, package = self.parts, self.original.package
        self._strings()
        workbook = parts.read(package.workbook_part)
        workbook = edit(workbook, {"calcPr": lambda _, e: with_attribute(e, "fullCalcOnLoad", "1")})
        parts.write(package.workbook_part, workbook)
        alive = parts.reachable()
        gone = [name for name in package.names if name.lower() not in alive and not name.endswith("/")]
        low = {name.lower() for name in gone}

        def override(attributes, _):
            return b"" if resolve("", attributes.get("PartName", "")).lower() in low else None

        parts.write(CONTENT_TYPES, edit(parts.read(CONTENT_TYPES), {"Override": override}))
        replaced = {name: content for name, content in parts.changed.items() if name.lower() not in low}
        stream = io.BytesIO(package.changed(replaced, gone))
        with zipfile.ZipFile(stream, "a", zipfile.ZIP_DEFLATED) as out:
            for name, content in parts.added.items():
                out.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
        return stream.getvalue()

    def _strings(self) -> None:
        """Shared texts that no cell shows any more are emptied."""
        parts, package = self.parts, self.original.package
        used: set[int] = set()
        for sheet in package.sheets:
            if sheet.kind == "worksheet" and sheet.name in self.original.kept:
                for cell in sheet_map(parts.read(sheet.part)).cells():
                    if cell.type == "s" and cell.value and cell.value.strip().isdigit():
                        used.add(int(cell.value))
        for link in package.relationships(package.workbook_part).values():
            if link.type == "sharedStrings" and link.target in package:
                parts.write(link.target, leave_out.without_unused_strings(parts.read(link.target), used))

    def _filled(self, data: bytes, added: list[str]) -> Package:
        """The copy with the values of its steps, and of its changed cells, filled in."""
        package = Package(self.report.out, data)
        self.trials = Trials(package, without_functions=True)
        self.values = self.trials.first
        changed = {}
        for name in added:
            sheet, layout = self.values.sheets[name]
            edits = {where: Result(value) for where, value in self.values.values[name].items()}
            changed[sheet.part] = patch_sheet(layout.xml, edits, layout)
        return Package(self.report.out, package.changed(changed))

    def finished(self, package: Package) -> bytes:
        """The copy's bytes, its first sheet told anew."""
        return package.changed({self.first_part: self.told()})


def unshared(xml: bytes) -> bytes:
    """A sheet in which every cell has its own formula, where cells share one that uses a TC_ function."""
    if b't="shared"' not in xml and b"t='shared'" not in xml:
        return xml
    layout: SheetMap = sheet_map(xml)
    pieces, at = [], 0
    for cell in cells.formula_cells("", layout):
        found = layout.cell(cell.position)
        if found.formula.attributes.get("t") != "shared":
            continue
        try:
            text = formulas.text_at(cell)
        except Untranslatable:
            continue
        if not text:
            continue
        prefix = layout.prefix
        pieces += (xml[at : found.formula_span.start], f"<{prefix}f>{formula_text(text)}</{prefix}f>".encode())
        at = found.formula_span.end
    return b"".join([*pieces, xml[at:]])


def same(one: Value | None, other: Value | None) -> bool:
    """Whether two cells show the same, but for the last digits."""
    if isinstance(one, CellError) or isinstance(other, CellError):
        return isinstance(one, CellError) and isinstance(other, CellError) and one.kind == other.kind
    if isinstance(one, str) or isinstance(other, str) or one is None or other is None:
        return (one or "") == (other or "")
    return abs(one - other) <= 1e-9 * max(abs(one), abs(other)) + 1e-9


def patched(package: Package, changes: Mapping[str, Mapping[Position, CellEdit]]) -> Package:
    """A package in memory with cells changed, by sheet."""
    parts = {}
    for sheet in package.sheets:
        if changes.get(sheet.name):
            layout = sheet_map(unshared(package.read(sheet.part)))
            parts[sheet.part] = patch_sheet(layout.xml, changes[sheet.name], layout)
    return Package(package.path, package.changed(parts))
