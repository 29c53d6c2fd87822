"""The first sheet of a plain copy: what it is, where it comes from, what stays live and what is a value."""

from tarecell import __version__
from tarecell.workbooks.references import address
from tarecell.workbooks.share.report import Report, grouped
from tarecell.workbooks.share.sheets import columns, value_cell, worksheet

NAME = "About this copy"


def lines(report: Report, hidden: tuple[str, ...]) -> list[tuple[str, str, bool]]:
    """The sheet's text: first column, second column, whether it is a heading."""
    told = [
        ("About this copy", "", True),
        ("What it is", f"A copy of {report.file.name} that needs no add-in and no macros.", False),
        ("Made with", f"Tarecell {__version__}", False),
        (
            "What stays live",
            f"{report.live_cells} cells that used Tarecell functions are ordinary formulas now. They follow when you "
            "change what they depend on, and show the same errors: over a cap, shares that do not add up, a missing "
            "price.",
            False,
        ),
        (
            "How it was checked",
            f"{report.compared} cells were compared with the original, and again {report.rounds} times with other "
            "inputs.",
            False,
        ),
    ]
    if report.live_cells:
        told.append(
            (
                "New rows",
                "Type into rows that are there already. Where a row or column is put into a list, what reads the list "
                "turns to #N/A until it is taken out again.",
                False,
            )
        )
        told.append(
            (
                "In-between steps",
                f"They stand on the hidden sheets {' and '.join(hidden)}. Reference figures there (units, fats, "
                "product types) are as they were when this copy was made.",
                False,
            )
        )
    told.append(
        (
            "Lye, preservatives, caps",
            "Check every safety figure with the supplier's documents and the local rules before you rely on it.",
            False,
        )
    )
    if report.live:
        told.append(("Live", "cells", True))
        told += [(name, str(count), False) for name, count in sorted(report.live.items())]
    if report.watched:
        told.append(
            (
                "Values",
                f"{len(report.watched)} cells have no ordinary formula. They show the value that they had for as long "
                "as everything they were made from is what it was, and #N/A from the first change on: their answer "
                "would no longer be sure. Change it back, and the value is there again.",
                False,
            )
        )
    told += _listed("Values that turn to #N/A when you change what they were made from", grouped(report.watched))
    told += _listed("Values that do NOT follow your changes", grouped(report.rigid, why_not=True))
    if report.removed:
        told.append(("Left out of this copy", "", True))
        told += [("", line, False) for line in report.removed if not line.startswith("the sheet ")]
        gone = sum(line.startswith("the sheet ") for line in report.removed)
        if gone:  # their names may say too much themselves
            told.append(("", f"{gone} sheet{'s' if gone > 1 else ''} of the workbook", False))
    return told


def _listed(heading: str, found: list[str]) -> list[tuple[str, str, bool]]:
    if not found:
        return []
    split = [line.partition(": ") for line in found]
    return [(heading, "", True), *((cells, reason, False) for cells, _, reason in split)]


def first_sheet(report: Report, hidden: tuple[str, ...], heading: int, wrapped: int) -> bytes:
    """The sheet's XML."""
    rows: dict[int, dict[int, bytes]] = {}
    for row, (left, right, bold) in enumerate(lines(report, hidden), start=1):
        style = heading if bold else wrapped
        for column, text in ((1, left), (2, right)):
            if text:
                head = f'<c r="{address((row, column))}" s="{style}"'
                value = float(text) if text.isdigit() else text
                rows.setdefault(row, {})[column] = value_cell(head, value)
    view = '<sheetViews><sheetView showGridLines="0" tabSelected="1" workbookViewId="0"/></sheetViews>'
    return worksheet(rows, columns((1, 1, 52), (2, 2, 90)), view)
