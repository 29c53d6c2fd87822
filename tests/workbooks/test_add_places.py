"""Where new cells go: never over, under or into what is there already."""

import openpyxl
import pytest
import xlsxwriter
from openpyxl.comments import Comment
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula
from tarecell.workbooks.add import plan_addition, write
from tarecell.workbooks.add.widths import widened
from tarecell.workbooks.package import Package
from tarecell.workbooks.problems import WorkbookProblem
from tarecell.workbooks.sheet_map import sheet_map
from workbooks.add_books import added, recipe
from workbooks.rich import macros, picture

GRAMS = [["ingredient", "grams"], ["Water", 70], ["Oil", 20], ["Wax", 10]]


def _share_column(path, **options):
    """The column of the shares that would be added."""
    plan = plan_addition(path, "shares", **options)
    return next(cell.address.split(":")[0].rstrip("0123456789") for cell in plan.cells if cell.content.startswith("{="))


def _validation(book):
    rule = DataValidation("list", formula1='"yes,no"')
    rule.add("C2:C10")
    book["Cream"].add_data_validation(rule)


def _note(book):
    book["Cream"]["C4"] = "lost 15 g while heating"


def _comment(book):
    book["Cream"]["C3"].comment = Comment("ask the supplier", "me")


def _hidden(book):
    book["Cream"].column_dimensions["C"].hidden = True


def _merged(book):
    book["Cream"].merge_cells("C2:C4")


def _array(book):
    book["Cream"]["C2"] = ArrayFormula("C2:C9", "=ROW(C2:C9)")


def _read_elsewhere(book):
    book.create_sheet("Sums")["A1"] = "=SUM(Cream!B2:C4)"


@pytest.mark.parametrize("change", [_validation, _note, _comment, _hidden, _merged, _array, _read_elsewhere])
def test_a_column_where_something_is_stays_as_it_is(tmp_path, change):
    path = recipe(tmp_path, GRAMS, change)
    assert _share_column(recipe(tmp_path, GRAMS, name="free.xlsx")) == "C"
    assert _share_column(path) == "D"


def test_a_link_on_an_empty_cell_stays_alone(tmp_path):
    path = recipe(tmp_path, GRAMS)
    package = Package.open(path)
    part = package.sheets[0].part
    link = b'<hyperlinks><hyperlink ref="C2" location="Cream!A1"/></hyperlinks><pageMargins'
    package.write(tmp_path / "link.xlsx", {part: package.read(part).replace(b"<pageMargins", link)})
    assert _share_column(tmp_path / "link.xlsx") == "D"


def test_notes_below_the_recipe_do_not_block(tmp_path):
    def change(book):
        book["Cream"]["C9"] = "far below"

    assert _share_column(recipe(tmp_path, GRAMS, change)) == "C"


def test_the_block_is_put_where_it_fits_as_a_whole(tmp_path):
    def change(book):
        book["Cream"]["F5"] = "a note"

    plan = plan_addition(recipe(tmp_path, GRAMS, change), "scale", pieces=3, fill=40, step=1)
    block = [cell.address for cell in plan.cells if cell.content in ("pieces", "batch (g)", "step (g)")]
    assert block == ["G2", "G5", "G6"]


def _book_with(path, draw, recipe_rows=GRAMS, options=None):
    """An XlsxWriter workbook with a recipe, and what `draw(book, sheet)` puts on its sheet."""
    book = xlsxwriter.Workbook(str(path), options or {})
    sheet = book.add_worksheet("Cream")
    for row, cells in enumerate(recipe_rows):
        sheet.write_row(row, 0, cells)
    draw(book, sheet)
    book.close()
    return path


def _chart(book, sheet):
    chart = book.add_chart({"type": "pie"})
    chart.add_series({"values": "=Cream!$B$2:$B$4"})
    sheet.insert_chart("C2", chart)  # 480 × 288 pixels: C to J


DRAWN = {
    "a picture": lambda book, sheet: sheet.insert_image(
        "C3", "dot.png", {"image_data": picture(), "x_scale": 20, "y_scale": 9}
    ),
    "a text box": lambda book, sheet: sheet.insert_textbox("C2", "turn the pot", {"width": 60, "height": 60}),
    "a chart": _chart,
    "a button": lambda book, sheet: sheet.insert_button("C2", {"caption": "weigh"}),
    "a checkbox in a cell": lambda book, sheet: sheet.insert_checkbox("C2", False),
    "a sparkline": lambda book, sheet: sheet.add_sparkline("C2", {"range": "B2:B4"}),
    "a table": lambda book, sheet: sheet.add_table("C1:C4", {"name": "Own"}),
    "a spilled range": lambda book, sheet: sheet.write_dynamic_array_formula("C2:C4", "=SEQUENCE(3)"),
}


