"""The one way in which work on a file is refused."""

from tarecell.errors import Problem


class WorkbookProblem(Problem):
    """A file cannot be read or written: the reason in one line, in plain words."""

    def __init__(self, reason: str):
        super().__init__(" ".join(reason.split()))

    @property
    def reason(self) -> str:
        return str(self)
