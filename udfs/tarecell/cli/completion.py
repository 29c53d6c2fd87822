"""Completion of the command line by the Tab key."""

import argparse
from collections.abc import Iterator

import shtab

_FILES = {"file", "out", "register"}
_FOLDERS = {"folder", "profile"}


def script(parser: argparse.ArgumentParser, shell: str) -> str:
    """The completion script of a shell (bash, zsh, fish or powershell) for the whole command line."""
    for command, action in _arguments(parser):
        if action.dest in _FILES:
            action.complete = shtab.FILE
        elif action.dest in _FOLDERS:
            action.complete = shtab.DIRECTORY
        elif action.dest == "name":
            action.choices = _names(command)
    return shtab.complete(parser, shell)


def _names(command: str) -> list[str]:
    """What `tarecell new` and `tarecell functions` can be asked for."""
    if command.endswith(" new"):
        from tarecell.workbooks.new import TEMPLATES

        return list(TEMPLATES)
    from tarecell.functions import REGISTRY

    return sorted(REGISTRY)


def _arguments(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.Action]]:
    """Every argument of every command, with the command it belongs to."""
    for action in parser._actions:  # argparse tells them in no other way; shtab reads them here too
        if isinstance(action, argparse._SubParsersAction):
            for command in action.choices.values():
                yield from _arguments(command)
        else:
            yield parser.prog, action
