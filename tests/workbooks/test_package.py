"""Opening a workbook file safely, and writing it back with everything untouched as it was."""

import errno
import os
import struct
import zipfile

import pytest
from tarecell.workbooks import safe_write
from tarecell.workbooks.package import CONTENT_TYPES, Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.sniff import Limits
from workbooks.rich import parts, rewrite, write_rich

SHEET = "xl/worksheets/sheet1.xml"
BOMB = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><x>&b;</x>'


@pytest.fixture(scope="module")
def rich(tmp_path_factory):
    return write_rich(tmp_path_factory.mktemp("rich") / "recipe.xlsx")


@pytest.fixture(scope="module")
def with_macros(tmp_path_factory):
    return write_rich(tmp_path_factory.mktemp("rich") / "recipe.xlsm")


def refusal(path, **options):
    with pytest.raises(WorkbookProblem) as caught:
        Package.open(path, **options)
    assert "\n" not in caught.value.reason
    assert path.name in caught.value.reason
    return caught.value.reason


# -- reading -------------------------------------------------------------------------------------------------------


def test_sheets_are_listed_with_their_state_and_kind(rich):
    package = Package.open(rich)
    assert [(s.name, s.hidden, s.kind) for s in package.sheets] == [
        ("Balm recipe", False, "worksheet"),
        ("Notes & photos", False, "worksheet"),
        ("Hidden", True, "worksheet"),
        ("Chart", False, "chart"),
    ]
    assert package.sheets[0].part == SHEET
    assert not package.date1904


def test_the_1904_date_system_is_seen(tmp_path):
    assert Package.open(write_rich(tmp_path / "a.xlsx", {"date_1904": True})).date1904


def test_part_names_do_not_depend_on_case(rich):
    assert Package.open(rich).read("XL/Worksheets/SHEET1.xml") == parts(rich)[SHEET]


def test_absolute_targets_in_relationships_are_followed(rich, tmp_path):
    content = parts(rich)["xl/_rels/workbook.xml.rels"].replace(b'"worksheets/', b'"/xl/worksheets/')
    changed = rewrite(rich, tmp_path / "a.xlsx", {"xl/_rels/workbook.xml.rels": content})
    assert Package.open(changed).sheets[0].part == SHEET


# -- refusing ------------------------------------------------------------------------------------------------------


def test_what_is_not_there_or_not_a_file(tmp_path):
    assert "was not found" in refusal(tmp_path / "none.xlsx")
    assert "is a folder" in refusal(tmp_path)


