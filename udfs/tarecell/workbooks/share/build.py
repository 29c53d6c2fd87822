"""Building a plain copy: every formula of the original decided on, the parts written."""

import io
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from tarecell.errors import CellError
from tarecell.hosts.plain import Sheet, Untranslatable
from tarecell.workbooks import cells
from tarecell.workbooks.cells import FormulaCell
from tarecell.workbooks.evaluate import Evaluation, Place, Value, evaluate
from tarecell.workbooks.package import CONTENT_TYPES, Package, resolve
from tarecell.workbooks.patch import CellEdit, Constant, Formula, Result, patch_sheet
from tarecell.workbooks.references import Position
from tarecell.workbooks.share import first_sheet, formulas, leave_out, sheets
from tarecell.workbooks.share.report import ELSEWHERE, FIXED, NEWER, WITHOUT, FixedCell, Report
from tarecell.workbooks.share.strip import Parts, strip
from tarecell.workbooks.share.xml_edit import edit, with_attribute
from tarecell.workbooks.sheet_map import SheetMap, sheet_map
from tarecell.workbooks.xml_text import MOST_FORMULA
from tarecell.workbooks.xml_text import formula as formula_text

WORKINGS, REFERENCE = "Workings", "ReferenceValues"
_TC = re.compile(r"(?<![\w.])TC_[A-Z_]+\s*\(", re.IGNORECASE)


@dataclass
class Original:
    """The workbook that is shared, its values, and what stays out of the copy."""

    package: Package
    without: list[str]
    modern: bool

    @cached_property
    def evaluation(self) -> Evaluation:
        return evaluate(self.package, with_reasons=False)

    @cached_property
    def strings(self) -> list[str]:
        return cells.shared_strings(self.package)

    @cached_property
    def names(self):
        return cells.names(self.package, self.evaluation.sheets)

    @property
    def kept(self) -> list[str]:
        return [name for name in self.evaluation.sheets if name not in self.without]

    def value(self, sheet: str, where: Position) -> Value | None:
        """What a cell shows: computed, or as the file has it where it cannot be."""
        if where in self.evaluation.values[sheet]:
            return self.evaluation.values[sheet][where]
        cell = self.evaluation.sheets[sheet][1].cell(where)
        return cells.stored(cell, self.strings, self.package.date1904) if cell else None

    @cached_property
    def texts(self) -> dict[Place, str]:
        """Every formula of the sheets that stay, as its own cell has it; "" for one that cannot be read."""
        found = {}
        for (sheet, where), cell in self.evaluation.formulas.items():
            if sheet not in self.without:
                try:
                    found[sheet, where] = formulas.text_at(cell)
                except Untranslatable:
                    found[sheet, where] = ""
        return found


