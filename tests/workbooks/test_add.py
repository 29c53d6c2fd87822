"""A column or a block beside a recipe: the right formulas, the right numbers, and nothing else touched."""

import openpyxl
import pytest
import xlsxwriter
from openpyxl.styles import Border, Font
from tarecell.workbooks.add import added_name, plan_addition, write
from tarecell.workbooks.problems import WorkbookProblem
from workbooks.add_books import CAPS, EDGE, RECIPE, added, changed_parts, column, recipe

# 300 g, 2 oz (28.349523125 g each, Weights and Measures Act 1985) and 40 g
GRAMS = [300, 56.69904625, 40]
TOTAL = sum(GRAMS)


def test_a_scaled_column_with_grams_beside_units(tmp_path):
    plan, book, values = added(recipe(tmp_path), "scale", pieces=12, fill=50, loss="4%", step=0.1)
    sheet, shown = book["Cream"], values["Cream"]
    assert column(sheet, "E", 1, 5) == [
        "grams",
        '=IF(LEN(C2)=0,"",TC_CONVERT(C2,D2,"g"))',
        '=IF(LEN(C3)=0,"",TC_CONVERT(C3,D3,"g"))',
        '=IF(LEN(C4)=0,"",TC_CONVERT(C4,D4,"g"))',
        '=IF(LEN(C5)=0,"",TC_CONVERT(C5,D5,"g"))',
    ]
    assert sheet["F1"].value == "scaled (g)" and sheet["F2"].value.ref == "F2:F5"
    assert sheet["F2"].value.text == "=TC_SCALE($E$2:$E$5,$I$5,$I$6)"
    assert [(sheet[f"H{r}"].value, sheet[f"I{r}"].value) for r in range(1, 7)] == [
        ("scaled to", None),
        ("pieces", 12),
        ("fill (g)", 50),
        ("loss", 0.04),
        ("batch (g)", "=TC_BATCH($I$2,$I$3,$I$4)"),
        ("step (g)", 0.1),
    ]
    assert shown["I5"].value == 625  # 12 × 50 ÷ 0.96
    scaled = column(shown, "F", 2, 5)
    assert scaled[1] in (None, "") and column(shown, "E", 3, 3) in ([None], [""])
    numbers = [scaled[0], scaled[2], scaled[3]]
    assert sum(numbers) == pytest.approx(625, abs=1e-9)
    for value, grams in zip(numbers, GRAMS, strict=True):
        assert value == pytest.approx(grams / TOTAL * 625, abs=0.1)
    assert not plan.errors and not plan.overwrites


def test_to_a_weight_without_a_step_in_one_unit(tmp_path):
    rows = [["ingredient", "amount (oz)"], ["Wax", 3], ["Oil", 1]]
    _, book, values = added(recipe(tmp_path, rows), "scale", target="2 kg")
    assert book["Cream"]["C2"].value.text == "=TC_SCALE($B$2:$B$3,$F$2)"
    assert column(values["Cream"], "C", 2, 3) == [1500, 500] and values["Cream"]["F2"].value == 2000


def test_shares_are_shown_as_percentages(tmp_path):
    _, book, values = added(recipe(tmp_path), "shares")
    assert book["Cream"]["F2"].value.text == "=TC_SHARES($E$2:$E$5)" and book["Cream"]["F2"].number_format == "0.0%"
    found = [v for v in column(values["Cream"], "F", 2, 5) if v not in (None, "")]
    assert found == pytest.approx([g / TOTAL for g in GRAMS])


def test_written_amounts(tmp_path):
    rows = [["ingredient", "amount"], ["Water", "1 lb 4 oz"], ["Honey", "½ oz"], ["Oats", "10 g"]]
    _, book, values = added(recipe(tmp_path, rows), "shares")
    assert book["Cream"]["C2"].value == '=IF(LEN(B2)=0,"",TC_AMOUNT(B2,"g"))'
    grams = [20 * 28.349523125, 0.5 * 28.349523125, 10]
    assert column(values["Cream"], "C", 2, 4) == pytest.approx(grams)
    assert column(values["Cream"], "D", 2, 4) == pytest.approx([g / sum(grams) for g in grams])