@pytest.mark.parametrize("what", DRAWN)
def test_nothing_new_hides_under_what_is_drawn(tmp_path, what):
    column = _share_column(_book_with(tmp_path / "drawn.xlsx", DRAWN[what]))
    assert column > "C"
    if what == "a chart":
        assert column >= "K"


def test_a_button_of_a_macro_workbook(tmp_path):
    def draw(book, sheet):
        import io

        book.add_vba_project(io.BytesIO(macros()), is_stream=True)
        sheet.insert_button("C2", {"macro": "SampleCall", "caption": "press"})

    assert _share_column(_book_with(tmp_path / "macro.xlsm", draw)) == "D"


def test_a_recipe_that_is_a_table_gets_its_column_beside_it(tmp_path):
    def draw(book, sheet):
        headings = [{"header": "ingredient"}, {"header": "grams"}]
        sheet.add_table("A1:B4", {"name": "Balm", "data": GRAMS[1:], "columns": headings})

    path = _book_with(tmp_path / "table.xlsx", draw)
    plan, book, values = added(path, "shares")
    assert book["Cream"]["C2"].value.text == "=TC_SHARES($B$2:$B$4)" and values["Cream"]["C2"].value == 0.7
    assert book["Cream"].tables["Balm"].ref == "A1:B4"
    assert any("the table “Balm” holds the recipe" in note for note in plan.notes)
    with pytest.raises(WorkbookProblem, match="belongs to the recipe|the table “Balm”"):
        plan_addition(path, "shares", at="B1")


def test_the_place_that_the_user_names(tmp_path):
    path = recipe(tmp_path, GRAMS)
    assert _share_column(path, at="H1") == _share_column(path, at="h") == "H"
    caps = recipe(tmp_path, GRAMS, name="caps.xlsx", Caps=[["f", 9], ["Fig", 0.02]])
    plan = plan_addition(
        caps, "fragrance", sheet="Cream", caps="Caps!A1:B2", fragrance="Fig", product="9", share="1%", at="D12"
    )
    assert [c.address for c in plan.cells][:2] == ["D12", "D13"]


def test_what_is_there_is_overwritten_only_when_that_is_said(tmp_path):
    def change(book):
        book["Cream"]["C3"] = "a note"
        book["Cream"]["E1"] = "=LEN(C3)&C2"

    path = recipe(tmp_path, GRAMS, change)
    plan = plan_addition(path, "shares", at="C1")
    assert "OVERWRITES" in str(plan) and "C3 is not empty" in str(plan) and "E1 reads it" in str(plan)
    with pytest.raises(WorkbookProblem, match=r"nothing was written.*C3 is not empty.*--replace"):
        write(plan, tmp_path / "no.xlsx")
    assert not (tmp_path / "no.xlsx").exists()
    write(plan, tmp_path / "yes.xlsx", replace=True)
    values = openpyxl.load_workbook(tmp_path / "yes.xlsx", data_only=True)["Cream"]
    assert [values[f"C{r}"].value for r in range(1, 5)] == ["share", 0.7, 0.2, 0.1]
    assert values["E1"].value == "30.7"  # the older formula shows what it gives now


def test_a_column_added_earlier_can_be_replaced_as_a_whole(tmp_path):
    path = recipe(tmp_path, GRAMS)
    write(plan_addition(path, "shares"), tmp_path / "once.xlsx")
    plan = plan_addition(tmp_path / "once.xlsx", "shares", amounts="Cream!B2:B4", at="C1")
    write(plan, tmp_path / "twice.xlsx", replace=True)
    assert openpyxl.load_workbook(tmp_path / "twice.xlsx")["Cream"]["C2"].value.ref == "C2:C4"
    with pytest.raises(WorkbookProblem, match="C2 belongs to the array formula"):
        plan_addition(tmp_path / "once.xlsx", "scale", amounts="Cream!B2:B3", target=9, at="C1")


