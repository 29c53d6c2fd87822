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

from tarecell.functions import REGISTRY
from tarecell.functions.kinds import Rest
from tarecell.hosts.libreoffice import OfficeProblem, build, find_office, install

HERE = Path(__file__).parent
PATIENCE = 240  # seconds for one request
ADD_IN = 11  # com.sun.star.sheet.FunctionCategory.ADDINS
_SETTING = '<item oor:path="/org.openoffice.{0}"><prop oor:name="{1}" oor:op="fuse"><value>{2}</value></prop></item>\n'


def settings(language: str = "en-US", recalculate: bool = True) -> str:
    """A profile's settings: interface and numbers of that language, no tip of the day, and whether files that carry
    values are computed anew when they are opened (as Calc is delivered, they mostly are not)."""
    items = _SETTING.format("Office.Linguistic/General", "UILocale", language)
    items += _SETTING.format("Setup/L10N", "ooSetupSystemLocale", language)
    items += _SETTING.format("Office.Common/Misc", "ShowTipOfTheDay", "false")
    if recalculate:
        items += _SETTING.format("Office.Calc/Formula/Load", "OOXMLRecalcMode", 0)  # 0 = always
        items += _SETTING.format("Office.Calc/Formula/Load", "ODFRecalcMode", 0)
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<oor:items xmlns:oor="http://openoffice.org/2001/registry">\n'
    return f"{head}{items}</oor:items>\n"


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

    def __init__(self, extension: bool = True, language: str = "en-US", recalculate: bool = True):
        self.settings = settings(language, recalculate)
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
            self.start()
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *_) -> None:
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def stop(self) -> None:
        """Ends this Calc; its profile stays until the end of the with block."""
        if self._worker is not None:
            self._worker.stdin.close()
            try:
                self._worker.wait(30)
            except subprocess.TimeoutExpired:
                self._worker.kill()
            self._worker = None

    def _prepare(self) -> None:
        """A fresh profile with the extensions in it; one that is there stays as it is."""
        for part in self.WORKER:
            shutil.copy(part, self.folder)
        kept = self.profile / "user" / "registrymodifications.xcu"
        if kept.exists():
            return
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_text(self.settings, encoding="utf-8")
        packages = self._packages() if self._extension else []
        self.give_away()
        for package in packages:
            install(package, profile=self.profile, office=self.office, run=self.run)

    def start(self) -> None:
        self._prepare()
        with open(self.folder / "said.txt", "w") as said:
            self._worker = subprocess.Popen(
                [self._uno_python, self.folder / self.WORKER[0].name, self.office.tool("soffice"), self.profile],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said, text=True, **self.whose(),
            )  # fmt: skip
        self._answer()

    def _packages(self) -> list[Path]:
        """The extensions to install."""
        return [build(self.folder)]

    def whose(self) -> dict[str, Any]:
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
        return subprocess.run(command, capture_output=True, text=True, timeout=180, check=False, **self.whose())

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

    def person(self, path=None) -> "Person":
        """Somebody who works at one workbook (a new one without `path`) by Calc's own commands."""
        return Person(self, path)

    def languages(self) -> list[str]:
        """The languages in which this LibreOffice can show its menus."""
        return self._ask("languages")

    def label(self, command: str) -> str:
        """What Calc's menus call a command (".uno:Undo"), in the language of its interface."""
        return self._ask("label", command=command)

    def _place(self, ending: str) -> Path:
        self._count += 1
        return self.folder / f"{self._count}{ending}"


class Person:
    """Works at one workbook that is on the (virtual) screen: typing, menu commands, and looking at cells."""

    def __init__(self, calc: Calc, path=None):
        self._calc, self._inside = calc, None
        if path is not None:
            self._inside = calc._place(Path(path).suffix)
            shutil.copyfile(path, self._inside)
            calc.give_away()  # or Calc opens it as read-only

    def __enter__(self) -> "Person":
        self._calc._ask("sit_down", path=self._inside and str(self._inside))
        return self

    def __exit__(self, *_) -> None:
        self._calc._ask("leave")

    def type(self, place: str, *texts: Any) -> None:
        """Types into a cell, and each further text into the cell below, as on the keyboard."""
        self._calc._ask("type", place=place, texts=[str(text) for text in texts])

    def do(self, command: str, place: str | None = None, **arguments: Any) -> None:
        """A command of the menus (Undo, FillDown, Copy …), after selecting a cell or range."""
        self._calc._ask("dispatch", command=command, place=place, arguments=arguments)

    def fill(self, place: str, formula: str) -> None:
        """Selects the cells and enters one array formula (Calc's own form, ";" between arguments) over them."""
        self._calc._ask("fill", place=place, formula=formula)

    def press(self, text: str, place: str | None = None, over_all: bool = False) -> None:
        """Types a text key by key, and Enter, or Ctrl+Shift+Enter for a formula over all the selected cells."""
        shift_and_control = 3
        self._calc._ask("keys", place=place, text=text, modifiers=shift_and_control if over_all else 0)

    def find_and_replace(self, wanted: str, instead: str) -> None:
        """In all formulas of the sheet, as the dialog does it."""
        everywhere, replace_all = 65536, 3
        self.do(
            "ExecuteSearch", "A1",
            **{
                "SearchItem.SearchString": wanted, "SearchItem.ReplaceString": instead, "SearchItem.CellType": 0,
                "SearchItem.SearchFlags": everywhere, "SearchItem.Command": replace_all, "Quiet": True,
            },
        )  # fmt: skip

    def shown(self, place: str) -> list[Any]:
        """What the cells show, row by row: a number, a text, or an error's sign."""
        return self._calc._ask("shown", place=place)

    def formulas(self, place: str) -> list[str]:
        """The cells' formulas as the input line shows them, row by row."""
        return self._calc._ask("typed", place=place)

    def save(self, path) -> Path:
        """Saves a copy in the format of its ending."""
        inside = self._calc._place(Path(path).suffix)
        self._calc._ask("save", path=str(inside))
        return Path(shutil.copyfile(inside, path))


def wizard_faults(shown: dict[str, Any]) -> list[str]:
    """What the function wizard does not show as it should: every function under Add-in with its summary and arguments;
    brackets and words tell what may be left out, as Calc calls every argument of an add-in optional."""
    faults = [f"{name} is not in both" for name in set(shown) ^ set(REGISTRY)]
    for name, record in REGISTRY.items():
        entry = shown.get(name, {"summary": "", "category": 0, "arguments": []})
        if (entry["summary"], entry["category"]) != (record.summary, ADD_IN):
            faults.append(f"{name}: {entry['category']}, {entry['summary']}")
        wanted = [a.name if a.required else f"[{a.name}]" for a in record.arguments]
        if [label for label, _ in entry["arguments"]] != wanted:
            faults.append(f"{name}: {entry['arguments']}, not {wanted}")
        for (label, text), argument in zip(entry["arguments"], record.arguments, strict=False):
            words = ("",) if isinstance(argument, Rest) else ("(must be given)",)
            words = words if argument.required else ("left out", "(default)")
            if not (text.startswith(argument.doc) and any(word in text for word in words)):
                faults.append(f"{name}, {label}: {text}")
    return faults


def _cell(formula: str, value: Any, error: int) -> Cell:
    return Cell(formula, None, value) if error else Cell(formula, value)
