"""The inspection of a recipe or cost workbook: what it finds, and that it stays quiet where nothing is wrong."""

import json
import random
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.workbooks.check import check_workbook
from workbooks.rich import parts, rewrite
from workbooks.sheets import As, pct, write

CAPS = [["fragrance", 4, "5A", 9, 12], ["Harbour Fig", pct(0.094), pct(0.021), pct(0.034), "no restriction"]]


@pytest.fixture
def check(tmp_path):
    """The report on a workbook given as sheets (or as the rows of one sheet)."""

    def run(sheets, **options):
        sheets = sheets if isinstance(sheets, dict) else {"Sheet": sheets}
        return check_workbook(write(tmp_path / "book.xlsx", sheets, **options))

    return run


def found(report):
    return [(f.rule, f.cell) for f in report.findings]


def only(report, rule, cell):
    """The single finding of a report."""
    assert found(report) == [(rule, cell)]
    assert report.exit_status == 1
    finding = report.findings[0]
    assert finding.what and finding.why and finding.do
    return finding


# -- nothing wrong -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "rows",
    [
        [
            ["Ingredient", "g", "%"],
            ["Water", 70, "=B2/B$5"],
            ["Oil", 25, "=B3/B$5"],
            ["Wax", 5, "=B4/B$5"],
            ["Total", "=SUM(B2:B4)", "=SUM(C2:C4)"],
        ],
        [["Ingredient", "%"], ["Water", 66.66], ["Oil", 33.34], ["Total", 100]],
        [["Ingredient", "%"], ["Water", "q.s. to 100"], ["Oil", 30], ["Wax", 5]],
        [["Ingredient", "g", "share"], ["Butter", 40, "=B2/50*0.9"], ["Oil", 10, "=B3/50*0.9"], None]
        + [["Clay", "as set above", 0.1], ["all together", None, "=SUM(C2:C5)"]],
        [["Ingredient", "share of the wax"], ["Harbour Fig", pct(0.08)], ["Dye", pct(0.02)]],
        [["Ingredient", "g", "max %"], ["Rose oil", 5, pct(0.02)], ["Oil", 95, pct(0.5)]],
        [
            ["Ingredient", "Amount", "Unit", "g"],
            ["Water", 70, "g", '=TC_CONVERT(B2,C2,"g")'],
            ["Oil", 3, "oz", '=TC_CONVERT(B3,C3,"g")'],
            ["Total", None, None, "=SUM(D2:D3)"],
        ],
        [
            ["Ingredient", "g"],
            ["Water phase"],
            ["Water", 70],
            ["Glycerin", 5],
            ["Subtotal", "=SUM(B3:B4)"],
            ["Oil phase"],
            ["Oil", 20],
            ["Wax", 5],
            ["Subtotal", "=SUM(B7:B8)"],
            ["Total", "=B5+B9"],
        ],
        [["Ingredient", "g"], ["Water", 70], ["Oil", 20], ["Subtotal", "=SUBTOTAL(9,B2:B3)"], ["Wax", 5], ["Honey", 5]]
        + [["Subtotal", "=SUBTOTAL(9,B5:B6)"], ["Total", "=SUBTOTAL(9,B2:B7)"]],
        [["Oils", "g"], ["Olive oil", 700], ["Coconut oil", 300], ["NaOH", 138], ["Water", 280], None]
        + [["Superfat", "=TC_SUPERFAT(A2:A3,B2:B3,B4)"]],
        [
            ["material", "pack", "unit", "price"],
            ["Water", 1, "gal", 1.2],
            ["Oil", 500, "g", 5],
            ["Ribbon", 25, "yd", 5],
        ],
        [["material", "pack", "price"], ["Water", "1 gal", 1.2], ["Oil", "16 fl oz", 5]],
        [["material", "price per kg"], ["Water", 1.2], ["Oil", 5]],
        [["item", "price"], ["Jar of cream", 18], ["Bath bomb", 6]],
        [["Lot", "g"], ["0012", "7"], ["0013", "x"]],
        [["Year", 2023, 2024], ["Sold", 120, 150], ["Made", 130, 160], ["Left", "=B3-B2", "=C3-C2"]],
        [["Ingredient", "g", "scaled"], ["Water", 70, ArrayFormula("C2:C3", "=TC_SCALE(B2:B3,500)")], ["Oil", 30]],
        [["x", "y"], [1, "=A2*2"], [2, "=A3*2"], [3, "=A4*2"], [4, "=SUM(B2:B4)"]],
        [["Tip", "=IFERROR(1/0,0)"]],
    ],
)
def test_clean_workbooks_give_no_finding(check, rows):
    report = check(rows)
    assert found(report) == []
    assert report.exit_status == 0
    assert "nothing found" in report.text()


