"""All commands that read a workbook, on one file; run in a process apart."""

import contextlib
import io
from pathlib import Path

from tarecell import cli


def _commands(file: str) -> dict[str, list[str]]:
    out = {name: str(Path(file).parent / f"out.{name}.xlsx") for name in ("calc", "shares", "scale", "share", "prices")}
    return {
        "find": ["find", file],
        "calc": ["calc", file, out["calc"]],
        "check": ["check", file],
        "add_shares": ["add", "shares", file, out["shares"], "--recipe", "1"],
        "add_scale": ["add", "scale", file, out["scale"], "--recipe", "1", "--target", "2 lb"],
        "share": ["share", file, out["share"]],
        "prices": ["prices", file, "--dry-run"],
    }


NAMES = tuple(_commands("x"))


def every_command(file: str) -> int:
    """Prints each command's exit status and what it said, between marks."""
    for name, command in _commands(file).items():
        said = io.StringIO()
        with contextlib.redirect_stderr(said):
            status = cli.main(command)
        print(f"\x01{name}\x02{status}{said.getvalue().rstrip()}\x03", flush=True)
    return 0
