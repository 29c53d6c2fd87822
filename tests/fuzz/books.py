"""The workbook commands on mutated real files: done, or told in one line; the original as it was, the new one whole."""

import io
import re
import shutil
import tempfile
import zipfile
from functools import cache
from pathlib import Path
from random import Random

import openpyxl
from apart import Apart
from tarecell import cli
from workbooks.add_books import CAPS, PRICES, RECIPE, workbook
from workbooks.rich import write_rich

ROOT = Path(__file__).resolve().parents[2]
SECONDS, MEGABYTES = 90, 2000
_SMALL = (
    "examples/little_quay_recipes.xlsx",
    "workbook_templates/bar_soap.xlsx",
    "workbook_templates/cream_batch.xlsx",
)
_NUMBERS = (
    b"1E308",
    b"-1E308",
    b"1E999",
    b"NaN",
    b"INF",
    b"-0",
    b"1048576",
    b"1048577",
    b"4294967296",
    b"-1",
    b"1e-320",
    b"",
    b"9" * 400,
)
_TEXTS = (
    b"=1+1",
    "🕯️".encode(),
    "זיו".encode(),
    b"&#0;",
    b"&#x1F56F;",
    b"&amp;",
    b"&bogus;",
    b"A" * 70_000,
    b"_x0000_",
    b"]]>",
    b"\xff\xfe",
    b"\x00",
)
_FORMULAS = (
    b"1/0",
    b"A1",
    b"SUM(A:A)",
    b"SUM(A1:XFD1048576)",
    b"TC_SCALE(A1:A9,1E308)",
    b"TC_SHARES(1:1)",
    b"((((((((((1))))))))))",
    b'"' * 5,
    b'INDIRECT("A1")',
    b"NoSuch(1)",
    b"#REF!+1",
    b"[1]Sheet1!A1",
    b"cmd|'/C calc'!A0",
    b"(" * 300 + b"1" + b")" * 300,
    b"-" * 3000 + b"1",
    b'REPT("x",1000000)',
    b"SEQUENCE(100000,1000)",
    b'TC_EXPLAIN("TC_EXPLAIN","TC_SCALE",A1:A3)',
    b"OFFSET(A1,-1,0)",
    b"LET(x,1,x)",
    b"",
    b"TC_ROLLUP(A1,A1:E99)",
    b"{1,2;3}",
    b"A1:A2 B1",
    b"RAND()",
    b"1" + b"+1" * 3000,
)


@cache
def _originals() -> tuple[bytes, ...]:
    with tempfile.TemporaryDirectory() as folder:
        made = [
            workbook(Path(folder) / "a.xlsx", {"Cream": RECIPE, "Caps": CAPS, "Prices": PRICES}),
            write_rich(Path(folder) / "b.xlsx"),
        ]
        return tuple(path.read_bytes() for path in (*(ROOT / name for name in _SMALL), *made))


def every_command(file: str) -> int:
    """All commands on one file, one after the other; their exit statuses are printed."""
    folder = Path(file).parent
    for command in (
        ["find", file],
        ["calc", file, str(folder / "out.calc.xlsx")],
        ["check", file],
        ["add", "shares", file, str(folder / "out.shares.xlsx"), "--recipe", "1"],
        ["add", "scale", file, str(folder / "out.scale.xlsx"), "--target", "2 lb", "--step", "0.1", "--recipe", "1"],
    ):
        print(f"status of {command[0]}: {cli.main(command)}")
    return 0


def case(rng: Random, apart: Apart) -> None:
    """One mutated part or several, inside a well-formed package."""
    parts = _read(rng.choice(_originals()))
    for _ in range(rng.choice((1, 1, 2, 3, 8))):
        name = _chosen(rng, parts)
        parts[name] = _mutated(rng, parts[name])
    if rng.random() < 0.1:
        del parts[rng.choice(list(parts))]
    try_all(_packed(parts), apart)


def package(rng: Random, apart: Apart) -> None:
    """Bytes of the package itself flipped, cut or doubled."""
    data = bytearray(rng.choice(_originals()))
    for _ in range(rng.choice((1, 2, 8, 64))):
        place = rng.choice((rng.randrange(len(data)), rng.randrange(max(1, len(data) - 2000), len(data))))
        data[place] = rng.randrange(256)
    if rng.random() < 0.2:
        begin = rng.randrange(len(data))
        data[begin : begin + rng.randrange(200)] = b""
    try_all(bytes(data), apart)


