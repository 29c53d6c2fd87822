"""Findings, and the report made of them."""

import json
from dataclasses import dataclass, field

from tarecell.workbooks.find.ranges import Range
from tarecell.workbooks.find.table import quoted
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.references import Position, address

ERROR, WARNING = "error", "warning"
SCHEMA = "tarecell-check-1"  # changes only when a field is removed or gets another meaning
_LONGEST = 400


@dataclass(frozen=True)
class Finding:
    """One thing that wants a look. `cell` is "C5" or "C5:C9", "" where the finding is about a sheet or the file."""

    rule: str
    severity: str
    sheet: str
    cell: str
    what: str
    why: str
    do: str

    @property
    def place(self) -> str:
        """Where it is, as a formula would write it."""
        if not self.sheet:
            return "the file"
        return f"{quoted(self.sheet)}!{self.cell}" if self.cell else f"sheet {self.sheet}"


def finding(
    rule: str, severity: str, sheet: str, where: Position | Range | str | None, what: str, why: str, do: str
) -> Finding:
    """A finding with texts that are safe to show, whatever the workbook holds."""
    if isinstance(where, Range):
        cell = where.a1
    elif isinstance(where, tuple):
        cell = address(where)
    else:
        cell = where or ""
    return Finding(rule, severity, harmless(sheet), cell, *(harmless(text, _LONGEST) for text in (what, why, do)))


@dataclass
class Report:
    """What an inspection found. `notes` say what was looked at and what could not be decided; they are no findings."""

    name: str
    findings: list[Finding] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    problem: str = ""  # why the file could not be read, where it could not

    @property
    def exit_status(self) -> int:
        """0: nothing found, 1: findings, 2: the file could not be read."""
        return 2 if self.problem else 1 if self.findings else 0

    def as_dict(self) -> dict:
        """The report as plain values. Fields are only ever added while `schema` stays the same."""
        return {
            "schema": SCHEMA,
            "file": harmless(self.name),
            "status": self.exit_status,
            "problem": harmless(self.problem, _LONGEST),
            "findings": [
                {
                    "rule": f.rule,
                    "severity": f.severity,
                    "sheet": f.sheet,
                    "cell": f.cell,
                    "what": f.what,
                    "why": f.why,
                    "do": f.do,
                }
                for f in self.findings
            ],
            "notes": [harmless(note, _LONGEST) for note in self.notes],
        }

    def as_json(self) -> str:
        """The report as JSON text."""
        return json.dumps(self.as_dict(), ensure_ascii=False, indent=2)

    def text(self) -> str:
        """The report for a person to read."""
        name = harmless(self.name)
        if self.problem:
            return f"{name}: could not be read. {harmless(self.problem, _LONGEST)}"
        lines = [f"{name}: {self._count()}"]
        for severity, heading in ((ERROR, "Wrong"), (WARNING, "To look at")):
            chosen = [f for f in self.findings if f.severity == severity]
            if chosen:
                lines += ["", heading]
            for f in chosen:
                lines += [f"  {f.place}: {f.what}", f"      why  {f.why}", f"      do   {f.do}"]
        if self.notes:
            lines += ["", "Notes", *(f"  {harmless(note, _LONGEST)}" for note in self.notes)]
        return "\n".join(lines)

    def _count(self) -> str:
        if not self.findings:
            return "nothing found"
        wrong = sum(f.severity == ERROR for f in self.findings)
        rest = len(self.findings) - wrong
        return f"{wrong} wrong, {rest} to look at"
