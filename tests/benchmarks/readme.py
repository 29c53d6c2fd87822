"""The README's table of speeds, taken from RESULTS.md, so that the two cannot differ.

Mend with: python tests/benchmarks/readme.py
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
README, RESULTS = HERE.parents[1] / "README.md", HERE / "RESULTS.md"
sys.path.insert(0, str(HERE.parent))

from benchmarks.measuring import table  # noqa: E402

_START, _END = "<!-- speed: start -->\n", "<!-- speed: end -->"
_HEADS = ("what", "against", "ratio (all rounds)", "wanted", "met")
_MEMORY_HEADS = ("what", "time", "most memory")


def inserted(readme: str, results: str) -> str:
    """The README with the lines of RESULTS.md that somebody who chooses a tool wants to know."""
    head, rest = readme.split(_START)
    _, tail = rest.split(_END)
    return f"{head}{_START}{speeds(results)}{_END}{tail}"


def speeds(results: str) -> str:
    """Every ratio that has a wanted one, and the large files."""
    rows = [row for row in _rows(results, _HEADS) if row["wanted"]]
    files = _rows(results, _MEMORY_HEADS)
    if not rows or not files:
        raise ValueError("RESULTS.md has no tables of this kind")
    return "\n".join(
        [table(heads, [[row[h] for h in heads] for row in found]) for heads, found in
         ((_HEADS, rows), (_MEMORY_HEADS, files))]
    )  # fmt: skip


def _rows(text: str, heads: tuple[str, ...]) -> list[dict[str, str]]:
    """The rows of all tables that have these headings."""
    found, columns = [], []
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if not line.startswith("|"):
            columns = []
        elif not columns:
            columns = cells
        elif set(heads) <= set(columns) and not line.startswith("|-"):
            found.append(dict(zip(columns, cells, strict=True)))
    return found


def main() -> None:
    readme = README.read_text(encoding="utf-8")
    README.write_text(inserted(readme, RESULTS.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