def test_a_recipe_within_its_caps_gives_no_finding(check):
    recipe = [["Ingredient", "g"], ["Soda", 70], ["Acid", 27], ["Harbour Fig fragrance oil", 3]]
    assert found(check({"Bath bombs": recipe, "Caps": CAPS})) == []


# All but the workbook of function tests, which holds errors on purpose: they show what a wrong argument gives.
TEMPLATES = [
    path
    for path in sorted((Path(__file__).parents[2] / "workbook_templates").glob("*.xlsx"))
    if path.stem != "function_tests"
]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.stem)
def test_the_templates_give_no_finding(path):
    assert found(check_workbook(path)) == []


# -- errors and formulas -------------------------------------------------------------------------------------------


def test_an_error_is_told_once_with_its_reason_and_what_passes_it_on(check):
    report = check([["a", "=A9/A8"], ["b", "=B1+1"], ["c", "=SUM(B1:B2)"]])
    finding = only(report, "error-cell", "B1")
    assert "B2, B3 only pass it on" in finding.what
    assert "divided by 0" in finding.why


def test_the_reason_of_an_error_in_one_of_our_functions(check):
    report = check([["500", 500, 540], ["put back", "=TC_TOP_UP(B1,C1)"]])
    assert "40 g more than the target of 500 g: check the tare" in only(report, "error-cell", "B2").why


def test_stored_errors_that_computing_would_mend(tmp_path):
    path = tmp_path / "book.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("S")
    sheet.write_formula("A1", "=TC_TOP_UP(500,480)", None, "#NAME?")
    sheet.write_formula("A2", "=1/4", None, "#DIV/0!")
    book.close()
    report = check_workbook(path)
    assert found(report) == [("error-cell", "A1"), ("error-cell", "A2")]
    assert "did not know TC_TOP_UP" in report.findings[0].why
    assert "out of date" in report.findings[1].why


def test_a_function_of_another_version(check):
    report = check([["=TC_NOSUCH(1)"], ["=TC_SCAEL(A1:A3,5)"]])
    assert found(report) == [("unknown-function", "A1"), ("unknown-function", "A2")]
    assert "TC_SCALE" in report.findings[1].why


def test_a_function_and_a_name_that_nobody_knows(check):
    report = check([["=FROTH(1)"], ["=batch_size*2"], ["=known*2"], [4]], names={"known": "Sheet!$A$4"})
    assert found(report) == [("unknown-name", "A1"), ("unknown-name", "A2")]


def test_cells_that_cannot_be_computed_are_told_with_the_reason_and_not_called_names(check):
    report = check([["=A1+1"], ["=$A$1*2"], ["=A1"]])
    assert found(report) == []
    assert [note.partition(":")[0] for note in report.notes[1:]] == [
        f"Sheet!A{row} has no stored result and could not be computed here" for row in (1, 2, 3)
    ]
    assert "in a circle" in report.notes[1]


def test_of_many_cells_that_cannot_be_computed_the_first_are_told(check):
    notes = check([["=A1"], *[[f"=A{row}"] for row in range(1, 8)]]).notes
    assert len(notes) == 7 and notes[-1].startswith("3 more have no stored result")


def test_an_array_function_entered_as_an_ordinary_formula(check):
    report = check([["Ingredient", "g", "scaled"], ["Water", 70, "=TC_SCALE(B2:B3,500)"], ["Oil", 30]])
    assert "Ctrl+Shift+Enter" in only(report, "first-value-only", "C2").do


def test_an_array_function_inside_another_is_fine(check):
    assert found(check([[70, "=SUM(TC_SCALE(A1:A2,500))"], [30, "=INDEX(TC_SCALE(A1:A2,500),2)"]])) == []


def test_volatile_functions_are_told_once_a_sheet(check):
    report = check([["made", "=TODAY()"], ["again", "=TODAY()+1"]])
    assert "B1, B2" in only(report, "volatile", "B1").what


