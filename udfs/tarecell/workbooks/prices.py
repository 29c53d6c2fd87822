"""`tarecell prices FILE`: a supplier's price list into the register of materials and prices."""

import datetime
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import as_file, files
from pathlib import Path

from tarecell.workbooks.package import Package
from tarecell.workbooks.prices_columns import FIELDS, Columns, find_columns
from tarecell.workbooks.prices_file import Sheet, read_sheets
from tarecell.workbooks.prices_lines import Lines, read_lines
from tarecell.workbooks.prices_register import Register, Written
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import recalculate

REGISTER = "materials_and_prices.xlsx"  # the template that a new register is made from
MOST_SHOWN = 40  # findings of each kind that the text shows


@dataclass
class PriceReport:
    """What was read, and what was written. `out` is None after a dry run, or where there was nothing to write."""

    file: Path
    sheet: Sheet
    columns: Columns
    lines: Lines
    supplier: str
    written: Written = field(default_factory=Written)
    out: Path | None = None
    backup: Path | None = None
    dry_run: bool = False

    @property
    def findings(self) -> int:
        """How many lines want a look."""
        return len(self.lines.unreadable) + len(self.lines.duplicates)

    def text(self) -> str:
        """The report as people read it."""
        return "\n".join([*self._read(), *self._columns(), *self._lines(), *self._result()])

    def _read(self) -> list[str]:
        return [f"{self.file.name}: {self.sheet.made}", f"supplier: {self.supplier or 'in its own column'}", ""]

    def _columns(self) -> list[str]:
        shown = [f"columns, as guessed from the headings in row {self.columns.row + 1}"]
        for name in FIELDS:
            if name in self.columns.of:
                rivals = self.columns.rivals.get(name)
                other = f"   (also possible: {', '.join(rivals)})" if rivals else ""
                per = f" per {self.columns.per}" if name == "price" and self.columns.per else ""
                shown.append(f"  {name + per:<12}{self.columns.heading(name)}{other}")
        if self.columns.left:
            shown.append(f"  {'not used':<12}{', '.join(self.columns.left)}")
        return [*shown, ""]

    def _lines(self) -> list[str]:
        shown = []
        for title, findings in (
            ("cannot be read, not taken", self.lines.unreadable),
            ("there more than once", self.lines.duplicates),
        ):
            if findings:
                shown.append(f"{title}: {len(findings)}")
                shown += [f"  {finding}" for finding in findings[:MOST_SHOWN]]
                if len(findings) > MOST_SHOWN:
                    shown.append(f"  … and {len(findings) - MOST_SHOWN} more")
        named = [line for line in self.lines.taken if line.from_name]
        if named:
            shown.append(f"pack read in the name: {len(named)}")
            shown += [f"  row {x.row}, {x.name}: {x.content:g} {x.unit}" for x in named[:MOST_SHOWN]]
        if self.lines.passed_over:
            rows = ", ".join(map(str, self.lines.passed_over[:20]))
            shown.append(f"passed over as headings or remarks: row {rows}{' …' if len(rows) > 20 else ''}")
        return [*shown, ""] if shown else []

    def _result(self) -> list[str]:
        written = self.written
        would = "would be " if self.dry_run else ""
        added, changed = len(written.added), len(written.changed)
        shown = [f"lines {would}added: {added}, prices {would}changed: {changed}"]
        for line, old in written.changed[:MOST_SHOWN]:
            before = "none" if old is None else f"{old:g}"
            shown.append(f"  {line.name}, {line.content:g} {line.unit}: {before} → {line.price:g}")
        if written.same:
            shown.append(f"in the register with this price already: {len(written.same)}")
        unnamed = added - written.matched
        if unnamed:
            shown.append(f"of the new lines, name no material of yours yet (choose it on the sheet): {unnamed}")
        if self.dry_run:
            shown.append("nothing was written: a dry run")
        elif self.out is not None:
            shown.append(f"written: {self.out}")
        else:
            shown.append("nothing to write")
        return shown