def test_percentages_are_scaled_as_they_are(tmp_path):
    rows = [["ingredient", "%"], ["Water", 70], ["Oil", 30]]
    _, book, values = added(recipe(tmp_path, rows), "scale", target=500, step=1)
    assert book["Cream"]["C2"].value.text == "=TC_SCALE($B$2:$B$3,$F$2,$F$3)"
    assert column(values["Cream"], "C", 2, 3) == [350, 150]


def test_phase_headings_subtotals_and_totals(tmp_path):
    rows = [
        ["ingredient", "grams"],
        ["Water phase", None],
        ["Water", 80],
        ["Subtotal", "=SUM(B3:B3)"],
        ["Oil phase", None],
        ["Olive oil", 15],
        ["Wax", 5],
        ["Subtotal", "=SUM(B6:B7)"],
        ["Total", "=B4+B8"],
    ]
    plan, book, values = added(recipe(tmp_path, rows), "scale", target=250)
    sheet, shown = book["Cream"], values["Cream"]
    scaled = next(c for c in plan.cells if c.content.startswith("{="))
    letter, rows_ = scaled.address[0], scaled.address.replace(scaled.address[0], "").split(":")
    found = {row: shown[f"{letter}{row}"].value for row in range(int(rows_[0]), int(rows_[1]) + 1)}
    assert {row: v for row, v in found.items() if v not in (None, "")} == {3: 200, 6: 37.5, 7: 12.5}
    assert sheet[f"{letter}9"].value == f"=SUM({scaled.address})" and shown[f"{letter}9"].value == 250
    assert any("not counted: row" in note for note in plan.notes)


def test_rows_without_a_usable_amount_are_refused_or_left_out_by_name(tmp_path):
    rows = [*RECIPE, ["cool", "Lactic acid", "q.s.", None]]
    path = recipe(tmp_path, rows)
    with pytest.raises(WorkbookProblem, match=r"row 6, .*#VALUE!.*--leave-out 6"):
        plan_addition(path, "shares")
    plan, _, values = added(path, "shares", leave_out="6")
    assert "not counted: row 6" in plan.notes
    assert sum(v for v in column(values["Cream"], "F", 2, 6) if isinstance(v, float)) == pytest.approx(1)
    with pytest.raises(WorkbookProblem, match="row 40 cannot be left out"):
        plan_addition(path, "shares", leave_out="40")


def test_volumes_need_densities(tmp_path):
    rows = [["ingredient", "mL", "density"], ["Oil", 100, 0.9], ["Water", 50, 1.0]]
    path = recipe(tmp_path, rows)
    with pytest.raises(WorkbookProblem, match="volumes.*--densities"):
        plan_addition(path, "scale", target=500)
    _, book, values = added(path, "scale", target=280, densities="C2:C3")
    assert book["Cream"]["D2"].value == '=IF(LEN(B2)=0,"",TC_CONVERT(B2,"mL","g",C2))'
    assert column(values["Cream"], "E", 2, 3) == pytest.approx([180, 100])  # 90 : 50


def test_a_volume_among_weights_is_told_with_its_row(tmp_path):
    rows = [*RECIPE, ["oil", "Glycerin", 20, "mL"]]
    with pytest.raises(WorkbookProblem, match="row 6, .*#NUM!.*density"):
        plan_addition(recipe(tmp_path, rows), "scale", target=500)


