"""Every sheet of a workbook as a picture, as real LibreOffice Calc shows it with the functions installed.

    python tests/render.py FILE.xlsx… --to FOLDER [--dpi 80]

Needs LibreOffice 25.2 or newer and pdftoppm. The pictures are FOLDER/NAME-01.png and so on, one per printed page.
"""

import argparse
import subprocess
import tempfile
from pathlib import Path

from tarecell.hosts.libreoffice import find_office, install


def render(files: list[Path], folder: Path, dpi: int = 80) -> list[Path]:
    """Writes the pictures; their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    office = find_office()
    with tempfile.TemporaryDirectory() as scratch:
        profile = Path(scratch) / "profile"
        install(profile=profile, office=office)
        subprocess.run(
            [
                str(office.tool("soffice")),
                f"-env:UserInstallation={profile.as_uri()}",
                "--headless",
                "--convert-to",
                "pdf",
                "--outdir",
                scratch,
                *map(str, files),
            ],
            check=True,
            capture_output=True,
            timeout=300,
        )
        for file in files:
            pdf = Path(scratch) / f"{file.stem}.pdf"
            subprocess.run(["pdftoppm", "-r", str(dpi), "-png", str(pdf), str(folder / file.stem)], check=True)
    return sorted(p for file in files for p in folder.glob(f"{file.stem}-*.png"))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Every sheet of a workbook as a picture.")
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--to", type=Path, default=Path("pictures"))
    parser.add_argument("--dpi", type=int, default=80)
    options = parser.parse_args()
    for picture in render(options.files, options.to, options.dpi):
        print(picture)