@pytest.mark.parametrize(("change", "reason"), [(_merged, "merged cells"), (_validation, "a rule for what may")])
def test_some_places_are_refused_even_then(tmp_path, change, reason):
    with pytest.raises(WorkbookProblem, match=f"C2 cannot be written to: {reason}"):
        plan_addition(recipe(tmp_path, GRAMS, change), "shares", at="C1")


def test_a_part_of_an_array_formula_is_never_overwritten(tmp_path):
    path = recipe(tmp_path, GRAMS, _array)
    with pytest.raises(WorkbookProblem, match="belongs to the array formula in C2"):
        plan_addition(path, "shares", at="C1")


def test_a_cell_whose_formula_others_share_is_never_overwritten(tmp_path):
    path = recipe(tmp_path, GRAMS)
    package = Package.open(path)
    part = package.sheets[0].part
    xml = package.read(part)
    for row in (2, 3, 4):
        formula = b'<f t="shared" ref="C2:C4" si="0">B2*2</f>' if row == 2 else b'<f t="shared" si="0"/>'
        at = xml.index(b"</row>", xml.index(b'<row r="%d"' % row))
        xml = xml[:at] + b'<c r="C%d">%s<v>1</v></c>' % (row, formula) + xml[at:]
    package.write(tmp_path / "shared.xlsx", {part: xml})
    with pytest.raises(WorkbookProblem, match="C2 holds the formula that other cells share"):
        plan_addition(tmp_path / "shared.xlsx", "shares", at="C1")
    assert _share_column(tmp_path / "shared.xlsx") == "D"


def test_text_that_will_be_cut_off_is_told(tmp_path):
    rows = [
        ["ingredient", "grams", "remark"],
        ["Water", 70, "boiled, and left to stand until it is cool"],
        ["Oil", 30, None],
    ]
    plan = plan_addition(recipe(tmp_path, rows), "shares")
    assert any("C2" in note and "cut off" in note for note in plan.notes)


def test_no_room_to_the_right(tmp_path):
    def change(book):
        book.create_sheet("Sums")["A1"] = "=SUM(Cream!2:2)"

    path = recipe(tmp_path, GRAMS, change)
    with pytest.raises(WorkbookProblem, match="no free column.*Sums!A1 reads it.*--at"):
        plan_addition(path, "shares")
    assert plan_addition(path, "shares", at="F1").overwrites


# -- widths ----------------------------------------------------------------------------------------------------------

SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">%s<sheetData/></worksheet>'


@pytest.mark.parametrize(
    ("cols", "new"),
    [
        (b"", b'<cols><col min="6" max="6" width="12.5" customWidth="1"/></cols>'),
        (b"<cols/>", b'<cols><col min="6" max="6" width="12.5" customWidth="1"/></cols>'),
        (
            b'<cols><col min="1" max="2" width="9"/><col min="8" max="9" width="3"/></cols>',
            b'<cols><col min="1" max="2" width="9"/><col min="6" max="6" width="12.5" customWidth="1"/>'
            b'<col min="8" max="9" width="3"/></cols>',
        ),
        (
            b'<cols><col min="4" max="16384" width="3.5" style="2" customWidth="1"/></cols>',
            b'<cols><col min="4" max="5" width="3.5" style="2" customWidth="1"/>'
            b'<col min="6" max="6" width="12.5" style="2" customWidth="1"/>'
            b'<col min="7" max="16384" width="3.5" style="2" customWidth="1"/></cols>',
        ),
        (
            b"<cols><col width='3' max='6' min='6'></col></cols>",
            b"""<cols><col width="12.5" max="6" min="6" customWidth="1"/></cols>""",
        ),
    ],
)
def test_one_column_is_widened_and_the_others_keep_their_bytes(cols, new):
    xml = widened(sheet_map(SHEET % cols), {6: 12.5})
    assert xml == SHEET % new


def test_prefixed_columns_are_widened_too():
    xml = (SHEET % b'<cols><col min="6" max="6" width="3"/></cols>').replace(b"</", b"</x:").replace(b"<", b"<x:")
    xml = xml.replace(b"<x:/x:", b"</x:").replace(b"xmlns=", b"xmlns:x=")
    assert b'<x:cols><x:col min="6" max="6" width="9" customWidth="1"/></x:cols>' in widened(sheet_map(xml), {6: 9})
