"""Files that are broken, locked or meant to do harm: one line with the reason from every command, and nothing lost."""

import os
import zipfile

import pytest
from tarecell.hosts import libreoffice
from tarecell.hosts.libreoffice import OfficeProblem
from tarecell.workbooks import open_document
from tarecell.workbooks.add import plan_addition, write
from tarecell.workbooks.find import find_recipes
from tarecell.workbooks.open_document import as_xlsx
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.recalculate import recalculate
from workbooks.add_books import recipe
from workbooks.rich import parts, rewrite, write_rich

pytestmark = pytest.mark.xdist_group("calc")
OLE = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(500)
MAIN = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def _add(path):
    return plan_addition(path, "shares", sheet="Cream")


def _add_in_place(path):
    return write(plan_addition(path, "shares", sheet="Cream"), in_place=True)


COMMANDS = {
    "add": _add,
    "add in place": _add_in_place,
    "calc": recalculate,
    "calc in place": lambda path: recalculate(path, in_place=True),
    "find": find_recipes,
}


def _changed(path, part, old, new):
    content = parts(path)[part]
    assert old in content
    target = path.with_name("hostile.xlsx")
    return rewrite(path, target, {part: content.replace(old, new, 1)})


def _bytes(content):
    return lambda path: path.with_name("hostile.xlsx").write_bytes(content) and path.with_name("hostile.xlsx")


def _cut(share):
    return lambda path: _bytes(path.read_bytes()[: int(path.stat().st_size * share)])(path)


def _entities(path):
    bomb = b'<!DOCTYPE a [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><worksheet'
    return _changed(path, "xl/worksheets/sheet1.xml", b"<worksheet", bomb)


def _entity_from_outside(path):
    part = parts(path)["xl/styles.xml"]
    prolog = b'<!DOCTYPE s SYSTEM "file:///etc/hostname">' + part[part.index(b"<styleSheet") :]
    return rewrite(path, path.with_name("hostile.xlsx"), {"xl/styles.xml": prolog})