def test_another_file_that_formulas_read(tmp_path):
    path = write(tmp_path / "book.xlsx", {"S": [["x", "=[1]Prices!$A$1"]]})
    link = b"""<?xml version="1.0"?><externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"
        xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><externalBook r:id="rId1"/>
        </externalLink>"""
    where = b"""<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
        <Relationship Id="rId1" TargetMode="External" Target="prices%20old.xlsx" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath"/></Relationships>"""  # noqa: E501
    own = b"""<Relationship Id="rId99" Target="externalLinks/externalLink1.xml" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLink"/></Relationships>"""  # noqa: E501
    content = parts(path)
    rels = "xl/_rels/workbook.xml.rels"
    content[rels] = content[rels].replace(b"</Relationships>", own)
    content["xl/externalLinks/externalLink1.xml"] = link
    content["xl/externalLinks/_rels/externalLink1.xml.rels"] = where
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in content.items():
            archive.writestr(name, data)
    report = check_workbook(path)
    assert [f.rule for f in report.findings] == ["external-link"]
    assert "prices%20old.xlsx (in S!B1)" in report.findings[0].what


# -- numbers -------------------------------------------------------------------------------------------------------


def test_a_number_typed_over_a_formula(check):
    rows = [["Ingredient", "g", "cost"], ["Water", 70, "=B2*0.1"], ["Oil", 30, "=B3*0.1"], ["Wax", 30, 4]]
    report = check([*rows, ["Honey", 30, "=B5*0.1"], ["Salt", 30, "=B6*0.1"]])
    assert "number 4" in only(report, "typed-number", "C4").what


def test_a_number_typed_in_the_last_row_of_a_recipe(check):
    rows = [["Ingredient", "g", "double"], *([name, 30, f"=B{r}*2"] for r, name in enumerate("abc", 2))]
    only(check([*rows, ["d", 30, 61]]), "typed-number", "C5")


def test_numbers_stored_as_text(check):
    report = check([["Ingredient", "g"], ["Water", "70"], ["Oil", 30], ["Wax", "12,5"]])
    assert found(report) == [("text-number", "B2"), ("text-number", "B4")]


def test_a_text_number_where_a_formula_adds_up(check):
    only(check([["hours", 1], ["hours", "2"], ["hours", 3], ["all", "=SUM(B1:B3)"]]), "text-number", "B2")


# -- recipes -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "told"),
    [([68, 30], "98 %"), ([pct(0.7), pct(0.31)], "101 %"), ([66.6, 33.3], "99.9 %")],
)
def test_shares_that_do_not_add_up(check, values, told):
    report = check([["Ingredient", "%"], ["Water", values[0]], ["Oil", values[1]]])
    assert told in only(report, "shares", "B2:B3").what


def test_a_total_that_misses_a_row(check):
    report = check([["Ingredient", "g"], ["Water", 70], ["Oil", 30], ["Vitamin E", 2], ["Total", "=SUM(B2:B3)"]])
    finding = only(report, "total", "B5")
    assert "row 4 (Vitamin E)" in finding.what
    assert "B2:B4" in finding.do


def test_a_cost_total_that_misses_a_row(check):
    rows = [["Ingredient", "g", "Cost"], ["Water", 70, "=B2*2"], ["Oil", 30, "=B3*2"], ["Wax", 2, "=B4*2"]]
    only(check([*rows, ["Total", "=SUM(B2:B4)", "=SUM(C3:C4)"]]), "total", "C5")
    only(check([*rows, ["Total", None, "=SUM(C3:C4)"]]), "total", "C5")


def test_a_total_that_counts_rows_twice(check):
    rows = [["Ingredient", "g"], ["Water phase"], ["Water", 70], ["Glycerin", 5], ["Subtotal", "=SUM(B3:B4)"]]
    rows += [["Oil phase"], ["Oil", 20], ["Wax", 5], ["Subtotal", "=SUM(B7:B8)"], ["Total", "=SUM(B3:B9)"]]
    assert "rows 3, 4, 7, 8 twice" in only(check(rows), "total", "B10").what


def test_a_typed_total_that_is_wrong(check):
    report = check([["Ingredient", "g"], ["Water", 70], ["Oil", 30], ["Total", 110]])
    assert "add up to 100" in only(report, "total", "B4").what


def test_a_sum_that_stops_short_outside_a_recipe(check):
    rows = [["Labour"], ["mixing", 20], ["pouring", 15], ["wrapping", 25], ["all", "=SUM(B2:B3)"]]
    assert "stops before B4" in only(check(rows), "total", "B5").what


def test_units_mixed_in_one_column(check):
    rows = [["Ingredient", "Amount", "Unit"], ["Water", 70, "g"], ["Oil", 3, "oz"]]
    finding = only(check(rows), "mixed-units", "B2:B3")
    assert (finding.severity, "g in row 2, oz in row 3" in finding.what) == ("warning", True)
    finding = only(check([*rows, ["Total", "=SUM(B2:B3)"]]), "mixed-units", "B2:B3")
    assert (finding.severity, "SUM in B4" in finding.why) == ("error", True)


