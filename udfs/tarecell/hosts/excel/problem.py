"""The one exception of this folder."""

from tarecell.errors import Problem


class ExcelProblem(Problem):
    """The functions cannot be brought into Excel as asked; the message says in one line why and what to do."""
