"""Taking the extension out leaves Calc clean, and putting it in again, over an older one or twice, does no harm."""

import re

import pytest
from hosts.calc import Calc
from tarecell import __version__
from tarecell.hosts.libreoffice import OfficeProblem, bundle, install, registration, uninstall

pytestmark = pytest.mark.xdist_group("calc")

SHOWN = [200.0, 300.0, 2 / 3, 100.0, "5A", 1 / 3, "", "#NUM!", 1.0]


@pytest.fixture(scope="module")
def books(calc, tmp_path_factory):
    """A small workbook made with the extension, in both formats."""
    folder = tmp_path_factory.mktemp("books")
    with calc.person() as me:
        me.type("A1", 200, 100)
        me.type("B1", "=TC_TOP_UP(500,A1)", '=TC_CATEGORY("body lotion")', "=TC_TOP_UP(1,2)")
        me.fill("C1:C2", "=TC_SHARES(A1:A2)")
        me.type("C3", "=SUM(C1:C2)")
        assert me.shown("A1:C3") == pytest.approx(SHOWN)
        return {ending: me.save(folder / f"book{ending}") for ending in (".xlsx", ".ods")}


@pytest.fixture(scope="module")
def bare(calc):
    """A person's profile as LibreOffice makes it."""
    with Calc(extension=False, recalculate=False) as calc:
        yield calc


def built(folder, monkeypatch, version):
    for module in (bundle, registration):
        monkeypatch.setattr(module, "__version__", version)
    return bundle.build(folder)


def traces(calc):
    """Files of the profile that are ours or name us."""
    files = [path for path in calc.profile.rglob("*") if path.is_file()]
    return [f for f in files if re.search(rb"(?i)tarecell|TC_[A-Z]", str(f).encode() + b"\n" + f.read_bytes())]


def installed_versions(calc):
    """As LibreOffice's own tool lists them."""
    listed = calc.run([calc.office.tool("unopkg"), "list", f"-env:UserInstallation={calc.profile.as_uri()}"])
    return re.findall(r"(?m)^ *Version: (\S+)", listed.stdout)


def put_in(calc, package):
    assert "is installed" in install(package, profile=calc.profile, office=calc.office, run=calc.run)


def take_out(calc):
    return uninstall(profile=calc.profile, office=calc.office, run=calc.run)


def test_in_over_an_older_one_twice_out_and_in_again(bare, books, monkeypatch, tmp_path):
    bare.stop()
    package = bundle.build(bare.folder)
    put_in(bare, built(bare.folder, monkeypatch, "0.0.1"))
    bare.start()
    assert len(bare.wizard()) > 70, "the older one is used, so that Python leaves its files too"
    with bare.person() as me:
        me.type("A1", "=TC_TOP_UP(5,3)")
        assert me.shown("A1") == [2.0]
    with pytest.raises(OfficeProblem, match="is open"):
        install(package, profile=bare.profile, office=bare.office, run=bare.run)
    bare.stop()
    monkeypatch.undo()
    for before in (["0.0.1"], [__version__]):
        assert installed_versions(bare) == before
        put_in(bare, package)
    assert installed_versions(bare) == [__version__]

    assert "no longer" in take_out(bare)
    bare.start()
    assert bare.wizard() == {}
    with bare.person() as me:
        me.type("A1", "=TC_TOP_UP(5,3)", "=SUM(A1,1)")
        assert me.shown("A1:A2") == ["#NAME?", "#NAME?"]
    back = {ending: tmp_path / f"back{ending}" for ending in books}
    for ending, book in books.items():
        with bare.person(book) as me:
            opened_without(me, ending)
            me.save(back[ending])
            me.save(tmp_path / f"from{ending[1:]}.ods")
    bare.stop()
    assert traces(bare) == [], "LibreOffice itself clears up in its next session"
    with pytest.raises(OfficeProblem, match="refused to remove the extension: There is no such extension"):
        take_out(bare)

    put_in(bare, package)
    bare.start()
    for book in back.values():
        with bare.person(book) as me:
            assert me.shown("A1:C3") == pytest.approx(SHOWN)
            me.type("A1", 300)
            assert me.shown("B1:C1") == [200.0, 0.75]
    with bare.person(tmp_path / "fromxlsx.ods") as me:  # the README warns of this one
        me.type("A1", 300)
        assert me.shown("B1") == ["#NAME?"]
        me.find_and_replace("=", "=")
        assert (me.formulas("B1"), me.shown("B1")) == (["=TC_TOP_UP(500,A1)"], [200.0])


def opened_without(me, ending):
    """A workbook where the extension is not there: stored values as far as Calc keeps them, never a wrong one."""
    shown = {
        ".xlsx": [300.0, "#NAME?", "5A", "#NAME?", "#NAME?", 1.0],
        ".ods": ["#NAME?", "#NAME?", "5A", "#NAME?", "#NAME?", "#NAME?"],
    }
    assert me.shown("A1:A2") == [200.0, 100.0]
    assert me.shown("B1:C3") == shown[ending]
    assert [re.sub("tarecell.", "", f) for f in me.formulas("B1:B2")] == [
        "=tc_top_up(500,A1)",
        '=tc_category("body lotion")',
    ]