def test_fragrance_against_its_cap(tmp_path):
    path = recipe(tmp_path, Caps=CAPS)
    plan, book, values = added(
        path, "fragrance", sheet="Cream", caps="Caps!A1:E3", fragrance="harbour fig", product="body cream", share="1.5%"
    )
    lines = {
        values["Cream"][f"G{r}"].value: (book["Cream"][f"H{r}"].value, values["Cream"][f"H{r}"].value)
        for r in range(2, 9)
    }
    batch = TOTAL / 0.985
    assert lines["batch (g)"][0] == "=SUM($E$2:$E$5)/(1-$H$4)" and lines["batch (g)"][1] == pytest.approx(batch)
    assert lines["cap"] == ("=TC_CAP(Caps!$A$1:$E$3,$H$2,$H$3)", 0.02)
    assert lines["amount (g)"][1] == pytest.approx(batch * 0.015)
    assert lines["status"][1] == "within" and lines["share"][1] == 0.015
    assert any("certificate" in text.lower() for text in plan.cautions) and "caution:" in str(plan)


@pytest.mark.parametrize(
    ("fragrance", "product", "share", "kind", "status"),
    [
        ("Harbour Fig", "body cream", "2.5%", "#NUM!", "over"),
        ("Harbour Fig", "5B", "0.1%", "#N/A", "not stated"),
        ("Still Pond", "5A", "0.1%", "#NUM!", "not allowed"),
    ],
)
def test_a_cap_that_is_exceeded_or_missing_is_an_error_and_told(tmp_path, fragrance, product, share, kind, status):
    path = recipe(tmp_path, Caps=CAPS)
    plan, _, values = added(
        path,
        "fragrance",
        sheet="Cream",
        caps="Caps!A1:E3",
        fragrance=fragrance,
        product=product,
        share=share,
        batch=500,
    )
    shown = {values["Cream"][f"F{r}"].value: values["Cream"][f"G{r}"].value for r in range(1, 9)}
    assert shown["amount (g)"] == kind and shown["status"] == status
    assert any(finding.kind == kind and finding.reason for finding in plan.errors)
    assert not any(cell.content.startswith("=IF(LEN(C") for cell in plan.cells)  # the batch is given: no grams needed


def test_fragrance_on_top_of_wax(tmp_path):
    rows = [["ingredient", "grams"], ["Soy wax", 460], ["Dye", 0.5]]
    path = recipe(tmp_path, rows, Caps=CAPS)
    _, book, values = added(
        path,
        "fragrance",
        sheet="Cream",
        caps="Caps!A1:E3",
        fragrance="Harbour Fig",
        product="9",
        share="3%",
        basis="wax",
        step=0.1,
    )
    shown = {values["Cream"][f"D{r}"].value: values["Cream"][f"E{r}"].value for r in range(1, 10)}
    assert shown["wax (g)"] == 460.5 and shown["amount (g)"] == pytest.approx(13.8) and shown["status"] == "within"
    with pytest.raises(WorkbookProblem, match="--basis"):
        plan_addition(
            path, "fragrance", caps="Caps!A1:E3", fragrance="Harbour Fig", product="9", share="3%", basis="top"
        )


def test_a_recipe_that_lists_its_fragrance_is_the_whole_batch(tmp_path):
    path = recipe(tmp_path, [*RECIPE, ["cool", "Fragrance", 8, "g"]], Caps=CAPS)
    plan, book, _ = added(
        path, "fragrance", sheet="Cream", caps="Caps!A1:E3", fragrance="Harbour Fig", product="9", share="2%"
    )
    assert any(c.content == "=SUM($E$2:$E$6)" for c in plan.cells)
    assert any("Fragrance” (row 6)" in note for note in plan.notes)


def test_the_look_of_the_neighbours_is_taken_over(tmp_path):
    _, book, _ = added(recipe(tmp_path), "scale", target=1000, step=0.01)
    sheet = book["Cream"]
    for new, old in (("F1", "D1"), ("F4", "D4"), ("E5", "D5"), ("H2", "D2")):
        for trait in ("fontId", "fillId", "borderId"):
            assert getattr(sheet[new]._style, trait) == getattr(sheet[old]._style, trait), (new, trait)
    assert sheet["F1"].font.b and sheet["F1"].fill.fgColor.rgb == "FFDDEEFF" and sheet["F2"].border.left.style == "thin"
    assert sheet["F2"].number_format == "#,##0.00" and sheet["D2"].number_format == "General"


