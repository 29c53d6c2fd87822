"""What is left out of a plain copy is nowhere in its file, and neither is any person."""

import re

import pytest
from openxml_audit import OpenXmlValidator
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.share import share
from workbooks.rich import parts
from workbooks.secrets_book import PERSON, PLACE, SHEET, secrets, write_secrets


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
