"""The one exception of this folder."""


class OfficeProblem(Exception):
    """LibreOffice cannot be used as asked; the message says in one line why and what to do."""