def test_a_totals_row_looks_like_the_total_of_the_amounts(tmp_path):
    def change(book):
        for address in ("B4", "B5"):
            book["Cream"][address].font, book["Cream"][address].border = Font(italic=address == "B5"), Border(top=EDGE)
        del book["Cream"]._cells[3, 3]  # no remark in row 3: the amount beside it is the neighbour

    rows = [
        ["ingredient", "grams", "remark"],
        ["Water", 70, "hot"],
        ["Oil", 20, "x"],
        ["Wax", 10, "x"],
        ["Total", "=SUM(B2:B4)", None],
    ]
    plan, book, _ = added(recipe(tmp_path, rows, change), "shares")
    sheet = book["Cream"]
    assert sheet["D5"].font.i and not sheet["D4"].font.i and sheet["D5"].value == "=SUM(D2:D4)"
    assert [cell.style_of for cell in plan.cells] == ["C1", "C2", "B5"]
    assert sheet["D3"]._style.borderId == sheet["B3"]._style.borderId


def test_columns_are_made_wider_only_where_needed(tmp_path):
    def narrow(book):
        sheet = book["Cream"]
        sheet.column_dimensions["E"].width, sheet.column_dimensions["F"].width = 30, 4
        sheet.column_dimensions["B"].width = 22

    plan, book, _ = added(recipe(tmp_path, change=narrow), "shares")
    widths = {c: d.width for c, d in book["Cream"].column_dimensions.items()}
    assert widths["B"] == 22 and widths["E"] == 30 and widths["F"] > 4
    assert set(plan.widths) == {"F"}


def test_only_what_must_change_does(tmp_path):
    path = recipe(tmp_path, Notes=[["keep me"]])
    plan, _, _ = added(path, "scale", target=1000)
    assert changed_parts(path, path.with_name("out.xlsx")) == {"xl/worksheets/sheet1.xml", "xl/styles.xml"}


def test_ranges_named_by_the_user(tmp_path):
    rows = [["x", "y", "z", "w"], *RECIPE[1:], [None, None, "=SUM(C2:C5)", None]]
    path = recipe(tmp_path, rows)
    plan, book, values = added(
        path, "scale", target=500, sheet="cream", amounts="C2:C5", names="B2:B5", units="$D$2:$D$5", phases="A2:A5"
    )
    assert book["Cream"]["F2"].value.text == "=TC_SCALE($E$2:$E$5,$I$2)"
    assert values["Cream"]["F6"].value == pytest.approx(500)  # the row below adds up, so the new columns do too
    one = plan_addition(path, "shares", amounts="Cream!C4:C5", unit="g")
    assert "{=TC_SHARES($C$4:$C$5)}" in [cell.content for cell in one.cells]


@pytest.mark.parametrize(
    ("options", "reason"),
    [
        ({"amounts": "C2:D5"}, "one column"),
        ({"amounts": "C2:C5", "units": "D2:D4"}, "its rows are not those"),
        ({"amounts": "C2:C5", "names": "Other!B2:B5"}, "no sheet|one sheet"),
        ({"amounts": "C2:C5", "sheet": "Creme"}, "no sheet “Creme”.*Cream"),
        ({"amounts": "what"}, "a range such as"),
        ({"amounts": "[2]Cream!C2:C5"}, "a range such as"),
        ({"amounts": "K2:K5"}, "empty"),
        ({"recipe": "soap"}, "no recipe table"),
        ({"unit": "g"}, "have units already"),
        ({"unit": "blob"}, "--unit"),
        ({"leave_out": "two"}, "numbers of the rows"),
        ({"at": "C2"}, "belongs to the recipe"),
        ({"at": "what now"}, "not the address"),
        ({"target": 5}, "--target has no meaning"),
        ({"sise": 5}, "no option sise"),
    ],
)
def test_options_that_cannot_be_followed(tmp_path, options, reason):
    with pytest.raises(WorkbookProblem, match=reason):
        plan_addition(recipe(tmp_path), "shares", **options)