def try_all(data: bytes, apart: Apart) -> None:
    """Every command on this file, in a process apart."""
    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
    try:
        file = folder / "book.xlsx"
        file.write_bytes(data)
        outcome = apart.call("fuzz.books:every_command", str(file), seconds=SECONDS, megabytes=MEGABYTES, folder=folder)
        assert not outcome.crashed, outcome.crashed
        assert outcome.out.count("status of") == 5, outcome.out + outcome.err
        assert file.read_bytes() == data, "the original was changed"
        for line in outcome.err.splitlines():
            assert line.startswith("tarecell: ") and len(line) < 1000, f"said on stderr: {line[:1500]}"
        left = {p.name for p in folder.iterdir()}
        assert left <= {"book.xlsx", "out.calc.xlsx", "out.shares.xlsx", "out.scale.xlsx"}, left
        for made in folder.glob("out.*"):
            _check_written(data, made)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _check_written(data: bytes, made: Path) -> None:
    """Whole, all parts there, most of them byte for byte; readable to another program where the original was."""
    before, after = _read(data), _read(made.read_bytes())
    assert zipfile.ZipFile(made).testzip() is None, f"{made.name} is damaged"
    assert {n for n in before if "calcChain" not in n} <= set(after), f"{made.name} has lost {set(before) - set(after)}"
    for name, content in before.items():
        if not re.search(r"worksheets/|workbook\.xml|styles|Content_Types|calcChain|custom|tables/", name):
            assert after[name] == content, f"{made.name}: {name} was changed"
    try:
        openpyxl.load_workbook(io.BytesIO(data)).close()
    except Exception:
        return  # that reader refuses the original already
    openpyxl.load_workbook(made).close()


def _read(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return stream.getvalue()


def _chosen(rng: Random, parts: dict[str, bytes]) -> str:
    sheets = [name for name in parts if "worksheets/sheet" in name or "sharedStrings" in name]
    return rng.choice(sheets if sheets and rng.random() < 0.7 else list(parts))


def _mutated(rng: Random, xml: bytes) -> bytes:
    if not xml:
        return xml
    return rng.choice((_flip, _cut, _double, _value, _value, _attribute, _attribute, _formula, _formula, _element))(
        rng, xml
    )


def _flip(rng: Random, xml: bytes) -> bytes:
    data = bytearray(xml)
    for _ in range(rng.choice((1, 1, 3, 20))):
        data[rng.randrange(len(data))] = rng.choice((rng.randrange(256), rng.choice(b"<>/\"'=& 0123456789")))
    return bytes(data)


def _cut(rng: Random, xml: bytes) -> bytes:
    begin = rng.randrange(len(xml))
    return xml[:begin] + xml[begin + rng.randrange(1, 200) :]


def _double(rng: Random, xml: bytes) -> bytes:
    begin = rng.randrange(len(xml))
    return xml[: begin + rng.randrange(1, 300)] + xml[begin:]


def _somewhere(rng: Random, pattern: bytes, xml: bytes, new: bytes) -> bytes:
    found = [m for m in re.finditer(pattern, xml)]
    if not found:
        return _flip(rng, xml)
    m = rng.choice(found)
    return xml[: m.start(1)] + new + xml[m.end(1) :]


def _value(rng: Random, xml: bytes) -> bytes:
    return _somewhere(rng, rb"<(?:v|t)>([^<]*)<", xml, rng.choice((*_NUMBERS, *_TEXTS)))


def _attribute(rng: Random, xml: bytes) -> bytes:
    new = (
        *_NUMBERS,
        b"s",
        b"str",
        b"b",
        b"e",
        b"d",
        b"inlineStr",
        b"shared",
        b"array",
        b"A1",
        b"XFD1048576",
        b"A0",
        b"A1:ZZZ9",
        b"ZZZZ1",
    )
    return _somewhere(rng, rb'="([^"]*)"', xml, rng.choice(new))


def _formula(rng: Random, xml: bytes) -> bytes:
    return _somewhere(rng, rb"<f[^>/]*>([^<]*)<", xml, rng.choice(_FORMULAS))


def _element(rng: Random, xml: bytes) -> bytes:
    """An element said twice, or left out."""
    found = list(
        re.finditer(rb"<([a-zA-Z]+)[^<>]*/>|<(c|v|row|si|f|sheet|xf|definedName)\b[^<>]*>.*?</\2>", xml, re.DOTALL)
    )
    if not found:
        return _cut(rng, xml)
    m = rng.choice(found)
    return (
        xml[: m.end()] + rng.choice((m.group(), b"")) + xml[m.end() :]
        if rng.random() < 0.5
        else xml[: m.start()] + xml[m.end() :]
    )
