"""Workbooks that must not be changed from outside: told in one line, before anything is planned."""

from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem


def refuse(package: Package) -> None:
    """Raises WorkbookProblem for signed and for shared workbooks."""
    name = package.path.name
    if any(part.lower().startswith("_xmlsignatures/") for part in package.names):
        raise WorkbookProblem(f"{name} carries a digital signature, which any change would break: nothing was done")
    links = package.relationships(package.workbook_part).values()
    if any(link.type in ("revisionHeaders", "usernames") for link in links):
        raise WorkbookProblem(
            f"{name} is a shared workbook with a log of changes: stop sharing it in your spreadsheet program first"
        )
