"""Puts the extension into LibreOffice and takes it out again."""

import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from tarecell import __version__
from tarecell.hosts.libreoffice.bundle import build, needed_python
from tarecell.hosts.libreoffice.office import Office, find_office
from tarecell.hosts.libreoffice.problem import OfficeProblem
from tarecell.hosts.libreoffice.registration import IDENTIFIER

PATIENCE = 180  # seconds
_NOISE = "Warning: failed to launch javaldx"
_MANAGER = Path(__file__).with_name("extension_manager.py")
Run = Callable[[Sequence[str]], "subprocess.CompletedProcess[str]"]


def run_tool(command: Sequence[str]) -> "subprocess.CompletedProcess[str]":
    """Runs one program to its end, or stops it, with all that it started, when it takes too long."""
    pipes = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, text=True, errors="replace", start_new_session=True, **pipes) as process:
        try:
            told, complained = process.communicate(timeout=PATIENCE)
        except BaseException:
            if hasattr(os, "killpg"):
                os.killpg(process.pid, signal.SIGKILL)
            process.kill()
            raise
    return subprocess.CompletedProcess(command, process.returncode, told, complained)


def install(
    extension: str | os.PathLike | None = None,
    profile: str | os.PathLike | None = None,
    office: Office | None = None,
    shared: bool = False,
    run: Run = run_tool,
) -> str:
    """Installs the extension, building it first unless one is given; a version already there is replaced.

    profile: the folder of LibreOffice's settings, when not the person's own. shared: for everybody on this machine.
    Returns one line for the person. Raises OfficeProblem.
    """
    office = office or find_office()
    _check_python(office)
    _check_closed(office, profile, shared)
    with tempfile.TemporaryDirectory() as folder:
        package = Path(extension).resolve() if extension is not None else build(folder)
        if not package.is_file():
            raise OfficeProblem(f"{package} is missing: build it with tarecell libreoffice build")
        _manage(office, ["add", "-f", str(package)], profile, shared, run)
        if not shared:
            _clear_up(_settings_folder(office, profile))
    return (
        f"Tarecell {__version__} is installed in LibreOffice {office.version_text}; start Calc and type =TC_VERSION()"
    )


def uninstall(
    profile: str | os.PathLike | None = None, office: Office | None = None, shared: bool = False, run: Run = run_tool
) -> str:
    """Takes the extension out again. Returns one line for the person. Raises OfficeProblem."""
    office = office or find_office(oldest=(0, 0))
    _check_closed(office, profile, shared)
    _manage(office, ["remove", IDENTIFIER], profile, shared, run)
    if not shared:
        _clear_up(_settings_folder(office, profile))
    return f"Tarecell is no longer in LibreOffice {office.version_text}"


def _check_python(office: Office) -> None:
    inside, needed = office.python(), needed_python()
    if inside != (0, 0) and inside < needed:
        raise OfficeProblem(
            f"LibreOffice {office.version_text} carries Python 3.{inside[1]}, and the parts installed beside Tarecell "
            f"need 3.{needed[1]}: update LibreOffice, or install Tarecell in Python 3.{inside[1]} and try again"
        )


def _settings_folder(office: Office, profile: str | os.PathLike | None) -> Path:
    return Path(profile) if profile is not None else office.profile()


def _clear_up(settings: Path) -> None:
    """Deletes the copies of ours that LibreOffice leaves in its temporary folder, one for every version replaced."""
    for about in (settings / "user" / "extensions" / "tmp" / "extensions").glob("*/*/description.xml"):
        if f'<identifier value="{IDENTIFIER}"/>' in about.read_text(encoding="utf-8", errors="replace"):
            unpacked = about.parent.parent
            shutil.rmtree(unpacked, ignore_errors=True)
            unpacked.with_name(unpacked.name.removesuffix("_")).unlink(missing_ok=True)  # the empty file beside it


def _check_closed(office: Office, profile: str | os.PathLike | None, shared: bool) -> None:
    """A LibreOffice that is open would make the tools wait for ever."""
    lock = _settings_folder(office, profile) / ".lock"
    if lock.exists() and not shared:
        raise OfficeProblem(
            f"LibreOffice is open: close all its windows and try again (if it is not open, delete {lock})"
        )


def _manage(office: Office, action: list[str], profile, shared: bool, run: Run) -> None:
    """Has LibreOffice's own tool do it; that tool refuses root, who asks a LibreOffice without a window instead."""
    root = run is run_tool and hasattr(os, "geteuid") and os.geteuid() == 0
    place = [f"-env:UserInstallation={Path(profile).resolve().as_uri()}"] if profile is not None else []
    if root and not shared:
        command = [*_manager_command(office, run), str(office.tool("soffice")), *action, *place]
    else:
        shared_option = ["--shared"] if shared else []
        command = [str(office.tool("unopkg")), action[0], *shared_option, *action[1:], *place]
    try:
        done = run(command)
    except subprocess.TimeoutExpired:
        raise OfficeProblem(
            f"LibreOffice did not answer within {PATIENCE} s: close all its windows and try again"
        ) from None
    if done.returncode:
        raise OfficeProblem(f"LibreOffice refused to {action[0]} the extension: {_reason(done)}")


def _manager_command(office: Office, run: Run) -> list[str]:
    for python in office.uno_pythons():
        if run([str(python), "-c", "import uno"]).returncode == 0:
            return [str(python), str(_MANAGER)]
    raise OfficeProblem(
        "LibreOffice's tool refuses root, and no Python here can talk to LibreOffice: run this as the person who uses "
        "LibreOffice, or install for everybody with the option shared"
    )


def _reason(done: "subprocess.CompletedProcess[str]") -> str:
    """The last line that tells something, without the words that LibreOffice's tool puts around it."""
    lines = [line.strip() for line in f"{done.stdout}\n{done.stderr}".splitlines() if line.strip()]
    telling = [line for line in lines if not (line.startswith(_NOISE) or line.endswith("unopkg failed."))]
    return re.sub(r"^ERROR: (Exception occurred: )?", "", telling[-1]) if telling else f"exit status {done.returncode}"