@pytest.mark.parametrize(
    "content, reason",
    [
        (b"", "is empty"),
        (b"name,grams\nwater,3\n", "not an .xlsx or .xlsm workbook"),
        (b"\0" * 4096, "zero bytes"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600 + "Workbook".encode("utf-16-le"), "old .xls"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"), "password"),
        (b"\x09\x08\x10\x00\x00\x06\x05\x00", "old .xls"),
    ],
)
def test_files_of_other_kinds(tmp_path, content, reason):
    (tmp_path / "a.xlsx").write_bytes(content)
    assert reason in refusal(tmp_path / "a.xlsx")


def test_half_written_files(rich, tmp_path):
    whole = rich.read_bytes()
    for share in (0.01, 0.5, 0.99):
        (tmp_path / "a.xlsx").write_bytes(whole[: int(len(whole) * share)])
        assert "cut short or damaged" in refusal(tmp_path / "a.xlsx")


def test_a_damaged_part_is_named(rich, tmp_path):
    data = bytearray(rich.read_bytes())
    with zipfile.ZipFile(rich) as archive:
        entry = archive.getinfo(SHEET)
    start = entry.header_offset + 30 + len(SHEET) + 40
    data[start : start + 20] = b"\xff" * 20
    (tmp_path / "a.xlsx").write_bytes(data)
    with pytest.raises(WorkbookProblem, match="damaged"):
        Package.open(tmp_path / "a.xlsx").read(SHEET)


def test_open_document_and_binary_workbooks(rich, tmp_path):
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", "<a/>")
    assert ".ods" in refusal(tmp_path / "a.xlsx")
    rels = parts(rich)["_rels/.rels"].replace(b"xl/workbook.xml", b"xl/workbook.bin")
    rewrite(rich, tmp_path / "b.xlsx", {"_rels/.rels": rels}, {"xl/workbook.bin": b"\x83\x01\0"})
    assert ".xlsb" in refusal(tmp_path / "b.xlsx")


def test_missing_essential_parts(rich, tmp_path):
    assert "content types" in refusal(rewrite(rich, tmp_path / "a.xlsx", dropped=[CONTENT_TYPES]))
    assert "no workbook part" in refusal(rewrite(rich, tmp_path / "b.xlsx", dropped=["xl/workbook.xml"]))
    with pytest.raises(WorkbookProblem, match="has no part"):
        Package.open(rewrite(rich, tmp_path / "c.xlsx", dropped=[SHEET])).sheets  # noqa: B018


@pytest.mark.parametrize("name", ["../evil.xml", "xl/../../evil.xml", "/etc/evil.xml", "xl\\evil.xml", "c:evil.xml"])
def test_unsafe_part_names(rich, tmp_path, name):
    assert "unsafe name" in refusal(rewrite(rich, tmp_path / "a.xlsx", added={name: b"<a/>"}))


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize("name", [SHEET, SHEET.upper()])
def test_parts_that_are_there_twice(rich, tmp_path, name):
    assert "twice" in refusal(rewrite(rich, tmp_path / "a.xlsx", added={name: b"<a/>"}))


@pytest.mark.parametrize(
    "bomb",
    [BOMB, BOMB.replace(b'<?xml version="1.0"?>', b"\xef\xbb\xbf <!-- x -->\n"), BOMB.decode().encode("utf-16")],
)
@pytest.mark.parametrize("part", [SHEET, "xl/drawings/vmlDrawing1.vml", "docProps/core.xml"])
def test_document_types_are_refused(rich, tmp_path, part, bomb):
    assert "declares XML entities" in refusal(rewrite(rich, tmp_path / "a.xlsx", {part: bomb}))


def test_a_document_type_behind_an_endless_comment_is_refused(rich, tmp_path):
    hidden = b"<!--" + b"x" * 100_000 + b"-->" + BOMB[21:]
    assert "not that of a workbook" in refusal(rewrite(rich, tmp_path / "a.xlsx", {SHEET: hidden}))


def test_zip_bombs_are_refused_unopened(rich, tmp_path):
    bomb = rewrite(rich, tmp_path / "a.xlsx", added={"xl/media/a.bin": b"\0" * (17 << 20)})
    assert "unpack to far more" in refusal(bomb)
    many = rewrite(rich, tmp_path / "b.xlsx", added={f"x/{i}": b"" for i in range(60)})
    assert "parts, more than" in refusal(many, limits=Limits(entries=50))
    assert "unpack to far more" in refusal(rich, limits=Limits(total=5000))
    assert "too large" in refusal(rich, limits=Limits(file=1000))


def test_an_encrypted_entry_is_refused(rich, tmp_path):
    data = bytearray(rich.read_bytes())
    at = data.rindex(b"PK\x01\x02")
    flags = struct.unpack_from("<H", data, at + 8)[0] | 1
    struct.pack_into("<H", data, at + 8, flags)
    (tmp_path / "a.xlsx").write_bytes(data)
    assert "password-protected" in refusal(tmp_path / "a.xlsx")


# -- writing -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["rich", "with_macros"])
def test_a_copy_keeps_every_part_its_order_time_and_compression(name, request, tmp_path):
    source = request.getfixturevalue(name)
    new = b"<worksheet/>"
    out = tmp_path / f"out{source.suffix}"
    Package.open(source).write(out, {SHEET: new})
    before, after = parts(source), parts(out)
    assert list(before) == list(after)
    assert {part for part in before if before[part] != after[part]} == {SHEET}
    assert after[SHEET] == new
    for old, now in zip(zipfile.ZipFile(source).infolist(), zipfile.ZipFile(out).infolist(), strict=True):
        assert (old.date_time, old.compress_type, old.external_attr) == (
            now.date_time, now.compress_type, now.external_attr,
        )  # fmt: skip


def test_parts_can_be_dropped(rich, tmp_path):
    Package.open(rich).write(tmp_path / "out.xlsx", {}, dropped=["docProps/app.xml"])
    assert set(parts(rich)) - set(parts(tmp_path / "out.xlsx")) == {"docProps/app.xml"}


def test_never_over_the_input_unless_told(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    (tmp_path / "other").mkdir()
    (tmp_path / "link.xlsx").symlink_to(path)
    before = path.read_bytes()
    package = Package.open(path)
    for name in (path, tmp_path / "other" / ".." / "recipe.xlsx", tmp_path / "link.xlsx"):
        with pytest.raises(WorkbookProblem, match="the input itself"):
            package.write(name, {})
    assert path.read_bytes() == before


def test_in_place_keeps_a_backup_and_does_not_overwrite_older_ones(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    first = path.read_bytes()
    backup = Package.open(path).write(path, {SHEET: b"<one/>"}, in_place=True)
    assert (backup.name, backup.read_bytes()) == ("recipe.backup.xlsx", first)
    assert parts(path)[SHEET] == b"<one/>"
    second = path.read_bytes()
    backup = Package.open(path).write(path, {SHEET: b"<two/>"}, in_place=True)
    assert (backup.name, backup.read_bytes()) == ("recipe.backup-2.xlsx", second)


def test_a_file_changed_in_the_meantime_is_not_overwritten(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    package = Package.open(path)
    path.write_bytes(path.read_bytes() + b"more")
    with pytest.raises(WorkbookProblem, match="changed by another program"):
        package.write(path, {}, in_place=True)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["recipe.xlsx"]


@pytest.mark.parametrize("lock", ["~$recipe.xlsx", ".~lock.recipe.xlsx#"])
def test_a_file_that_is_open_elsewhere_is_not_overwritten(tmp_path, lock):
    path = write_rich(tmp_path / "recipe.xlsx")
    before = path.read_bytes()
    (tmp_path / lock).write_text("somebody")
    package = Package.open(path)  # reading it is no harm
    with pytest.raises(WorkbookProblem, match="is open in a spreadsheet program"):
        package.write(path, {}, in_place=True)
    package.write(tmp_path / "copy.xlsx", {})  # and neither is a copy
    assert path.read_bytes() == before


def test_an_output_that_is_open_elsewhere_is_not_overwritten(rich, tmp_path):
    (tmp_path / "out.xlsx").write_bytes(b"old")
    (tmp_path / ".~lock.out.xlsx#").write_text("somebody")
    with pytest.raises(WorkbookProblem, match="out.xlsx is open"):
        Package.open(rich).write(tmp_path / "out.xlsx", {})
    assert (tmp_path / "out.xlsx").read_bytes() == b"old"


@pytest.mark.parametrize("code, reason", [(errno.ENOSPC, "the disk is full"), (errno.EIO, "nput/output error")])
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_in_the_middle_leaves_the_old_file_whole(tmp_path, monkeypatch, step, code, reason):
    path = write_rich(tmp_path / "recipe.xlsx")
    before = path.read_bytes()

    def fails(*_):
        raise OSError(code, os.strerror(code))

    package = Package.open(path)
    monkeypatch.setattr(safe_write.os, step, fails)
    with pytest.raises(WorkbookProblem, match=reason) as caught:
        package.write(path, {SHEET: b"<new/>"}, in_place=True)
    assert "\n" not in caught.value.reason
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["recipe.xlsx"]


def test_a_real_full_disk_is_told(rich):
    """/dev/full, where there is one, behaves like a full disk."""
    if not os.path.exists("/dev/full"):
        pytest.skip("no /dev/full here")
    with pytest.raises(OSError) as full, open("/dev/full", "wb", buffering=0) as stream:
        stream.write(rich.read_bytes())
    assert "disk is full" in safe_write._why(rich, full.value)


def test_a_folder_that_cannot_be_written_to(rich, tmp_path, monkeypatch):
    def refuses(*_, **__):
        raise PermissionError(errno.EACCES, "no")

    monkeypatch.setattr(safe_write.tempfile, "mkstemp", refuses)
    with pytest.raises(WorkbookProblem, match="cannot be written to"):
        Package.open(rich).write(tmp_path / "out.xlsx", {})
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there(rich, tmp_path):
    with pytest.raises(WorkbookProblem, match="there is no folder"):
        Package.open(rich).write(tmp_path / "none" / "out.xlsx", {})


def test_the_new_file_has_the_permissions_of_the_old(tmp_path):
    path = write_rich(tmp_path / "recipe.xlsx")
    path.chmod(0o640)
    Package.open(path).write(tmp_path / "out.xlsx", {})
    assert (tmp_path / "out.xlsx").stat().st_mode & 0o777 == 0o640
