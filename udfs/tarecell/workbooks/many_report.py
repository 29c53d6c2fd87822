"""What came of a folder of workbooks: for each file, and in all."""

import json
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from tarecell.workbooks.check.report import Report as Checked
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.recalculate import Finding
from tarecell.workbooks.recalculate import Report as Computed

GOOD, FOUND, PROBLEM = 0, 1, 2
_LONGEST = 400
_MOST_LINES = 20  # error cells of one workbook that the text tells; the JSON has them all
_DONE = {"check": "checked", "calc": "computed"}
_WORST = {"check": "with findings", "calc": "with errors, or cells left alone"}
_FAILED = {"check": "could not be read", "calc": "could not be computed"}
_SCHEMA = {"check": "tarecell-check-folder-1", "calc": "tarecell-calc-folder-1"}


@dataclass(frozen=True)
class Outcome:
    """What came of one file, as plain values that travel between processes and machines."""

    name: str  # within the folder, with / between the parts
    status: int  # 0 nothing found, 1 findings or error cells, 2 could not be done
    text: str
    data: dict[str, Any]


@dataclass(frozen=True)
class LeftOut:
    """A spreadsheet, or a folder, that was not looked at, and why."""

    name: str
    reason: str


def checked(name: str, report: Checked) -> Outcome:
    """The outcome of an inspection."""
    report.name = name
    data = report.as_dict()
    del data["schema"]
    return Outcome(name, report.exit_status, report.text(), data)


def computed(name: str, out: str, report: Computed) -> Outcome:
    """The outcome of a recalculation."""
    status = FOUND if report.errors or report.left_alone else GOOD
    data = _calc_data(name, status, "", out, report.written, report.changed)
    data["errors"] = [{**_cell(f), "kind": f.kind, "follows": f.follows} for f in report.errors]
    data["left_alone"] = [_cell(f) for f in report.left_alone]
    causes = [f for f in report.errors if not f.follows]
    lines = [f"{harmless(name)}: {report.written} cells computed, {report.changed} changed"]
    lines += _listed("error", causes)
    if len(report.errors) > len(causes):
        lines.append(f"  {len(report.errors) - len(causes)} more cells are errors because of these")
    lines += _listed("left ", report.left_alone)
    return Outcome(name, status, "\n".join(lines), data)


def failed(name: str, reason: str, calc: bool) -> Outcome:
    """The outcome where nothing could be done with the file."""
    if not calc:
        return checked(name, Checked(name, problem=reason))
    text = f"{harmless(name)}: could not be computed. {harmless(reason, _LONGEST)}"
    return Outcome(name, PROBLEM, text, _calc_data(name, PROBLEM, harmless(reason, _LONGEST), None, 0, 0))


def _calc_data(name: str, status: int, problem: str, out: str | None, written: int, changed: int) -> dict[str, Any]:
    return {
        "file": harmless(name, _LONGEST),
        "status": status,
        "problem": problem,
        "out": None if out is None else harmless(out, _LONGEST),
        "written": written,
        "changed": changed,
        "errors": [],
        "left_alone": [],
    }


def _cell(finding: Finding) -> dict[str, Any]:
    return {
        "sheet": harmless(finding.sheet),
        "cell": finding.cell,
        "formula": harmless(finding.formula, _LONGEST),
        "reason": harmless(finding.reason, _LONGEST),
    }


def _listed(word: str, findings: list[Finding]) -> list[str]:
    lines = [f"  {word}  {harmless(finding, _LONGEST)}" for finding in findings[:_MOST_LINES]]
    if len(findings) > _MOST_LINES:
        lines.append(f"  {word}  … and {len(findings) - _MOST_LINES} more")
    return lines


@dataclass
class FolderReport:
    """What came of all workbooks of a folder, in the order of their names."""

    what: str  # "check" or "calc"
    folder: str
    out: str | None
    files: list[Outcome]
    left_out: list[LeftOut] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def exit_status(self) -> int:
        """The worst of all files: 0 nothing found, 1 findings, 2 at least one file could not be done."""
        return max((outcome.status for outcome in self.files), default=GOOD)

    @property
    def counts(self) -> dict[int, int]:
        """How many files have each status."""
        found = Counter(outcome.status for outcome in self.files)
        return {status: found[status] for status in (GOOD, FOUND, PROBLEM)}

    def as_dict(self) -> dict[str, Any]:
        """The report as plain values. Fields are only ever added while `schema` stays the same."""
        return {
            "schema": _SCHEMA[self.what],
            "folder": harmless(self.folder, _LONGEST),
            "out": None if self.out is None else harmless(self.out, _LONGEST),
            "status": self.exit_status,
            "counts": {"good": self.counts[GOOD], "found": self.counts[FOUND], "problem": self.counts[PROBLEM]},
            "files": [outcome.data for outcome in self.files],
            "left_out": [{"file": harmless(one.name, _LONGEST), "reason": one.reason} for one in self.left_out],
            "notes": self.notes,
        }

    def as_json(self) -> str:
        """The report as JSON text."""
        return json.dumps(self.as_dict(), ensure_ascii=False, indent=2)

    def text(self) -> str:
        """The report for a person to read: files that could not be done first, then those with something to look at."""
        blocks = ["\n".join(self._head())]
        for status in (PROBLEM, FOUND):
            blocks += [outcome.text for outcome in self.files if outcome.status == status]
        return "\n\n".join(blocks)

    def _head(self) -> list[str]:
        counts, number = self.counts, len(self.files)
        parts = [f"{counts[GOOD]} good"]
        parts += [f"{counts[FOUND]} {_WORST[self.what]}"] if counts[FOUND] else []
        parts += [f"{counts[PROBLEM]} {_FAILED[self.what]}"] if counts[PROBLEM] else []
        books = "workbook" if number == 1 else "workbooks"
        lines = [f"{harmless(self.folder, _LONGEST)}: {number} {books} {_DONE[self.what]}: {', '.join(parts)}"]
        if self.what == "calc":
            lines.append(f"results: {'beside each file' if self.out is None else harmless(self.out, _LONGEST)}")
        for reason, count in Counter(one.reason for one in self.left_out).items():
            example = next(one.name for one in self.left_out if one.reason == reason)
            lines.append(f"left out: {harmless(example)}{f' and {count - 1} more' if count > 1 else ''} ({reason})")
        return lines + self.notes
