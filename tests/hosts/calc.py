"""A real LibreOffice Calc for the tests: a fresh profile with the extension in it, one start for many workbooks.

As root everything runs as an unprivileged person, the way people run it.
"""

import json
import os
import shutil
import subprocess
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tarecell.hosts.libreoffice import OfficeProblem, build, find_office, install

HERE = Path(__file__).parent
PATIENCE = 240  # seconds for one request
_SETTING = '<item oor:path="/org.openoffice.{0}"><prop oor:name="{1}" oor:op="fuse"><value>{2}</value></prop></item>\n'
# Recalculate files on load even when they carry values (0 = always).
SETTINGS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<oor:items xmlns:oor="http://openoffice.org/2001/registry">\n'
    + _SETTING.format("Office.Calc/Formula/Load", "OOXMLRecalcMode", 0)
    + _SETTING.format("Office.Calc/Formula/Load", "ODFRecalcMode", 0)
    + "</oor:items>\n"
)


@dataclass(frozen=True)
class Cell:
    """One cell after calculation: `error` is what it shows when it is an error ("#N/A", "Err:504"), else ''."""

    formula: str
    value: Any
    error: str = ""

    @property
    def kind(self) -> str:
        """The error's kind: Calc's own "Err:…" codes are #VALUE! in every saved .xlsx."""
        return "#VALUE!" if self.error.startswith("Err:") else self.error


Sheets = dict[str, dict[tuple[int, int], Cell]]


class Calc:
    """`with Calc() as calc: calc.read("book.xlsx")`. Raises OfficeProblem when there is no LibreOffice to run."""

    WORKER = (HERE / "calc_worker.py",)  # what drives LibreOffice: the first one is run, the others lie beside it

    def __init__(self, extension: bool = True):
        self.office = find_office()
        self.folder = Path(tempfile.mkdtemp(prefix="calc-test-"))
        self.profile = self.folder / "profile"
        self._extension = extension
        self._count = 0
        self._worker = None
        try:
            self.give_away()
            self._uno_python = self._python()
        except BaseException:
            self.__exit__()
            raise

    def __enter__(self) -> "Calc":
        try:
            self._start()
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *_) -> None:
        if self._worker is not None:
            self._worker.stdin.close()
            try:
                self._worker.wait(30)
            except subprocess.TimeoutExpired:
                self._worker.kill()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _prepare(self) -> None:
        """A fresh profile with the extensions in it."""
        (self.profile / "user").mkdir(parents=True, exist_ok=True)
        (self.profile / "user" / "registrymodifications.xcu").write_text(SETTINGS, encoding="utf-8")
        for part in self.WORKER:
            shutil.copy(part, self.folder)
        packages = self._packages() if self._extension else []
        self.give_away()
        for package in packages:
            install(package, profile=self.profile, office=self.office, run=self.run)

    def _start(self) -> None:
        self._prepare()
        with open(self.folder / "said.txt", "w") as said:
            self._worker = subprocess.Popen(
                [self._uno_python, self.folder / self.WORKER[0].name, self.office.tool("soffice"), self.profile],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said, text=True, **self.person(),
            )  # fmt: skip
        self._answer()

    def _packages(self) -> list[Path]:
        """The extensions to install."""
        return [build(self.folder)]

    def person(self) -> dict[str, Any]:
        """Options for subprocess: who runs it, and where that person is at home."""
        environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "VIRTUAL_ENV", "XDG_"))}
        options: dict[str, Any] = {"env": {**environment, "HOME": str(self.folder)}, "cwd": self.folder}
        if self._root:
            import pwd

            nobody = pwd.getpwnam("nobody")
            options.update(user=nobody.pw_uid, group=nobody.pw_gid, extra_groups=[])
        return options

    @property
    def _root(self) -> bool:
        return hasattr(os, "geteuid") and os.geteuid() == 0

    def give_away(self) -> None:
        """Lets the unprivileged person have the folder."""
        if self._root:
            for path in (self.folder, *self.folder.rglob("*")):
                shutil.chown(path, "nobody")

    def run(self, command) -> "subprocess.CompletedProcess[str]":
        return subprocess.run(command, capture_output=True, text=True, timeout=180, check=False, **self.person())

    def _python(self) -> Path:
        for python in self.office.uno_pythons():
            try:
                if self.run([python, "-c", "import uno"]).returncode == 0:
                    return python
            except PermissionError:
                continue
        raise OfficeProblem("no Python can talk to LibreOffice: install python3-uno")

    def _answer(self) -> Any:
        watch = threading.Timer(PATIENCE, self._worker.kill)
        watch.start()
        line = self._worker.stdout.readline()
        watch.cancel()
        if not line:
            said = (self.folder / "said.txt").read_text(errors="replace").strip()[-2000:]
            raise OfficeProblem(f"LibreOffice stopped, or did not answer within {PATIENCE} s: {said}")
        answer = json.loads(line)
        if "problem" in answer:
            raise RuntimeError(answer["problem"])
        return answer["answer"]

    def _ask(self, do: str, **request: Any) -> Any:
        self._worker.stdin.write(json.dumps({"do": do, **request}) + "\n")
        self._worker.stdin.flush()
        return self._answer()

    def read(self, path=None, save_as=(), enter=None, null_date=None) -> Sheets:
        """Every used cell of a workbook (a new one without `path`), recalculated: sheet → (row, column) → Cell.

        enter: sheet → address → value or formula in Calc's API form (";" between arguments; a range takes an array
        formula), put in before calculating. save_as: files to write it to, by their endings. null_date: (y, m, d).
        """
        inside = None
        if path is not None:
            inside = self._place(Path(path).suffix)
            shutil.copyfile(path, inside)
        targets = [(Path(target), self._place(Path(target).suffix)) for target in save_as]
        save = [str(place) for _, place in targets]
        sheets = self._ask("read", path=inside and str(inside), save=save, enter=enter, null_date=null_date)
        for target, place in targets:
            shutil.copyfile(place, target)
        return {name: {(r, c): _cell(*rest) for r, c, *rest in cells} for name, cells in sheets.items()}

    def wizard(self) -> dict[str, Any]:
        """What the function wizard shows: name → summary and arguments."""
        return self._ask("wizard")

    def basic(self, modules: dict[str, str], calls: list[tuple[str, str, list]]) -> list[Any]:
        """What functions of these Basic modules give; None where a module is not valid."""
        return self._ask("basic", modules=modules, calls=calls)

    def _place(self, ending: str) -> Path:
        self._count += 1
        return self.folder / f"{self._count}{ending}"


def _cell(formula: str, value: Any, error: int) -> Cell:
    return Cell(formula, None, value) if error else Cell(formula, value)