def _bomb(path):
    target = path.with_name("hostile.xlsx")
    rewrite(path, target)
    with zipfile.ZipFile(target, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/big.bin", bytes(80 << 20))
    return target


def _macro_sheet(path):
    rels = "xl/_rels/workbook.xml.rels"
    kind = b"http://schemas.microsoft.com/office/2006/relationships/xlMacrosheet"
    content = parts(path)[rels]
    old = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"
    return _changed(path, rels, old, kind) if old in content else None


def _encrypted_entries(path):
    target = path.with_name("hostile.xlsx")
    content = bytearray(path.read_bytes())
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = -1
        while (at := content.find(mark, at + 1)) >= 0:
            content[at + offset] |= 1
    target.write_bytes(content)
    return target


def _twice(path):
    target = path.with_name("hostile.xlsx")
    rewrite(path, target)
    with zipfile.ZipFile(target, "a") as archive, pytest.warns(UserWarning):
        archive.writestr("xl/worksheets/sheet1.xml", b"<worksheet/>")
    return target


def _elsewhere(path):
    return rewrite(path, path.with_name("hostile.xlsx"), added={"../../evil.xml": b"<a/>"})


def _another_document(path):
    target = path.with_name("hostile.xlsx")
    with zipfile.ZipFile(target, "w") as archive:
        archive.writestr("readme.txt", "not a workbook")
    return target


HOSTILE = {
    "not there": (lambda path: path.with_name("hostile.xlsx"), "was not found"),
    "a folder": (lambda path: path.parent, "is a folder"),
    "empty": (lambda path: _empty(path), "is empty"),
    "half": (_cut(0.5), "cut short or damaged"),
    "nearly whole": (_cut(0.98), "cut short or damaged"),
    "zero bytes": (_bytes(bytes(4096)), "nothing but zero bytes"),
    "text": (_bytes(b"ingredient,grams\nWater,3\n"), "is not an .xlsx or .xlsm"),
    "old .xls": (_bytes(OLE), "old .xls"),
    "password": (_bytes(OLE + "EncryptedPackage".encode("utf-16-le")), "password-protected"),
    "encrypted entries": (_encrypted_entries, "password-protected"),
    "another zip": (_another_document, "no list of content types"),
    "entities": (_entities, "XML entities"),
    "entity from outside": (_entity_from_outside, "XML entities"),
    "zip bomb": (_bomb, "far more data"),
    "macro sheet": (_macro_sheet, "macro sheet"),
    "a part twice": (_twice, "twice"),
    "a part elsewhere": (_elsewhere, "unsafe name"),
    "broken sheet": (lambda p: _changed(p, "xl/worksheets/sheet1.xml", b"</sheetData>", b"</sheetDate>"), "damaged"),
    "broken list": (lambda p: _changed(p, "xl/workbook.xml", b"</sheets>", b"</sheet>"), "damaged"),
}


def _empty(path):
    path.with_name("hostile.xlsx").write_bytes(b"")
    return path.with_name("hostile.xlsx")


def _everything(folder):
    return {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", HOSTILE)
def test_each_is_refused_by_every_command_in_one_line(tmp_path, name, command):
    make, reason = HOSTILE[name]
    path = make(recipe(tmp_path))
    before = _everything(tmp_path)
    with pytest.raises(WorkbookProblem, match=reason) as refused:
        COMMANDS[command](path)
    text = str(refused.value)
    assert "\n" not in text and len(text) < 260
    assert _everything(tmp_path) == before


# -- what only `add` must refuse -------------------------------------------------------------------------------------


def _protected(book):
    book["Cream"].protection.sheet = True
    book["Cream"].protection.password = "x"


def test_a_protected_sheet(tmp_path):
    path = recipe(tmp_path, change=_protected)
    with pytest.raises(WorkbookProblem, match="“Cream” is protected: unprotect it"):
        _add(path)
    assert find_recipes(path) and recalculate(path).out.exists()


def test_a_sheet_with_a_password_but_not_protected_is_fine(tmp_path):
    def change(book):
        book["Cream"].protection.password = "x"
        book["Cream"].protection.sheet = False

    assert _add(recipe(tmp_path, change=change)).cells


def test_a_signed_workbook(tmp_path):
    signed = rewrite(recipe(tmp_path), tmp_path / "signed.xlsx", added={"_xmlsignatures/sig1.xml": b"<Signature/>"})
    with pytest.raises(WorkbookProblem, match="digital signature"):
        _add(signed)


def test_a_shared_workbook_with_its_log(tmp_path):
    path = recipe(tmp_path)
    rels = parts(path)["xl/_rels/workbook.xml.rels"]
    link = (
        b'<Relationship Id="rId77" Target="revisions/revisionHeaders.xml" Type="http://schemas.openxmlformats.org/'
        b'officeDocument/2006/relationships/revisionHeaders"/></Relationships>'
    )
    changed = {"xl/_rels/workbook.xml.rels": rels.replace(b"</Relationships>", link)}
    shared = rewrite(path, tmp_path / "shared.xlsx", changed, {"xl/revisions/revisionHeaders.xml": b"<headers/>"})
    with pytest.raises(WorkbookProblem, match="shared workbook"):
        _add(shared)


def test_a_chart_sheet_has_no_cells(tmp_path):
    path = write_rich(tmp_path / "rich.xlsx")
    with pytest.raises(WorkbookProblem, match="is a chart sheet"):
        plan_addition(path, "shares", sheet="Chart", amounts="B2:B4")


@pytest.mark.parametrize("lock", ["~$recipe.xlsx", ".~lock.recipe.xlsx#"])
def test_a_file_that_is_open_elsewhere_is_not_changed(tmp_path, lock):
    path = recipe(tmp_path)
    before = path.read_bytes()
    (tmp_path / lock).write_text("me")
    with pytest.raises(WorkbookProblem, match="is open in a spreadsheet program"):
        _add_in_place(path)
    with pytest.raises(WorkbookProblem, match="is open in a spreadsheet program"):
        recalculate(path, in_place=True)
    assert path.read_bytes() == before and len(list(tmp_path.iterdir())) == 2
    assert write(_add(path)).out.exists()  # a copy may be made


def test_a_full_disk_leaves_the_old_file_whole(tmp_path, monkeypatch):
    path = recipe(tmp_path)
    plan, before = _add(path), path.read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WorkbookProblem, match="disk is full"):
        write(plan, in_place=True)
    assert path.read_bytes() == before and list(tmp_path.iterdir()) == [path]


# -- odd, but no reason to refuse ------------------------------------------------------------------------------------


def test_a_sheet_that_claims_a_million_rows(tmp_path):
    path = recipe(tmp_path)
    xml = parts(path)["xl/worksheets/sheet1.xml"]
    far = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
    big = rewrite(path, tmp_path / "big.xlsx", {"xl/worksheets/sheet1.xml": xml.replace(b"</sheetData>", far)})
    out = write(_add(big)).out
    assert far in parts(out)["xl/worksheets/sheet1.xml"]


def test_a_cell_format_that_is_not_there(tmp_path):
    path = recipe(tmp_path)
    xml = parts(path)["xl/worksheets/sheet1.xml"]
    odd = rewrite(path, tmp_path / "odd.xlsx", {"xl/worksheets/sheet1.xml": xml.replace(b' s="1"', b' s="9999"')})
    with pytest.raises(WorkbookProblem, match="odd.xlsx is damaged"):
        plan_addition(odd, "shares", sheet="Cream", amounts="C2:C5", units="D2:D5")


def test_rows_that_are_out_of_order(tmp_path):
    mixed = _changed(recipe(tmp_path), "xl/worksheets/sheet1.xml", b'<row r="2"', b'<row r="9"')
    for command in (recalculate, lambda path: plan_addition(path, "shares", sheet="Cream", amounts="C4:C5", unit="g")):
        with pytest.raises(WorkbookProblem, match="out of order"):
            command(mixed)


def test_no_styles_at_all(tmp_path):
    path = recipe(tmp_path)
    content = parts(path)
    rels = content["xl/_rels/workbook.xml.rels"]
    links = [b"<Relationship " + piece for piece in rels.split(b"<Relationship ")[1:]]
    link = next(piece for piece in links if b"/styles" in piece).split(b"</Relationships>")[0]
    xml = content["xl/worksheets/sheet1.xml"]
    for style in (b' s="1"', b' s="2"'):
        xml = xml.replace(style, b"")
    changed = {"xl/_rels/workbook.xml.rels": rels.replace(link, b""), "xl/worksheets/sheet1.xml": xml}
    bare = rewrite(path, tmp_path / "bare.xlsx", changed, dropped=["xl/styles.xml"])
    plan = plan_addition(bare, "scale", sheet="Cream", amounts="C2:C5", units="D2:D5", target=100)
    out = write(plan).out
    assert b"TC_SCALE" in parts(out)["xl/worksheets/sheet1.xml"]


# -- OpenDocument ----------------------------------------------------------------------------------------------------


@pytest.fixture
def ods(tmp_path):
    """A file that says it is an OpenDocument spreadsheet; its content is up to the test."""

    def make(**content):
        target = tmp_path / "recipes.ods"
        with zipfile.ZipFile(target, "w") as archive:
            archive.writestr("mimetype", content.pop("mimetype", "application/vnd.oasis.opendocument.spreadsheet"))
            archive.writestr("META-INF/manifest.xml", content.pop("manifest", "<manifest/>"))
            for name, data in content.items():
                archive.writestr(f"{name}.xml", data)
        return target

    return make


def test_an_open_document_without_calc(ods, monkeypatch, tmp_path):
    def none_here():
        raise OfficeProblem("no LibreOffice found on this machine: install LibreOffice 25.2 or newer")

    monkeypatch.setattr(libreoffice, "find_office", none_here)
    path = ods(content="<a/>")
    with pytest.raises(WorkbookProblem, match=r"OpenDocument file.*no LibreOffice found.*save it as .xlsx"):
        _add(path)
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        ({"manifest": '<manifest><encryption-data x="1"/></manifest>'}, "password-protected"),
        ({"mimetype": "application/vnd.oasis.opendocument.text"}, "not a spreadsheet"),
        ({"content": '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'}, "XML entities"),
        ({"content": "<a><b></a>"}, "content.xml is damaged"),
        ({"content": "<a/>"}, "Calc could not read"),
    ],
)
def test_open_documents_that_are_refused(ods, content, reason, calc):
    with pytest.raises(WorkbookProblem, match=reason), as_xlsx(ods(**content)):
        pass


