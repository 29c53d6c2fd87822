"""The extension as a file: what it carries, how Calc will know it, and that it can stand alone."""

import re
import subprocess
import sys
import zipfile
from importlib.metadata import requires
from xml.etree import ElementTree

import pytest
import tarecell
from hosts.conftest import not_here
from tarecell.errors import KINDS, SPREADSHEET_KINDS, CellError
from tarecell.functions import REGISTRY
from tarecell.functions.records import COLUMN, ROW
from tarecell.hosts.libreoffice import build, bundle, cells, interface, type_library

OOR = "{http://openoffice.org/2001/registry}"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"


@pytest.fixture(scope="module")
def package(tmp_path_factory):
    return build(tmp_path_factory.mktemp("built"))


def test_the_type_library_fits_the_records():
    assert interface.library()


def test_the_type_library_is_what_its_source_compiles_to():
    if type_library.compiler() is None:
        not_here("the type library's compiler", "no unoidl-write: install LibreOffice's developer kit")
    assert type_library.compiled(interface.idl()) == interface.LIBRARY.read_bytes()


def test_building_twice_gives_the_same_bytes(package, tmp_path):
    assert package.name == f"tarecell-{tarecell.__version__}.oxt"
    assert build(tmp_path / "again.oxt").read_bytes() == package.read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["again.oxt"]


def test_it_carries_the_core_and_nothing_else_of_tarecell(package):
    inside = zipfile.ZipFile(package)
    assert inside.testzip() is None
    names = inside.namelist()
    own = {name.split("/")[2] for name in names if name.startswith("pythonpath/tarecell/")}
    assert own == {"__init__.py", "errors.py", "calculations", "functions", "tables", "hosts"}
    assert [n for n in names if "/tarecell/hosts/" in n] == [
        "pythonpath/tarecell/hosts/__init__.py",
        "pythonpath/tarecell/hosts/libreoffice/cells.py",
    ]
    assert not [n for n in names if n.endswith((".pyc", ".so", ".pyd")) or "testsuite" in n or "__pycache__" in n]
    assert "pythonpath/tarecell/tables/units.csv" in names
    assert "pythonpath/pint/default_en.txt" in names
    for carried in ("tarecell", *bundle.CARRIED):
        assert any(n.startswith(f"licences/{carried}/") for n in names), f"no licence of {carried}"


def test_it_carries_all_that_pint_requires():
    """Every requirement of pint's and of theirs, but for the optional ones."""
    found, waiting = set(), ["pint"]
    while waiting:
        name = waiting.pop()
        found.add(name)
        for line in requires(name) or ():
            if "extra ==" not in line:
                needed = re.match(r"[A-Za-z0-9._-]+", line).group(0).replace("-", "_").lower()
                waiting.extend({needed} - found)
    assert found == set(bundle.CARRIED)


def test_its_parts_run_alone(package, tmp_path):
    """In a Python that sees nothing installed, as the one inside LibreOffice."""
    zipfile.ZipFile(package).extractall(tmp_path)
    code = (
        f"import sys; sys.path.insert(0, {str(tmp_path / 'pythonpath')!r})\n"
        "import tarecell, tarecell.functions, pint, tarecell.hosts.libreoffice.cells\n"
        "print(tarecell.call('TC_CONVERT', 1, 'lb', 'g'), pint.__version__, len(tarecell.functions.REGISTRY))"
    )
    command = [sys.executable, "-I", "-S", "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    version = bundle.distribution("pint").version
    assert done.stdout.split() == ["453.59237", version, str(len(REGISTRY))]


def test_every_function_is_described(package):
    """Names for .xlsx files in US English, or Calc does not find them when it opens one."""
    tree = ElementTree.fromstring(zipfile.ZipFile(package).read("functions.xcu"))
    functions = {}
    for node in tree.iter("node"):
        name = node.get(f"{OOR}name")
        if name.startswith("TC_"):
            functions[name] = {p.get(f"{OOR}name"): p.find("value") for p in node.findall("prop")}
            arguments = node.find("node")
            assert len(arguments) == len(REGISTRY[name].arguments)
            for argument, known in zip(arguments, REGISTRY[name].arguments, strict=True):
                texts = {p.get(f"{OOR}name"): p.find("value").text for p in argument.findall("prop")}
                assert texts["DisplayName"].strip("[]") == known.name
                assert texts["Description"].startswith(known.doc)
    assert set(functions) == set(REGISTRY)
    for name, properties in functions.items():
        for key in ("DisplayName", "CompatibilityName"):
            assert (properties[key].text, properties[key].get(LANGUAGE)) == (name, "en-US")
        assert properties["Description"].text == REGISTRY[name].summary


def test_the_description_names_version_oldest_office_and_what_is_there(package):
    inside = zipfile.ZipFile(package)
    text = inside.read("description.xml").decode()
    for part in re.findall(r'xlink:href="([^"]*)"', text):
        assert inside.read(part)
    assert inside.read("description.txt").decode().startswith(f"{len(REGISTRY)} spreadsheet functions")
    assert f'<version value="{tarecell.__version__}"/>' in text
    assert '<l:LibreOffice-minimal-version value="25.2"' in text
    for name in ("META-INF/manifest.xml", "addin.components", "description.xml"):
        ElementTree.fromstring(zipfile.ZipFile(package).read(name))


def test_a_stale_type_library_is_refused(monkeypatch, tmp_path):
    stale = tmp_path / "tarecell.idl"
    stale.write_text(interface.idl().replace("TC_TOP_UP", "TC_TOPPED_UP"), encoding="utf-8")
    monkeypatch.setattr(interface, "SOURCE", stale)
    with pytest.raises(bundle.OfficeProblem, match="type_library"):
        build(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["tarecell.idl"]


def _record(kind):
    return next(record for record in REGISTRY.values() if record.result == kind)


def test_values_as_calc_takes_them():
    assert [cells.cell(v) for v in (None, True, 3, 2.5, "x")] == ["", 1.0, 3.0, 2.5, "x"]
    assert all(type(cells.cell(v)) is float for v in (True, 3))
    assert cells.table([1.0, None], _record(COLUMN)) == ((1.0,), ("",))
    assert cells.table([1.0, 2.0], _record(ROW)) == ((1.0, 2.0),)
    assert cells.table([[1.0, 2.0], [3.0, None]], _record(COLUMN)) == ((1.0, 2.0), (3.0, ""))
    assert cells.table(5.0, _record(COLUMN)) == ((5.0,),)


def test_every_kind_of_error_is_a_number_of_its_own():
    """Each is not a number, so that nothing can add it up; kinds that Calc lacks are #VALUE!."""
    numbers = {kind: cells.error_cell(CellError("why", kind)) for kind in SPREADSHEET_KINDS}
    assert all(number != number for number in numbers.values())
    bits = {kind: cells.struct.pack("<d", number) for kind, number in numbers.items()}
    assert len({bits[kind] for kind in KINDS}) == len(KINDS)
    assert bits["#SPILL!"] == bits["#CALC!"] == bits["#VALUE!"]
    many = cells.error_cells(CellError("why", "#N/A"), (3, 2))
    assert [len(row) for row in many] == [2, 2, 2] and many[2][1] != many[2][1], "no number"