# -- caps ----------------------------------------------------------------------------------------------------------


def test_fragrance_over_its_cap_in_the_finished_product(check):
    recipe = [["Ingredient", "g"], ["Water", 70], ["Oil", 27], ["Harbour Fig", 3]]
    finding = only(check({"Body lotion": recipe, "Caps": CAPS}), "over-cap", "B4")
    assert "3 % of the finished product; its cap (5A) is 2.1 %" in finding.what
    assert finding.sheet == "Body lotion"


def test_the_cap_is_compared_with_the_finished_product_also_in_ounces(check):
    # 1 oz in 28.3495 oz of lotion and 28.349523125 g of it: 1/29.3495 = 3.4 %, above 2.1 %
    recipe = [["Ingredient", "Amount", "Unit", "g"], ["Water", 27.3495, "oz", '=TC_CONVERT(B2,C2,"g")']]
    recipe += [["Oil", 28.349523125, "g", '=TC_CONVERT(B3,C3,"g")'], ["Harbour Fig", 1, "oz", '=TC_CONVERT(B4,C4,"g")']]
    assert "3.407 %" in only(check({"Body lotion": recipe, "Caps": CAPS}), "over-cap", "B4").what


def test_a_category_in_the_sheet_decides(check):
    recipe = [["Ingredient", "g", None, "Category", 9], ["Soda", 97], ["Harbour Fig", 3]]
    assert found(check({"Batch 12": recipe, "Caps": CAPS})) == []
    recipe[0][4] = "5A"
    only(check({"Batch 12": recipe, "Caps": CAPS}), "over-cap", "B3")


def test_where_the_category_is_not_stated_the_report_says_so_and_does_not_guess(check):
    recipe = [["Ingredient", "g"], ["Soda", 97], ["Harbour Fig", 3]]
    report = check({"Batch 12": recipe, "Caps": CAPS})
    assert found(report) == []
    assert any("the sheet does not say which it is" in note for note in report.notes)


def test_a_few_additions_are_not_taken_for_a_whole_recipe(check):
    additions = [["addition", "g", "share of the finished batch"], ["Vitamin E", 2, pct(0.01)]]
    additions += [["Harbour Fig", 4, pct(0.02)]]
    assert found(check({"Body lotion": additions, "Caps": CAPS})) == []


def test_blank_and_impossible_caps(check):
    caps = [["fragrance", 4, "5A", 9], ["Fig", 9.4, "2.1%", pct(0.034)], ["Oat", pct(0.01), None, "none"]]
    report = check({"Caps": caps})
    assert sorted(found(report)) == [
        ("cap-blank", "C3"),
        ("cap-value", "B2"),
        ("cap-value", "D3"),
        ("text-number", "C2"),
    ]


def test_notes_below_a_caps_table_are_no_fragrances(check):
    caps = [["fragrance", "5A", 9], ["Fig", pct(0.02), pct(0.03)], None, ["ask for the new certificate in May"]]
    assert found(check({"Caps": caps})) == []


def test_a_category_without_any_cap_is_a_note(check):
    report = check({"Caps": [["fragrance", "5A", "5B"], ["Fig", pct(0.02), None], ["Oat", pct(0.01), None]]})
    assert found(report) == []
    assert any("5B" in note for note in report.notes)


def test_many_impossible_caps_are_told_together(check):
    caps = [["Fragrance", "Supplier", "5A", 9], ["Fig", "X", 2, 3], ["Oat", "Y", 1.5, 2.5]]
    assert "3 more caps" in only(check({"Caps": caps}), "cap-value", "C2").what


def test_a_share_over_the_cap_beside_it(check):
    rows = [["product", "share", "cap"], ["Lotion", pct(0.03), pct(0.021)], ["Bomb", pct(0.02), pct(0.034)]]
    only(check(rows), "over-cap", "B2")
    rows = [["Ingredient", "%", "Max %"], ["Water", 70, 100], ["Preservative", 2, 1.1], ["Oil", 28, 50]]
    only(check(rows), "over-cap", "B3")


def test_status_cells_of_our_functions(check):
    report = check([["=TC_CAP_STATUS(0.03,0.02)"], ["=TC_CAP_STATUS(0.01,0.02)"]])
    only(report, "over-cap", "A1")


# -- soap and prices -----------------------------------------------------------------------------------------------