@dataclass
class Copy:
    """A plain copy under way. `frozen`: cells that have to be values, and why (found by comparing)."""

    original: Original
    report: Report
    frozen: dict[Place, str] = field(default_factory=dict)
    translated: dict[Place, str] = field(default_factory=dict)  # the plain formulas
    fixed: dict[Place, FixedCell] = field(default_factory=dict)
    names: tuple[str, ...] = ()
    reference_parts: tuple[str, ...] = ()

    def build(self) -> Package:
        """The copy as a package in memory, its values filled in."""
        original = self.original
        self.parts = Parts(original.package)
        self.translated, self.fixed = {}, {}
        strip(self.parts)
        leave_out.leave_out(self.parts, original.without)
        taken = {s.name.lower() for s in original.package.sheets} | {name for _, name in original.names.defined}
        self.names = sheets.free_name(WORKINGS, taken), sheets.free_name(REFERENCE, taken)
        work, reference = Sheet(self.names[0]), Sheet(self.names[1])
        known = {name.lower(): name for name in original.evaluation.sheets}
        self.plainer = formulas.Plainer(original.names, known, work, reference, original.package.date1904)
        for sheet in original.kept:
            self._sheet(sheet)
        self._rules()
        self._report()
        added = self._new_sheets(work, reference)
        return self._filled(self._packed(), added)

    # -- cells ---------------------------------------------------------------------------------------------------

    def _sheet(self, name: str) -> None:
        part = self.original.evaluation.sheets[name][0].part
        layout = sheet_map(unshared(sheets.unselected(self.parts.read(part))))
        edits: dict[Position, CellEdit] = {}
        for (sheet, where), cell in self.original.evaluation.formulas.items():
            if sheet == name:
                edits.update(self._decided(cell, self.original.texts[sheet, where]))
        edits = {where: e for where, e in edits.items() if layout.cell(where) is not None or e != Constant(None)}
        self.parts.write(part, patch_sheet(layout.xml, edits, layout) if edits else layout.xml)

    def _decided(self, cell: FormulaCell, text: str) -> dict[Position, CellEdit]:
        """The changes for one formula: none where it is ordinary already."""
        place = cell.sheet, cell.position
        boxed = box_of(cell)
        try:
            self._check(place, cell, text)
            if not _TC.search(text):
                return {}
            made = self.plainer.formula(cell, text)
            if len(made) > MOST_FORMULA:
                raise Untranslatable("an ordinary formula for it would be too long for a cell")
        except (Untranslatable, _Kept) as reason:
            kind = reason.kind if isinstance(reason, _Kept) else FIXED
            self.fixed[place] = FixedCell(cell.sheet, cell.position, str(reason), kind)
            return {where: Constant(self.original.value(cell.sheet, where)) for where in boxed}
        self.translated[place] = made
        edits: dict[Position, CellEdit] = {
            where: Result(_shown(self.original.value(cell.sheet, where))) for where in boxed[1:]
        }
        ref = f"{sheets.address(boxed[0])}:{sheets.address(boxed[-1])}" if cell.box is not None else None
        edits[cell.position] = Formula(made, _shown(self.original.value(*place)), ref)
        return edits

    def _check(self, place: Place, cell: FormulaCell, text: str) -> None:
        """Raises the reason why a formula has to become a value, whatever its functions."""
        original = self.original
        if place in self.frozen:
            raise Untranslatable(self.frozen[place])
        if not text:
            if cell.refused and "data table" in cell.refused:
                return
            raise Untranslatable("its formula cannot be read")
        if re.search(r"\[\d+\]", re.sub(r'"[^"]*"', "", text)) or self._elsewhere(text, cell.sheet):
            raise _Kept("it reads another workbook", ELSEWHERE)
        if original.without and self._named(text, cell.sheet):
            raise _Kept("it reads a sheet that is left out", WITHOUT)
        if not original.modern and formulas.NEWER.search(text):
            raise _Kept("it uses a function that is newer than Excel 2016", NEWER)
        if _TC.search(text) and place in original.evaluation.left:
            raise Untranslatable(f"it could not be checked: {original.evaluation.left[place]}")

    def _named(self, text: str, sheet: str) -> bool:
        gone = {name.lower() for name in self.original.without}
        try:
            named = formulas.sheets_named(text, self.original.names, sheet)
        except Exception:  # a formula that cannot be read may name anything
            return True
        return bool(named & gone) or bool(re.search(r"INDIRECT\s*\(", text, re.IGNORECASE))

    def _elsewhere(self, text: str, sheet: str) -> bool:
        """Whether a name in the formula means something in another workbook."""
        defined = self.original.names.defined
        far = {name for (_, name), meaning in defined.items() if re.search(r"\[\d+\]", meaning)}
        words = {w.lower() for w in re.findall(r"[^\W\d][\w.]*", text)} if far else set()
        return bool(far & words)

    def _rules(self) -> None:
        """Names, rules and charts that use the functions or another workbook have no place in the copy."""
        parts, package = self.parts, self.original.package

        def name(_, element):
            if not (re.search(rb"TC_[A-Z]", element) or re.search(rb"\[\d+\]", element)):
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

    # -- the package ---------------------------------------------------------------------------------------------

    def _report(self) -> None:
        every = [
            FixedCell(sheet, cell, fixed.reason, fixed.kind)
            for (sheet, where), fixed in self.fixed.items()
            for cell in box_of(self.original.evaluation.formulas[sheet, where])
        ]
        self.report.fixed = sorted(every, key=lambda c: (self.original.kept.index(c.sheet), c.position))
        self.report.live = {}
        for place in self.translated:
            functions = {f.upper().rstrip("( ") for f in _TC.findall(self.original.texts[place])}
            for function in sorted(functions)[:1]:
                size = len(box_of(self.original.evaluation.formulas[place]))
                self.report.live[function] = self.report.live.get(function, 0) + size
        self.report.removed = list(self.parts.told)

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
        for sheet in (work, reference):
            if len(sheet.cells) > 1:
                part = sheets.add_sheet(parts, sheet.name, sheets.sheet_xml(sheet, heading), hidden=True)
                self.reference_parts = (part,) if sheet is reference else ()
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
        self.data = data
        package = Package(self.report.out, data)
        self.values = evaluate(package, without_functions=True, with_reasons=False)
        changed = {}
        for name in added:
            sheet, layout = self.values.sheets[name]
            edits = {where: Result(value) for where, value in self.values.values[name].items()}
            changed[sheet.part] = patch_sheet(layout.xml, edits, layout)
        return Package(self.report.out, package.changed(changed))

    def finished(self, package: Package) -> bytes:
        """The copy's bytes, its first sheet told anew."""
        return package.changed({self.first_part: self.told()})


class _Kept(Exception):
    """A formula that becomes a value for a reason of its own: the reason, and its kind."""

    def __init__(self, reason: str, kind: str):
        super().__init__(reason)
        self.kind = kind


def _shown(value: Value | None) -> Value:
    return "" if value is None else value


def box_of(cell: FormulaCell) -> list[Position]:
    """The cells that a formula fills."""
    if cell.box is None:
        return [cell.position]
    top, left, bottom, right = cell.box
    return [(r, c) for r in range(top, bottom + 1) for c in range(left, right + 1)]


def unshared(xml: bytes) -> bytes:
    """A sheet in which every cell has its own formula, where cells share one that uses a TC_ function."""
    if b't="shared"' not in xml and b"t='shared'" not in xml:
        return xml
    layout: SheetMap = sheet_map(xml)
    pieces, at = [], 0
    for cell in cells.formula_cells("", layout):
        found = layout.cell(cell.position).formula
        if found.attributes.get("t") != "shared":
            continue
        try:
            text = formulas.text_at(cell)
        except Untranslatable:
            continue
        if not text:
            continue
        prefix = layout.prefix
        pieces += (xml[at : found.span.start], f"<{prefix}f>{formula_text(text)}</{prefix}f>".encode())
        at = found.span.end
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
