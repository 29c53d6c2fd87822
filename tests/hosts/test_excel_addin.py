"""The add-in file: read back byte for byte by readers that are not ours (olefile, olevba, openpyxl, LibreOffice)."""

import io
import warnings
import zipfile

import olefile
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.hosts.excel import addin, compound_file, vba_project
from tarecell.hosts.excel.compound_file import Folder, NotCompound
from tarecell.hosts.excel.problem import ExcelProblem
from tarecell.hosts.excel.vba import module_text

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # of pyparsing, at oletools' way of using it
    from oletools.olevba import VBA_Parser, decompress_stream

PYTHON = r"C:\Users\Zoë & Ann\Python\python.exe"
NAMES = st.text("abcXYZ_19", min_size=1, max_size=20)
STREAMS = st.dictionaries(
    NAMES, st.binary(max_size=300) | st.integers(1, 3).map(lambda n: b"soap " * 900 * n), max_size=9
)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    return addin.build(tmp_path_factory.mktemp("addin"), PYTHON)


@pytest.fixture(scope="module")
def parts(built):
    with zipfile.ZipFile(built) as package:
        assert package.testzip() is None
        return {name: package.read(name) for name in package.namelist()}


@pytest.fixture(scope="module")
def template():
    with zipfile.ZipFile(addin.template()) as package:
        return package.read("xl/vbaProject.bin")


def modules(source, **options):
    """The text of every module, as olevba reads it."""
    return {name.rpartition(".")[0]: text for _, _, name, text in VBA_Parser(str(source), **options).extract_macros()}


def streams(data):
    """All streams of a compound file as olefile reads it; anything odd about the file is an error."""
    with olefile.OleFileIO(io.BytesIO(data), raise_defects=olefile.DEFECT_POTENTIAL) as file:
        assert file.parsing_issues == []
        return {"/".join(path): file.openstream(path).read() for path in file.listdir()}


def as_workbook(built, folder):
    """The same file declared as a workbook: no other program opens what is declared as an add-in."""
    kinds = b"vnd.ms-excel.addin.macroEnabled.main+xml", b"vnd.ms-excel.sheet.macroEnabled.main+xml"
    path = folder / "As workbook.xlsm"
    with zipfile.ZipFile(built) as package, zipfile.ZipFile(path, "w") as copy:
        for name in package.namelist():
            copy.writestr(name, package.read(name).replace(*kinds))
    return path


def flat(folder, before=""):
    found = {before + name: content for name, content in folder.streams.items()}
    for name, inside in folder.folders.items():
        found.update(flat(inside, f"{before}{name}/"))
    return found


# -- the module inside -------------------------------------------------------------------------------------------------


def test_another_reader_gives_the_module_back_byte_for_byte(built, tmp_path):
    found = modules(built)
    assert found["Module1"] == module_text(addin=True, module="Module1")
    assert len(found["Module1"]) > 50_000 and "Public Function TC_LYE(" in found["Module1"]


def test_xlwings_own_module_is_as_it_was_but_for_the_project_s_name(built):
    theirs, ours = modules(addin.template()), modules(built)
    assert set(ours) == set(theirs)
    changed = {name for name in theirs if ours[name] != theirs[name]}
    assert changed == {"Module1", "xlwings"}
    name = 'PROJECT_NAME As String = "{}"'
    assert ours["xlwings"] == theirs["xlwings"].replace(name.format("myaddin"), name.format("tarecell"))
    assert "Function XLPy()" in ours["xlwings"]


def test_what_else_the_project_holds_is_untouched(parts, template):
    before, after = streams(template), streams(parts["xl/vbaProject.bin"])
    assert list(after) == list(before)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"PROJECT", "VBA/dir", "VBA/Module1", "VBA/xlwings"}
    assert after["PROJECT"] == before["PROJECT"].replace(b'Name="MyAddin"', b'Name="Tarecell"')
    assert b"Tarecell" in bytes(decompress_stream(bytearray(after["VBA/dir"])))
    assert after["VBA/_VBA_PROJECT"][:4] == b"\xcc\x61\xff\xff", "so Excel compiles the texts"


def test_our_reader_of_an_add_in_agrees(built, tmp_path):
    assert addin.installed_text(built) == module_text(addin=True, module="Module1")
    assert addin.installed_text(tmp_path / "absent.xlam") is None
    (tmp_path / "broken.xlam").write_bytes(built.read_bytes()[:5000])
    assert addin.installed_text(tmp_path / "broken.xlam") is None


# -- the file around it ------------------------------------------------------------------------------------------------


def test_the_settings_are_where_xlwings_looks_for_them(built, tmp_path):
    book = openpyxl.load_workbook(as_workbook(built, tmp_path))
    assert book.sheetnames == ["tarecell.conf"]
    rows = list(book["tarecell.conf"].iter_rows(values_only=True))
    assert rows == [("INTERPRETER_WIN", PYTHON), ("ADD_WORKBOOK_TO_PYTHONPATH", "false")]
    assert 'Sheets(PROJECT_NAME & ".conf")' in modules(built)["xlwings"]


def test_without_a_python_windows_finds_one(tmp_path):
    book = openpyxl.load_workbook(as_workbook(addin.build(tmp_path / "Mine.xlam"), tmp_path))
    assert [row[0].value for row in book.active.iter_rows()] == ["ADD_WORKBOOK_TO_PYTHONPATH"]


@pytest.mark.xdist_group("calc")
def test_calc_opens_the_file(calc, built, tmp_path):
    cells = calc.read(as_workbook(built, tmp_path))["tarecell.conf"]
    assert {where: cell.value for where, cell in cells.items()}[1, 2] == PYTHON


