"""The one exception of this folder."""


class ExcelProblem(Exception):
    """The functions cannot be brought into Excel as asked; the message says in one line why and what to do."""