@pytest.mark.parametrize(
    ("options", "reason"),
    [
        ({}, "scale to what"),
        ({"pieces": 3}, "go together"),
        ({"target": 100, "pieces": 3}, "not both"),
        ({"target": 100, "loss": "4%"}, "goes with"),
        ({"target": "heavy"}, "--target"),
        ({"target": -5}, "above 0"),
        ({"target": "1,250 g"}, "--target"),
        ({"pieces": 12, "fill": 50, "loss": 4}, "--loss 4: .*type 4%"),
        ({"pieces": "a dozen", "fill": 50}, "--pieces a dozen"),
        ({"target": 100, "step": 50}, "TC_SCALE.*#NUM!|would be #NUM!"),
    ],
)
def test_weights_that_cannot_be_scaled_to(tmp_path, options, reason):
    with pytest.raises(WorkbookProblem, match=reason):
        plan_addition(recipe(tmp_path), "scale", **options)


def test_several_recipes_are_listed_and_chosen(tmp_path):
    path = recipe(tmp_path, Soap=RECIPE)
    with pytest.raises(WorkbookProblem, match="--recipe.*1: .*Cream!A1.*2: .*Soap!A1"):
        plan_addition(path, "shares")
    assert plan_addition(path, "shares", recipe="2").sheet == "Soap"
    assert plan_addition(path, "shares", sheet="SOAP").sheet == "Soap"


def test_the_dry_run_writes_nothing_and_says_all(tmp_path):
    path = recipe(tmp_path)
    before = path.read_bytes(), sorted(tmp_path.iterdir())
    text = str(plan_addition(path, "scale", pieces=12, fill=50))
    assert (path.read_bytes(), sorted(tmp_path.iterdir())) == before
    for part in ("{=TC_SCALE($E$2:$E$5,$I$5)}", "F2:F5", "[#,##0.0]", "looks like D1", "scaled (g)", "→  600"):
        assert part in text
    assert all(ord(c) >= 32 or c == "\n" for c in text)


def test_the_new_file_and_the_one_in_place(tmp_path):
    path = recipe(tmp_path)
    plan = plan_addition(path, "shares")
    assert added_name(plan).name == "recipe.shares.xlsx"
    assert write(plan).out.name == "recipe.shares.xlsx" and added_name(plan).name == "recipe.shares-2.xlsx"
    with pytest.raises(WorkbookProblem, match="is the input itself"):
        write(plan, path)
    with pytest.raises(WorkbookProblem, match="same kind"):
        write(plan, tmp_path / "other.xlsm")
    old = path.read_bytes()
    done = write(plan, in_place=True)
    assert done.backup.read_bytes() == old and openpyxl.load_workbook(path)["Cream"]["F1"].value == "share"
    with pytest.raises(WorkbookProblem, match="changed by another program"):
        write(plan, in_place=True)


def test_what_cannot_be_computed_here_is_told_and_left_for_the_program(tmp_path):
    path = tmp_path / "linked.xlsx"
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Cream")
    for row, (name, grams) in enumerate([("ingredient", "grams"), ("Water", "='[1]Other'!A1"), ("Oil", 30)]):
        sheet.write(row, 0, name)
        sheet.write_formula(row, 1, grams, None, 70) if row == 1 else sheet.write(row, 1, grams)
    book.close()
    plan, formulas, values = added(path, "shares")
    assert formulas["Cream"]["C2"].value.text == "=TC_SHARES($B$2:$B$3)" and values["Cream"]["C2"].value is None
    assert "left: Cream!C2: not computed here (it depends on B2" in str(plan) and values["Cream"]["B2"].value == 70
