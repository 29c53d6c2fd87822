"""A picture of the function wizard in real LibreOffice Calc with one of our functions, as the README shows it.

    python tests/wizard_picture.py [PICTURE.png] [--formula '=TC_…'] [--argument 4]

Needs LibreOffice 25.2 or newer with its windows (libreoffice-calc), Xvfb, xdotool and ImageMagick.
"""

import argparse
import os
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

import openpyxl
from hosts.calc import settings
from tarecell.hosts.libreoffice import find_office, install

PICTURE = Path(__file__).parents[1] / "examples" / "function_wizard_in_calc.png"
FORMULA = '=TC_FRAGRANCE(600,1.5%,2.1%,"finished")'
PATIENCE = 60  # seconds for a window to come
TAB = (45, 17)  # the wizard's tab Functions, in pixels from its corner
FIRST_FIELD, FIELD_HEIGHT = (440, 191), 34  # the field of the first argument, and how far it is to the next one


class Screen:
    """A screen that nobody sees, and the hands in front of it."""

    def __init__(self, display: str):
        self.display = display

    def run(self, *command) -> str:
        environment = {**os.environ, "DISPLAY": self.display}
        done = subprocess.run([*map(str, command)], env=environment, capture_output=True, text=True, timeout=30)
        return done.stdout.strip()

    def window(self, title: str) -> str:
        """The newest window whose title holds this text, once it is there, in front for the keyboard."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            found = self.run("xdotool", "search", "--onlyvisible", "--name", title).splitlines()
            if found:
                time.sleep(2)  # until it is painted
                self.run("xdotool", "windowfocus", "--sync", found[-1])
                return found[-1]
            time.sleep(0.3)
        raise SystemExit(f"no window {title} within {PATIENCE} s")

    def key(self, name: str) -> None:
        self.run("xdotool", "key", name)

    def click(self, window: str, x: int, y: int) -> None:
        self.run("xdotool", "mousemove", "--window", window, x, y, "click", 1)
        time.sleep(0.7)


@contextmanager
def screen():
    """An X server on a number that it finds free itself."""
    reading, writing = os.pipe()
    command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1300x900x24"]
    with subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL) as server:
        os.close(writing)
        try:
            yield Screen(f":{os.read(reading, 20).decode().strip()}")
        finally:
            server.terminate()


@contextmanager
def calc(on: Screen, folder: Path, formula: str):
    """Calc with the extension in a fresh profile, and a workbook with the formula under the cursor."""
    office, profile = find_office(), folder / "profile"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(settings(), encoding="utf-8")
    install(profile=profile, office=office)
    book = openpyxl.Workbook()
    book.active["A1"] = formula
    book.save(folder / "recipe.xlsx")
    command = [office.tool("soffice"), f"-env:UserInstallation={profile.as_uri()}", "--norestore", "--nologo"]
    environment = {**os.environ, "DISPLAY": on.display, "SAL_USE_VCLPLUGIN": "gen"}  # the same look everywhere
    alone = {"env": environment, "stderr": subprocess.DEVNULL, "start_new_session": True}
    with subprocess.Popen([*command, folder / "recipe.xlsx"], **alone) as running:
        try:
            yield on.window("recipe.xlsx")
        finally:
            os.killpg(running.pid, signal.SIGTERM)  # soffice starts a second program


def draw(picture: Path, formula: str = FORMULA, argument: int = 4) -> Path:
    """Writes the picture: the wizard on that formula, the cursor in that argument."""
    missing = [name for name in ("Xvfb", "xdotool", "import") if not shutil.which(name)]
    if missing:
        raise SystemExit(f"install {', '.join(missing)} (on Debian: xvfb, xdotool, imagemagick)")
    with tempfile.TemporaryDirectory() as folder, screen() as seen, calc(seen, Path(folder), formula):
        seen.key("ctrl+F2")
        wizard = seen.window("Function Wizard")
        seen.click(wizard, *TAB)
        x, y = FIRST_FIELD
        seen.click(wizard, x, y + (argument - 1) * FIELD_HEIGHT)
        seen.run("import", "-window", wizard, "-colors", "64", "+dither", "-depth", "8", "-strip", picture)
    return picture


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="A picture of the function wizard with one of our functions.")
    parser.add_argument("picture", nargs="?", type=Path, default=PICTURE)
    parser.add_argument("--formula", default=FORMULA)
    parser.add_argument("--argument", type=int, default=4, help="which argument the cursor stands in, 1 to 4")
    options = parser.parse_args()
    print(draw(options.picture, options.formula, options.argument))