def prices(
    file: str | Path,
    register: str | Path | None = None,
    out: str | Path | None = None,
    *,
    dry_run: bool = False,
    supplier: str | None = None,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    decimal: str | None = None,
    day: datetime.date | None = None,
    in_place: bool = False,
) -> PriceReport:
    """Reads a price list, CSV or workbook, and writes its lines into a copy of the register.

    register: a workbook made from the template “materials and prices”; a new one if left out. out: the file to write,
    NAME.prices.xlsx beside the register (a new register: beside the list) if left out; in_place: over the register,
    with a backup. supplier: for lists without such a column; the list's file name if left out. sheet: of a workbook.
    columns: field → heading, to overrule the guess; fields are name, code, pack, unit, price, freight, supplier.
    decimal: "." or ",", where the person knows the list's habit; without it a number like "1,250" is not read.
    day: the day of the list. Raises WorkbookProblem, with nothing written, where something stands in the way.
    """
    file = Path(file)
    if decimal not in (None, ".", ","):
        raise WorkbookProblem(f"the decimal mark is “.” or “,”, not “{decimal}”")
    read, found = _best(file, read_sheets(file), sheet, columns)
    if supplier is None:
        supplier = "" if "supplier" in found.of else file.stem
    lines = read_lines(read.rows, found, supplier, decimal)
    report = PriceReport(file, read, found, lines, supplier, dry_run=dry_run)
    if register is not None:
        _write(report, Path(register), _target(Path(register), out, in_place), day, in_place)
        return report
    if in_place:
        raise WorkbookProblem("in place of what? Give the register too")
    with as_file(files("tarecell.workbook_templates").joinpath(REGISTER)) as template:
        target = Path(out) if out is not None else file.with_name(f"{file.stem}.prices.xlsx")
        if out is None and target.exists():
            raise WorkbookProblem(f"{target.name} is there already: give it as the register, or give another name")
        _write(report, template, target, day, False, anew=True)
    return report


def _target(register: Path, out: str | Path | None, in_place: bool) -> Path:
    if in_place:
        return register
    return Path(out) if out is not None else register.with_name(f"{register.stem}.prices{register.suffix}")


def _best(file: Path, sheets: list[Sheet], wanted: str | None, given) -> tuple[Sheet, Columns]:
    """The sheet whose headings are those of a price list."""
    if wanted is not None:
        sheets = [sheet for sheet in sheets if sheet.name.casefold() == wanted.casefold()]
        if not sheets:
            raise WorkbookProblem(f"{file.name} has no sheet “{wanted}”")
    found = [(sheet, columns) for sheet in sheets if (columns := find_columns(sheet.rows, given)) is not None]
    if not found:
        first = next((row for sheet in sheets for row in sheet.rows if sum(cell is not None for cell in row) > 1), [])
        seen = ", ".join(str(cell)[:30] for cell in first if cell is not None)
        raise WorkbookProblem(
            f"{file.name}: no headings for name and price were found (seen: {seen[:200] or 'nothing'}). "
            "Name them as they stand in the list: --column name=Artikel --column price=Netto"
        )
    return max(found, key=lambda pair: pair[1].score)


def _write(
    report: PriceReport, register: Path, target: Path, day: datetime.date | None, in_place: bool, anew: bool = False
) -> None:
    """Puts the lines into the register's cells and computes it; the rest of the file stays as it is."""
    package = Package.open(register)
    report.written, parts = Register(package).take(report.lines.taken, day, anew)
    if report.dry_run or not (report.written.added or report.written.changed):
        return
    with tempfile.TemporaryDirectory(prefix="tarecell-prices-") as folder:
        draft = Path(folder) / register.name
        package.write(draft, parts)
        computed = Path(folder) / f"computed{register.suffix}"
        recalculate(draft, computed)
        final = Package.open(computed)
        changed = {name: final.read(name) for name in package.names if final.read(name) != package.read(name)}
    report.backup = package.write(target, changed, in_place=in_place)
    report.out = target
