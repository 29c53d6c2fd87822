"""What is left out of a plain copy is nowhere in its file, and neither is any person."""

import re
from contextlib import nullcontext

import pytest
from openpyxl import Workbook
from openxml_audit import OpenXmlValidator
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.share import share
from tarecell.workbooks.share.check import nothing_left
from tarecell.workbooks.share.original import Original
from workbooks.rich import parts
from workbooks.secrets_book import COST, PERSON, PLACE, SHEET, secrets, write_secrets

STEPS = "xl/worksheets/sheet1.xml"


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    return write_secrets(tmp_path_factory.mktemp("studio"))


@pytest.fixture(scope="module")
def without(studio):
    copy = studio.with_name("without.xlsx")
    return share(studio, copy, without=[SHEET]), copy


def test_the_workbook_holds_the_secrets_in_many_places(studio):
    """Otherwise the next test would say nothing."""
    found = [name for name, content in parts(studio).items() if any(secret in content for secret in secrets())]
    assert len(found) > 30


def test_nothing_of_a_sheet_left_out_is_anywhere_in_the_copy(without):
    for name, content in parts(without[1]).items():
        assert not [secret for secret in secrets() if secret in content], name
        assert SHEET.encode() not in content, name
        assert PLACE.encode() not in content, name


def test_the_copy_is_a_sound_package(without):
    assert not OpenXmlValidator().validate(without[1]).errors
    found = parts(without[1])
    kinds = set(re.findall(r'PartName="/([^"]*)"', found["[Content_Types].xml"].decode()))
    assert kinds <= set(found)


def test_what_is_not_of_the_sheet_stays(without):
    found = parts(without[1])
    assert b"Beeswax" in found["xl/pivotCache/pivotCacheDefinition2.xml"]
    assert sum("charts/chart" in name and name.endswith(".xml") for name in found) == 3
    assert "xl/media/image1.png" in found and "xl/comments1.xml" in found


def test_the_report_says_what_is_gone(without):
    told = without[0].text()
    for line in (
        "a part of a kind that is not known (novelty)",
        "embedded objects",
        "the data model",
        "macros",
        "what-if scenarios and the names of their authors",
        "the data behind pivot tables",
        "the folder where the file lay",
        f"the sheet “{SHEET}”",
        "the sheet “Stock” goes along, and anyone can make it visible",
    ):
        assert line in told, line


def test_no_person_stays_where_every_sheet_does(studio, tmp_path):
    share(studio, tmp_path / "copy.xlsx")
    for name, content in parts(tmp_path / "copy.xlsx").items():
        for code in ("utf8", "utf-16-le"):
            assert PERSON.encode(code) not in content, name
        assert PLACE.encode() not in content and not name.startswith(("xl/novelty", "xl/embeddings")), name


def test_pictures_in_cells_share_a_store_so_no_sheet_can_be_left_out(tmp_path):
    with pytest.raises(WorkbookProblem, match="pictures in cells"):
        share(write_secrets(tmp_path, pictures_in_cells=True), tmp_path / "copy.xlsx", without=[SHEET])
    assert not (tmp_path / "copy.xlsx").exists()


def test_what_follows_from_the_sheets_that_stay_is_no_secret_of_the_one_left_out(tmp_path):
    """A step of the workings gives what a cell of the sheet left out gave, too."""
    book = Workbook()
    stays, goes = book.active, book.create_sheet(SHEET)
    stays.append([453.7, 1.234567])
    stays["A2"] = '=ROUND(TC_CONVERT(A1*B1,"g","oz"),0)'
    goes["A1"] = f"={stays.title}!A1*{stays.title}!B1"
    book.save(tmp_path / "book.xlsx")
    report = share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=[SHEET])
    assert report.live_cells == 1 and not report.fixed
    assert any(b"560.12" in content for content in parts(tmp_path / "copy.xlsx").values())


def test_a_figure_of_the_sheet_left_out_is_found_in_a_step_that_spells_it(tmp_path):
    """The last look at a copy, were a step to hold a figure from there instead of working it out."""
    book = Workbook()
    book.save(tmp_path / "alone.xlsx")
    book.create_sheet(SHEET)["A1"] = COST
    book.save(tmp_path / "book.xlsx")
    original = Original(Package.open(tmp_path / "book.xlsx"), [SHEET], False)
    for formula, fails in (("A1*B1", False), (f"A1*{COST}", True)):
        cell = f'<c r="A2"><f>{formula}</f><v>{COST}</v></c>'.encode()
        copy = Package(tmp_path / "copy.xlsx", Package.open(tmp_path / "alone.xlsx").changed({STEPS: cell}))
        with pytest.raises(WorkbookProblem, match=str(COST)) if fails else nullcontext():
            nothing_left(original, copy, steps=[STEPS])
        with pytest.raises(WorkbookProblem, match=str(COST)):
            nothing_left(original, copy)


def test_a_title_that_stands_on_the_sheet_left_out_goes_with_it(tmp_path):
    book = Workbook()
    book.properties.title = book.active["A1"] = "A studio's season"
    book.create_sheet("Stays")["A1"] = "=TC_TOP_UP(500,480)"
    book.save(tmp_path / "book.xlsx")
    told = share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=[book.active.title]).text()
    assert "the title in the document's properties" in told
    assert not any(b"season" in content for content in parts(tmp_path / "copy.xlsx").values())


def test_words_about_a_sheet_left_out_may_stay_where_they_were_typed_and_references_may_not(tmp_path):
    book = Workbook()
    stays, goes = book.active, book.create_sheet(SHEET)
    stays["A1"], stays["A2"] = f"the price is in '{SHEET}'!A1", "=TC_TOP_UP(500,480)"
    goes["A1"] = COST
    book.save(tmp_path / "book.xlsx")
    share(tmp_path / "book.xlsx", tmp_path / "copy.xlsx", without=[SHEET])
    assert any(f"is in '{SHEET}'!A1".encode() in content for content in parts(tmp_path / "copy.xlsx").values())
    original = Original(Package.open(tmp_path / "book.xlsx"), [SHEET], False)
    cell = f"<c r=\"A3\"><f>'{SHEET}'!A1</f><v>1</v></c>".encode()
    copy = Package(tmp_path / "copy.xlsx", Package.open(tmp_path / "copy.xlsx").changed({STEPS: cell}))
    with pytest.raises(WorkbookProblem, match="speak of a sheet"):
        nothing_left(original, copy)
    stays = Package.open(tmp_path / "copy.xlsx")
    part = next(sheet.part for sheet in stays.sheets if sheet.name == "Sheet")
    with_cell = stays.read(part).replace(b"</sheetData>", b'<row r="9">' + cell + b"</row></sheetData>")
    with pytest.raises(WorkbookProblem, match="in the sheet “Sheet”: take it out there, or leave that sheet in"):
        nothing_left(original, Package(tmp_path / "copy.xlsx", stays.changed({part: with_cell})))
