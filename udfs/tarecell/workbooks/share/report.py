"""What a plain copy is made of, for the person who shares it and for its first sheet."""

from dataclasses import dataclass, field, replace
from pathlib import Path

from tarecell.workbooks.references import Position, address, letters

LIVE, FIXED, WITHOUT, NEWER, ELSEWHERE = "live", "fixed", "without", "newer", "elsewhere"


@dataclass(frozen=True)
class FixedCell:
    """A cell that shows a value where the original has a formula, and why.

    `step`: the step that is 1 while the value holds, None for a value that does not follow changes. `still`: why not.
    """

    sheet: str
    position: Position
    reason: str
    kind: str = FIXED
    step: str | None = None
    still: str = "it hangs on no other cell"

    def watched(self, step: str | None) -> "FixedCell":
        return replace(self, step=step)

    def unwatched(self, why: str) -> "FixedCell":
        return replace(self, still=why)

    def __str__(self) -> str:
        return f"{self.sheet}!{address(self.position)}: {self.reason}"


@dataclass
class Report:
    """What `share` did. `live`: cells with a plain formula, by function; `fixed`: cells that became values."""

    file: Path
    out: Path
    live: dict[str, int] = field(default_factory=dict)
    fixed: list[FixedCell] = field(default_factory=list)
    removed: list[str] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)  # sheets of the workbook that go along unseen
    compared: int = 0  # cells compared with the original
    rounds: int = 0  # times that was done with other inputs

    @property
    def live_cells(self) -> int:
        return sum(self.live.values())

    @property
    def watched(self) -> list[FixedCell]:
        """Values that are #N/A as soon as something they were made from changes."""
        return [cell for cell in self.fixed if cell.step is not None]

    @property
    def rigid(self) -> list[FixedCell]:
        """Values that stay what they are, whatever changes."""
        return [cell for cell in self.fixed if cell.step is None]

    def text(self) -> str:
        """The report as the command line prints it."""
        lines = [
            f"{self.out}: {self.live_cells} cells stay live, {len(self.fixed)} are values",
            f"compared with the original cell by cell: {self.compared} values, {self.rounds} times with other inputs",
        ]
        if self.watched:
            lines.append(f"{len(self.watched)} values turn to #N/A when something they were made from changes:")
            lines += [f"  watched  {line}" for line in grouped(self.watched)]
        if self.rigid:
            lines.append(f"{len(self.rigid)} values do not follow changes:")
            lines += [f"  value    {line}" for line in grouped(self.rigid, why_not=True)]
        lines += [f"  removed  {line}" for line in self.removed]
        lines += [f"  hidden   the sheet “{name}” goes along, and anyone can make it visible" for name in self.hidden]
        return "\n".join(lines)


def grouped(fixed: list[FixedCell], why_not: bool = False) -> list[str]:
    """Cells of one sheet with one reason on one line, neighbours as a range. `why_not`: why they are not watched."""
    groups: dict[tuple[str, str], list[Position]] = {}
    for cell in fixed:
        reason = f"{cell.reason}; {cell.still}" if why_not else cell.reason
        groups.setdefault((cell.sheet, reason), []).append(cell.position)
    return [f"{sheet}!{spans(cells)}: {reason}" for (sheet, reason), cells in groups.items()]


def spans(cells: list[Position]) -> str:
    """Cells as ranges down their columns: "B3:B9, D3"."""
    found: list[list[int]] = []  # column, first row, last row
    for row, column in sorted(cells, key=lambda cell: (cell[1], cell[0])):
        if found and found[-1][0] == column and found[-1][2] == row - 1:
            found[-1][2] = row
        else:
            found.append([column, row, row])
    return ", ".join(f"{letters(c)}{a}" if a == b else f"{letters(c)}{a}:{letters(c)}{b}" for c, a, b in found)