def test_nothing_personal_of_the_template_is_left(parts):
    for name, content in parts.items():
        if name.endswith((".xml", ".rels")):
            assert b"Felix" not in content and b"felix" not in content, name


def test_the_same_parts_give_the_same_bytes(built, tmp_path):
    assert addin.build(tmp_path, PYTHON).read_bytes() == built.read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["Tarecell.xlam"], "nothing else is left behind"


def test_what_cannot_be_built_is_told(tmp_path, monkeypatch):
    with pytest.raises(ExcelProblem, match="ends with .xlam"):
        addin.build(tmp_path / "Tarecell.xlsx")
    with pytest.raises(ExcelProblem, match="cannot be written to"):
        addin.build(tmp_path / "nowhere" / "Tarecell.xlam")
    other = addin.template().with_name("quickstart.xlsm")
    monkeypatch.setattr(addin, "template", lambda: other)
    with pytest.raises(ExcelProblem, match="not of the kind that is known here .*tarecell excel module"):
        addin.build(tmp_path)
    assert not list(tmp_path.iterdir())


def test_no_xlwings_is_told(monkeypatch):
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(ExcelProblem, match="pip install xlwings"):
        addin.template()


# -- compound files ----------------------------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(top=STREAMS, inside=STREAMS)
def test_another_reader_finds_every_stream(top, inside):
    unique = {name.upper(): name for name in [*top, "Inside"]}.values()  # names differ in more than their case
    folder = Folder({name: top[name] for name in unique if name in top and name != "Inside"})
    own = {name.upper(): name for name in inside}.values()
    folder.folders["Inside"] = Folder({name: inside[name] for name in own})
    data = compound_file.write(folder)
    assert streams(data) == flat(folder)
    assert compound_file.read(data) == folder


def test_a_large_stream_and_many_of_them():
    folder = Folder({f"s{i}": bytes([i]) * 5000 for i in range(60)} | {"large": bytes(range(256)) * 4000})
    data = compound_file.write(folder)
    assert streams(data) == flat(folder) and compound_file.read(data) == folder


def test_a_file_of_office_is_read_as_another_reader_reads_it(template):
    assert flat(compound_file.read(template)) == streams(template)


def test_what_is_no_compound_file_is_told(template):
    for data in (b"", b"PK\3\4", template[:300], template[:1024]):
        with pytest.raises((NotCompound, ValueError)):
            compound_file.read(data)
    with pytest.raises(NotCompound, match="too much"):
        compound_file.write(Folder({"large": bytes(8_000_000)}))
    with pytest.raises(NotCompound, match="too long"):
        compound_file.write(Folder({"n" * 32: b""}))


# -- the packing of texts ----------------------------------------------------------------------------------------------

WORDS = st.lists(st.sampled_from(["Function ", "TC_LYE", "(", ")", "\r\n", "    ", "x", "'"]), max_size=3000).map(
    "".join
)


@settings(max_examples=40, deadline=None)
@given(WORDS)
def test_another_reader_unpacks_what_is_packed(text):
    raw = text.encode()
    packed = vba_project.compressed(raw)
    assert vba_project.decompressed(packed) == raw
    if raw:
        assert bytes(decompress_stream(bytearray(packed))) == raw


@pytest.mark.parametrize("size", [1, 2, 3, 4095, 4096, 4097, 8192, 20_000])
@pytest.mark.parametrize("piece", [b"a", b"ab", bytes(range(32, 127))], ids=["one", "two", "many"])
def test_sizes_at_the_edges(size, piece):
    raw = (piece * size)[:size]
    packed = vba_project.compressed(raw)
    assert vba_project.decompressed(packed) == raw == bytes(decompress_stream(bytearray(packed)))


def test_the_example_of_the_specification():
    """[MS-OVBA] 3.2.3, maximum compression: 73 letters "a"."""
    packed = bytes.fromhex("01 03 B0 02 61 45 00")
    assert vba_project.decompressed(packed) == b"a" * 73 == bytes(decompress_stream(bytearray(packed)))
    assert vba_project.compressed(b"a" * 73) == packed


def test_what_does_not_pack_is_kept_whole_or_told():
    import random

    noise = random.Random(7).randbytes(4096)
    packed = vba_project.compressed(noise)
    assert packed[1:3] == b"\xff\x3f" and vba_project.decompressed(packed) == noise
    with pytest.raises(vba_project.ProjectProblem, match="does not pack"):
        vba_project.compressed(noise[:4000])


def test_a_project_of_another_kind_is_told(template):
    with pytest.raises(vba_project.ProjectProblem, match="no module Absent"):
        vba_project.with_modules(template, {"Absent": ""}, "Tarecell")
    with pytest.raises(vba_project.ProjectProblem, match="no module Absent"):
        vba_project.module_text(template, "Absent")
    compiled = compound_file.read(template)
    compiled.folders["VBA"].streams["_VBA_PROJECT"] = b"\xcc\x61\xb2\x00\x00\x03\x00"
    with pytest.raises(vba_project.ProjectProblem, match="compiled code"):
        vba_project.with_modules(compound_file.write(compiled), {}, "Tarecell")
    del compiled.folders["VBA"].streams["dir"]
    compiled.folders["VBA"].streams["_VBA_PROJECT"] = b"\xcc\x61\xff\xff\x00\x00\x00"
    with pytest.raises(vba_project.ProjectProblem, match="no stream 'dir'"):
        vba_project.with_modules(compound_file.write(compiled), {}, "Tarecell")