def test_a_calc_that_never_answers(ods, monkeypatch, tmp_path):
    sleeper = tmp_path / "soffice"
    sleeper.write_text("#!/bin/sh\nsleep 20\n")
    sleeper.chmod(0o755)

    class Slow:
        def tool(self, _):
            return sleeper

    monkeypatch.setattr(libreoffice, "find_office", Slow)
    monkeypatch.setattr(open_document, "PATIENCE", 1)
    with (
        pytest.raises(WorkbookProblem, match="did not convert recipes.ods within 1 seconds"),
        as_xlsx(ods(content="<a/>")),
    ):
        pass


def test_an_open_document_cannot_be_changed_in_place(calc, tmp_path):
    calc.read(recipe(tmp_path), save_as=[tmp_path / "recipes.ods"])
    before = (tmp_path / "recipes.ods").read_bytes()
    plan = _add(tmp_path / "recipes.ods")
    with pytest.raises(WorkbookProblem, match="cannot be changed in place"):
        write(plan, in_place=True)
    with pytest.raises(WorkbookProblem, match="same kind, .xlsx"):
        write(plan, tmp_path / "recipes.ods")
    assert (tmp_path / "recipes.ods").read_bytes() == before
    assert Package.open(write(plan).out).sheets[0].name == "Cream"