def soap(lye):
    return [["Oils", "g"], ["Olive oil", 700], ["Coconut oil", 300], ["NaOH", lye], ["Water", 280]]


def test_lye_without_a_superfat(check):
    only(check(soap(138)), "no-superfat", "B4")
    report = check([["Oils", "g"], ["Olive oil", 700], ["Coconut oil", 300], None, ["Lye", "=TC_LYE(A2:A3,B2:B3)"]])
    only(report, "no-superfat", "B5")


def test_lye_below_the_table_of_fats(check):
    rows = [["Oils", "g"], ["Olive oil", 700], ["Coconut oil", 300], ["Total", "=SUM(B2:B3)"], None]
    only(check([*rows, ["Sodium hydroxide", 138]]), "no-superfat", "B6")
    only(check([*rows, ["Sodium hydroxide", 178], ["Superfat", "5%"]]), "lye-heavy", "B6")
    assert found(check([*rows, ["Sodium hydroxide", 138], ["Superfat", "5%"]])) == []


def test_more_lye_than_the_fats_can_take(check):
    # Needed at most: 700 g × 196 and 300 g × 265 mg KOH per g (Codex CXS 33 and 210) × 0.712889 / 1000 = 154.5 g NaOH
    finding = only(check([*soap(178), None, ["Superfat", "5%"]]), "lye-heavy", "B4")
    assert finding.severity == "error"


def test_prices_without_pack_size(check):
    rows = [["material", "pack", "unit", "price"], ["Water", 1, "gal", 1.2], ["Oil", None, "g", 5], ["Wax", 5, None, 9]]
    assert found(check(rows)) == [("price-without-pack", "B3"), ("price-without-pack", "B4")]
    only(check([["material", "price"], ["Water", 1.2], ["Oil", 5]]), "price-without-pack", "B1")


# -- the report ----------------------------------------------------------------------------------------------------


def test_the_json_has_a_stable_shape(check):
    report = check([["Ingredient", "%"], ["Water", 68], ["Oil", 30]])
    data = json.loads(report.as_json())
    assert list(data) == ["schema", "file", "status", "problem", "findings", "notes"]
    assert (data["schema"], data["file"], data["status"]) == ("tarecell-check-1", "book.xlsx", 1)
    assert list(data["findings"][0]) == ["rule", "severity", "sheet", "cell", "what", "why", "do"]


def test_a_file_that_cannot_be_read_gives_status_2_and_the_reason(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"PK\x03\x04 cut short")
    report = check_workbook(path)
    assert report.exit_status == 2
    assert "could not be read" in report.text()
    assert json.loads(report.as_json())["problem"]
    assert check_workbook(tmp_path / "none.xlsx").exit_status == 2


def test_damage_of_any_kind_gives_a_report_and_never_a_crash(tmp_path):
    rows = [["Ingredient", "g", "%"], ["Water", 70, "=B2/B4"], ["Oil", 30, "=B3/B4"], ["Total", "=SUM(B2:B3)"]]
    whole = write(tmp_path / "whole.xlsx", {"S": rows, "Caps": CAPS}, merged={"S": ["E1:F2"]})
    content, chance = parts(whole), random.Random(4)
    for number in range(40):
        name = chance.choice(sorted(n for n in content if n.startswith("xl/")))
        data = bytearray(content[name])
        for _ in range(chance.choice([1, 5, 20])):
            at = chance.randrange(len(data))
            data[at : at + chance.choice([0, 1, 20])] = chance.choice(
                [b"", b"<", b'"', b"ZZZZ9", b"-1", b"1e999", b"&"]
            )
        report = check_workbook(rewrite(whole, tmp_path / f"{number}.xlsx", {name: bytes(data)}))
        assert report.exit_status in (0, 1, 2)
        assert report.text() and json.loads(report.as_json())


def test_texts_from_the_workbook_are_harmless_in_a_terminal(check):
    rows = [["Ingredient", "g"], ["Water", 70], ["Oil", 30], ["W\u202ea\x9b31mx", 2], ["Total", "=SUM(B2:B3)"]]
    rows += [["bad", '=1/0&"\x9b\u202e"']]
    report = check({"S\u202e1": rows})
    assert report.findings
    for text in (report.text(), report.as_json()):
        assert not set("\u202e\x9b\x1b") & set(text)


def test_bold_and_formats_do_not_matter(check):
    rows = [[As("Ingredient", bold=True), As("g", bold=True)], ["Water", As(70, "0.00")], ["Oil", As(30, "0.00")]]
    assert found(check([*rows, [As("Total", bold=True), "=SUM(B2:B3)"]])) == []
