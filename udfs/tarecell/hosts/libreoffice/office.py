"""Finding LibreOffice on this machine, and what must be known of it before the extension goes in."""

import os
import re
import shutil
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tarecell.hosts.libreoffice.problem import OfficeProblem

OLDEST = (25, 2)  # older ones do not read TC_ names from .xlsx files


@dataclass(frozen=True)
class Office:
    """One LibreOffice: its programs, its settings files and its version."""

    program: Path
    resources: Path
    version: tuple[int, ...]

    @property
    def version_text(self) -> str:
        return ".".join(map(str, self.version))

    def tool(self, name: str) -> Path:
        """A program of this LibreOffice by its plain name."""
        for ending in (".com", ".exe", "") if sys.platform == "win32" else ("",):
            if (self.program / f"{name}{ending}").exists():
                return self.program / f"{name}{ending}"
        raise OfficeProblem(f"LibreOffice at {self.program} has no {name}: install LibreOffice again, complete")

    @property
    def libraries(self) -> Path:
        frameworks = self.program.parent / "Frameworks"
        return frameworks if frameworks.is_dir() else self.program

    def python(self) -> tuple[int, int]:
        """The version of the Python inside; (0, 0) when there is one whose version cannot be told."""
        if not any(self.libraries.glob("*pythonloaderlo.*")):
            raise OfficeProblem(
                "this LibreOffice cannot run Python: install its Python part (on Debian and Ubuntu: apt install "
                "python3-uno), then try again"
            )
        for bridge in (*self.libraries.glob("libpyuno.*"), *self.libraries.glob("pyuno.*")):
            found = re.search(rb"(?:libpython|Versions/|python)3\.?(\d+)", bridge.read_bytes())
            if found:
                return 3, int(found.group(1))
        return 0, 0

    def uno_pythons(self) -> Iterator[Path]:
        """Pythons that may be able to talk to this LibreOffice, its own first."""
        for folder in (self.program, self.resources):
            yield from (path for path in (folder / "python", folder / "python.exe") if path.exists())
        yield from (Path(path) for path in ("/usr/bin/python3",) if Path(path).exists())
        if shutil.which("python3"):
            yield Path(shutil.which("python3"))

    def profile(self) -> Path:
        """The folder of this person's LibreOffice settings."""
        setting = _setting(self.resources, "UserInstallation") or "$SYSUSERCONFIG/libreoffice/4"
        home = Path.home()
        if sys.platform == "win32":
            config = Path(os.environ.get("APPDATA", home / "AppData" / "Roaming"))
        elif sys.platform == "darwin":
            config = home / "Library" / "Application Support"
        else:
            config = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config")
        return Path(setting.replace("$SYSUSERCONFIG", str(config)))


def _settings_file(folder: Path) -> Path | None:
    return next((f for f in (folder / "bootstraprc", folder / "bootstrap.ini") if f.exists()), None)


def _setting(resources: Path, name: str) -> str:
    file = _settings_file(resources)
    found = re.search(rf"(?m)^{name}=(.*)$", file.read_text(encoding="utf-8", errors="replace")) if file else None
    return found.group(1).strip() if found else ""


def office_at(program: Path) -> Office | None:
    """The LibreOffice whose programs are in this folder; None when there is none."""
    for resources in (program, program.parent / "Resources"):
        version = re.search(r"(\d+)\.(\d+)", _setting(resources, "ProductKey"))
        if version:
            return Office(program, resources, tuple(map(int, version.groups())))
    return None


def _places() -> Iterator[Path]:
    """Folders where LibreOffice's programs usually are."""
    for name in ("soffice", "libreoffice"):
        found = shutil.which(name)
        if found:
            yield Path(found).resolve().parent
    if sys.platform == "win32":
        for variable in ("ProgramFiles", "ProgramW6432", "ProgramFiles(x86)"):
            if os.environ.get(variable):
                yield Path(os.environ[variable], "LibreOffice", "program")
    elif sys.platform == "darwin":
        for folder in (Path("/Applications"), Path.home() / "Applications"):
            yield folder / "LibreOffice.app" / "Contents" / "MacOS"
    else:
        yield Path("/usr/lib/libreoffice/program")
        yield Path("/usr/lib64/libreoffice/program")
        yield from sorted(Path("/opt").glob("libreoffice*/program"), reverse=True)


def find_office(place: str | os.PathLike | None = None, oldest: tuple[int, ...] = OLDEST) -> Office:
    """The newest LibreOffice on this machine, or the one at `place` (its soffice, or the folder of that).

    Raises OfficeProblem when there is none, or none that is new enough.
    """
    if place is not None:
        folder = Path(place).resolve()
        found = [office_at(folder.parent if folder.is_file() else folder)]
    else:
        found = [office_at(folder) for folder in _places()]
    offices = sorted((office for office in found if office), key=lambda o: o.version)
    if not offices:
        where = f"at {place}" if place is not None else "on this machine"
        raise OfficeProblem(f"no LibreOffice found {where}: install LibreOffice {_dotted(oldest)} or newer")
    if offices[-1].version < oldest:
        raise OfficeProblem(
            f"LibreOffice {offices[-1].version_text} is too old: Tarecell needs {_dotted(oldest)} or newer, because "
            "older ones show #NAME? for TC_ functions in .xlsx files"
        )
    return offices[-1]


def _dotted(version: tuple[int, ...]) -> str:
    return ".".join(map(str, version))
