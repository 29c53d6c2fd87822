"""The one exception of this folder."""

from tarecell.errors import Problem


class OfficeProblem(Problem):
    """LibreOffice cannot be used as asked; the message says in one line why and what to do."""
