"""An .ods file fetches nothing and runs nothing while Calc reads it."""

import io
import socket
import zipfile

import pytest
from tarecell.cli import main
from tarecell.workbooks.open_document_links import without_links
from tarecell.workbooks.problems import WorkbookProblem

NAMES = " ".join(
    f'xmlns:{prefix}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for prefix, name in (
        ("office", "office"), ("table", "table"), ("text", "text"), ("draw", "drawing"), ("svg", "svg-compatible")
    )
)  # fmt: skip
NAMES += ' xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:p="http://www.w3.org/1999/xlink"'
MIMETYPE = "application/vnd.oasis.opendocument.spreadsheet"


def package(inside: str, **parts: str) -> bytes:
    """An .ods file whose only sheet has these elements before its one row."""
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {NAMES} office:version="1.3"><office:body>'
        f'<office:spreadsheet><table:table table:name="S">{inside}<table:table-row><table:table-cell '
        'office:value-type="float" office:value="500"><text:p>500</text:p></table:table-cell></table:table-row>'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    parts = {"content.xml": content, **parts}
    entries = "".join(
        f'<manifest:file-entry manifest:full-path="{part}" manifest:media-type="text/xml"/>' for part in parts
    )
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0" manifest:version="1.3">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MIMETYPE}"/>{entries}</manifest:manifest>'
    )
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for part, text in {"mimetype": MIMETYPE, **parts, "META-INF/manifest.xml": manifest}.items():
            archive.writestr(part, text)
    return made.getvalue()


def content(data: bytes, part: str = "content.xml") -> str:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return archive.read(part).decode()


@pytest.mark.parametrize(
    "element",
    [
        '<draw:image draw:name="a>b" xlink:href="http://x.test/i.png"/>',
        "<draw:image p:href = 'http://x.test/i.png' draw:name='c'/>",
        '<draw:image xlink:href="&#104;ttp://x.test/i.png"/>',
        '<draw:object xlink:href="file:///etc/hosts"/>',
        '<draw:object xlink:href="../other.ods"/>',
        '<draw:object xlink:href="Object 2"/>',
        '<table:table-source xlink:href="smb://x.test/b.ods"/>',
        '<table:cell-range-source xlink:href="/etc/hosts"/>',
    ],
)
def test_links_that_a_program_follows_are_emptied(element):
    found = content(without_links("x.ods", package(f"<table:shapes>{element}</table:shapes>")))
    assert "x.test" not in found and "etc" not in found and "other.ods" not in found and "Object 2" not in found
    assert 'href=""' in found or 'href = ""' in found


def test_links_within_the_file_and_those_that_people_click_stay_byte_for_byte():
    inside = (
        '<table:shapes><draw:image xlink:href="Pictures/a.png"/><draw:object xlink:href="./Object 1"/>'
        '<draw:g xlink:href="#S"/><draw:a xlink:href="http://x.test/a"/></table:shapes>'
        '<table:table-row><table:table-cell><text:p><text:a xlink:href="http://x.test/b">shop</text:a> '
        'a text with xlink:href="http://x.test/c"</text:p></table:table-cell></table:table-row>'
    )
    parts = {"Pictures/a.png": "png", "Object 1/content.xml": "<a/>"}
    data = package(inside, **parts)
    assert content(without_links("x.ods", data)) == content(data)


def test_macros_are_left_out_and_their_document_types_do_no_harm():
    module = '<!DOCTYPE module PUBLIC "-//x//y" "module.dtd"><module>Sub Main</module>'
    with zipfile.ZipFile(io.BytesIO(without_links("x.ods", package("", **{"Basic/Standard/M.xml": module})))) as made:
        assert [name for name in made.namelist() if name.startswith("Basic")] == []


def test_what_cannot_be_judged_is_refused():
    with pytest.raises(WorkbookProblem, match="damaged"):
        without_links("x.ods", package("<draw:image>"))
    for encoding, text in (("utf-16", "utf-16"), ("iso-8859-1", "iso-8859-1")):
        styles = (
            f'<?xml version="1.0" encoding="{encoding}"?><a xmlns:x="http://www.w3.org/1999/xlink" x:href="http://x"/>'
        )
        made = io.BytesIO(package(""))
        with zipfile.ZipFile(made, "a") as archive:
            archive.writestr("styles.xml", styles.encode(text))
        with pytest.raises(WorkbookProblem, match="UTF-8"):
            without_links("x.ods", made.getvalue())


def test_calc_fetches_nothing(calc, tmp_path, capsys):
    """`calc` is asked for only because Calc has to be there."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.05)
        address = f"http://127.0.0.1:{server.getsockname()[1]}"
        names = 'xmlns="http://www.w3.org/2000/svg" xmlns:x="http://www.w3.org/1999/xlink"'
        picture = f'<svg {names}><image x:href="{address}"/></svg>'
        shapes = "".join(
            f'<draw:frame svg:width="2cm" svg:height="2cm"><draw:{what} xlink:href="{link}"/></draw:frame>'
            for what, link in (
                ("image", f"{address}/i.png"),
                ("object", f"{address}/o.ods"),
                ("image", "Pictures/p.svg"),
            )
        )
        file = tmp_path / "hostile.ods"
        file.write_bytes(package(f"<table:shapes>{shapes}</table:shapes>", **{"Pictures/p.svg": picture}))
        assert main(["calc", str(file)]) == 0
        with pytest.raises(TimeoutError):
            server.accept()
    assert capsys.readouterr().out.startswith(str(tmp_path / "hostile.calc.xlsx"))
