"""Suppliers' price lists into the register: what is read, guessed, refused and written."""

import datetime
import shutil
import zipfile
from importlib.resources import files

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.calculations.units import convert
from tarecell.errors import WrongValue
from tarecell.workbooks.prices import REGISTER, prices
from tarecell.workbooks.prices_columns import find_columns
from tarecell.workbooks.prices_file import read_sheets
from tarecell.workbooks.prices_register import HEADINGS
from tarecell.workbooks.prices_text import pack_in_name, pack_of, price_of
from tarecell.workbooks.problems import WorkbookProblem

TEMPLATE = files("tarecell.workbook_templates").joinpath(REGISTER)
FIRST = 7
HEAD = "Code,Product,Pack size,Price\n"


@pytest.fixture
def folder(tmp_path):
    shutil.copyfile(TEMPLATE, tmp_path / "register.xlsx")
    return tmp_path


def listed(folder, text, encoding="utf-8", **options):
    """The report on a CSV of that text, read for the folder's register, which is not written."""
    return into(folder, text, encoding, dry_run=True, **options)


def into(folder, text, encoding="utf-8", **options):
    """The report on a CSV of that text, put into a copy of the folder's register."""
    path = folder / "list.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return prices(path, folder / "register.xlsx", folder / "out.xlsx", **options)


def taken(report):
    return [(line.name, line.content, line.unit, line.price) for line in report.lines.taken]


def reasons(report):
    return [finding.reason for finding in report.lines.unreadable]


def price_rows(path, data_only=True):
    sheet = openpyxl.load_workbook(path, data_only=data_only)["Prices"]
    rows = sheet.iter_rows(min_row=FIRST, max_col=len(HEADINGS), values_only=True)
    return [row for row in rows if any(cell is not None for cell in row)]


# -- packs and prices as they are written ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, content, unit",
    [
        ("5 lb bag", 5, "lb"), ("12 x 4 oz", 48, "oz"), ("500g", 500, "g"), ("500 G", 500, "g"), ("2,5 kg", 2.5, "kg"),
        ("12×4oz jars", 48, "oz"), ("4 oz x 12", 48, "oz"), ("case of 6 x 1 L", 6, "L"),
        ("16 fl. oz. bottle", 16, "fl oz"),
        ("1 lb 4 oz", 1.25, "lb"), ("2 1/2 lb", 2.5, "lb"), ("½ kg", 0.5, "kg"), ("16-oz", 16, "oz"),
        ("1 US gal", 1, "gal"),
        ("box of 100", 100, "each"), ("12 pack", 12, "each"), ("50 pcs", 50, "each"), ("2 dozen", 2, "dozen"),
        ("16 oz (454 g)", 16, "oz"), ("1 lb / 454 g", 1, "lb"), ("1 ltr", 1, "L"), ("5 Kgs", 5, "kg"),
        ("25 yd roll", 25, "yd"),
        ("1,250.5 g", 1250.5, "g"), ("1 kg Beutel", 1, "kg"), ("3/4 lb", 0.75, "lb"),
    ],
)  # fmt: skip
def test_packs(text, content, unit):
    assert pack_of(text) == (pytest.approx(content), unit)


@pytest.mark.parametrize(
    "text, why",
    [
        ("1,250 g", "1.25 or 1250"), ("1.250 kg", "1.25 or 1250"), ("12", "without a unit"), ("5-10 kg", "range"),
        ("approx 500 g", "not an exact"), ("2 x 2 x 500 g", "more than once"), ("16 oz (500 g)", "do not agree"),
        ("500 gr", "gram or grain"), ("10 st", "stone or"), ("5 C", "temperature"), ("0 g", "no content"),
        ("500 g per box", "not one pack"), ("5 lb oz", "not one pack"), ("large", "cannot be read"), ("=1+1", "unit"),
        ("10 kg or 20 kg", "range"), ("1e3 g", "unit"), ("", "no amount"), ("-5 g", "negative"),
        ("9" * 400 + " g", "long"),
    ],
)  # fmt: skip
def test_packs_that_are_refused(text, why):
    with pytest.raises(WrongValue) as refused:
        pack_of(text)
    assert why in refused.value.reason


@pytest.mark.parametrize(
    "text, price",
    [
        ("12.50", 12.5), ("£12.50", 12.5), ("12,50 €", 12.5), ("EUR 12,50", 12.5), ("1,250.00", 1250),
        ("1.250,00", 1250),
        ("1 250,00", 1250), ("1'250.00", 1250), ("1,234,567", 1234567), ("12,-", 12), ("19,–", 19),
        ("$ 4", 4), ("0,125", 0.125),
        ("4\u00a0kr", 4),
    ],
)  # fmt: skip
def test_prices(text, price):
    assert price_of(text) == price


@pytest.mark.parametrize(
    "text, why",
    [
        ("1,250", "1.25 or 1250"), ("$1.250", "1.25 or 1250"), ("12.500", "12.5 or 12500"), ("POA", "no price"),
        ("12.50 per kg", "one plain price"), ("12-15", "one plain price"), ("-5", "negative"), ("(5.00)", "negative"),
        ("1,25,000", "check its points"), ("=2+3", "one plain price"), ("", "no price"), ("1e5", "one plain price"),
    ],
)  # fmt: skip
def test_prices_that_are_refused(text, why):
    with pytest.raises(WrongValue) as refused:
        price_of(text)
    assert why in refused.value.reason


@settings(max_examples=60, deadline=None)
@given(st.integers(min_value=1, max_value=99_999_999))
def test_every_price_with_two_decimals_is_read_in_both_habits(cents):
    english = f"{cents / 100:,.2f}"
    assert price_of(english) == price_of(english.translate(str.maketrans(",.", ".,"))) == cents / 100


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 999), st.integers(0, 999), st.sampled_from(",."))
def test_three_digits_after_one_mark_are_never_guessed(whole, rest, mark):
    text = f"{whole}{mark}{rest:03}"
    with pytest.raises(WrongValue, match="can be"):
        price_of(text)
    assert price_of(text, mark) == pytest.approx(float(f"{whole}.{rest:03}"))
    assert price_of(text, "." if mark == "," else ",") == whole * 1000 + rest


@pytest.mark.parametrize("decimal, price", [(".", 1250), (",", 1.25)])
def test_the_stated_decimal_mark_settles_it(folder, decimal, price):
    report = listed(folder, 'Product,Pack,Price\nMica,"1,250 g","1,250"\n', decimal=decimal)
    assert taken(report) == [("Mica", price, "g", price)]


def test_a_size_in_a_name_is_taken_only_where_it_must_be_the_pack():
    assert pack_in_name("Shea butter 500g") == (500, "g")
    assert pack_in_name("Citric acid, 5 lb bag") == (5, "lb")
    for name in ("Amber jar 4 oz", "Candle tin 8 oz", "Oil 1 L / 5 L", "Vitamin E", "Mica 30 g and 60 g"):
        with pytest.raises(WrongValue):
            pack_in_name(name)


# -- files -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_separators_and_encodings(folder, separator, encoding):
    text = separator.join(("Code", "Product", "Pack", "Price")) + "\r\n"
    text += separator.join(("7", "Crème Öl", "500 g", "£12.50")) + "\r\n"
    text += separator.join(("8", "Wax", "1 kg", "9.00")) + "\r\n"
    assert taken(listed(folder, text, encoding)) == [("Crème Öl", 500, "g", 12.5), ("Wax", 1, "kg", 9)]


def test_decimal_commas_between_semicolons_are_not_separators(folder):
    report = listed(folder, "Artikel;Gebinde;Preis\nSheabutter;1,5 kg;14,90\nBienenwachs;0,5 kg;8,20\nÖl;1 L;7,00\n")
    assert taken(report) == [("Sheabutter", 1.5, "kg", 14.9), ("Bienenwachs", 0.5, "kg", 8.2), ("Öl", 1, "L", 7)]


def test_the_separator_line_of_spreadsheets(folder):
    assert taken(listed(folder, "sep=;\nProduct;Pack;Price\nWax, white;1 kg;9.00\n")) == [("Wax, white", 1, "kg", 9)]


def test_quotes_line_breaks_and_stray_quotes(folder):
    report = listed(folder, HEAD + '1,"Oil, cold\npressed",1 L,7.5\n2,Mould 5" round,1 each,3.5\n')
    assert [line[0] for line in taken(report)] == ["Oil, cold pressed", 'Mould 5" round']
    stray = listed(folder, HEAD + '1,"Oil" cold,1 L,7.5\n2,Wax,1 kg,3.5\n')
    assert taken(stray)[-1] == ("Wax", 1, "kg", 3.5)


def test_an_article_number_keeps_its_zeros(folder):
    assert listed(folder, HEAD + "00120,Wax,1 kg,9\n").lines.taken[0].code == "00120"


def test_a_workbook_with_real_numbers_titles_and_a_hidden_sheet(folder):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Prices 2026"
    for row in (
        ["Harbour Supplies"], [], ["Item", "Weight (g)", "Price per kg", "Net price", "Note"],
        ["Shea butter", 1250, 11.9, 14.9, None], ["Waxes"], ["Beeswax", 0.5, None, 8.2, "new"],
        ["Cocoa butter", datetime.date(2026, 4, 12), None, 9, None], ["Mica", 30, None, True, None],
    ):  # fmt: skip
        sheet.append(row)
    old = book.create_sheet("Old")
    old.append(["Product", "Pack", "Unit", "Price", "Code", "Supplier"])
    old.append(["Shea butter", 1, "kg", 1.0, 5, "x"])
    old.sheet_state = "hidden"
    book.save(folder / "list.xlsx")
    report = prices(folder / "list.xlsx", dry_run=True)
    assert taken(report) == [("Shea butter", 1250, "g", 14.9), ("Beeswax", 0.5, "g", 8.2)]
    assert [finding.row for finding in report.lines.unreadable] == [7, 8]
    assert report.lines.passed_over == [5]
    assert report.columns.left == ["Price per kg", "Note"]


@pytest.mark.parametrize(
    "content, why",
    [
        (b"", "empty"), (b"\x00\x01\x02\x00" * 50, "neither"), (b"PK\x03\x04 broken", "damaged"),
        (b"\xd0\xcf\x11\xe0" + b"\x00" * 600, "workbook"), (b"hello\nworld\n", "no headings"),
        (b"a,b,c\n1,2,3\n", "no headings"), (b"\xff\xfea", "damaged"),
    ],
)  # fmt: skip
def test_files_that_are_no_price_list(folder, content, why):
    with pytest.raises(WorkbookProblem, match=why):
        listed(folder, content)
    assert not (folder / "out.xlsx").exists()


def test_files_that_are_not_there(folder):
    for path in (folder, folder / "none.csv"):
        with pytest.raises(WorkbookProblem):
            prices(path, folder / "register.xlsx")


# -- columns ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "headings, expected",
    [
        ("SKU|Item description|Size|Unit price|RRP", "code=0 name=1 pack=2 price=3"),
        ("Ref.|Désignation|Conditionnement|Prix HT (€)", "code=0 name=1 pack=2 price=3"),
        ("Código|Descripción|Envase|Precio", "code=0 name=1 pack=2 price=3"),
        ("Material|Qty|UOM|Price (GBP)|Carriage|Vendor", "name=0 pack=1 unit=2 price=3 freight=4 supplier=5"),
        ("Product|Price excl. VAT|Price incl. VAT|Pack", "name=0 price=1 pack=3"),
        ("Ingredient|Price per kg", "name=0 price=1"),
    ],
)
def test_columns_are_guessed(headings, expected):
    found = find_columns([headings.split("|")])
    assert {f"{name}={column}" for name, column in found.of.items()} == set(expected.split())


def test_a_price_per_kg_is_a_pack_of_one_kg(folder):
    report = listed(folder, "Ingredient,Price per kg\nShea butter,14.90\n")
    assert taken(report) == [("Shea butter", 1, "kg", 14.9)] and report.columns.per == "kg"


def test_unit_columns(folder):
    report = listed(folder, "Product,Pack,Unit,Price\nA,2,kg,5\nB,,each,6\nC,3,,7\nD,2,500 g,8\nE,12,4 oz,9\n")
    assert taken(report) == [("A", 2, "kg", 5), ("B", 1, "each", 6), ("D", 1000, "g", 8), ("E", 48, "oz", 9)]
    assert "of what" in reasons(report)[0]


def test_the_guess_can_be_overruled(folder):
    text = "Product,Pack,Price,Price A\nWax,1 kg,9.00,8.00\n"
    assert listed(folder, text).columns.heading("price") == "Price"
    assert taken(listed(folder, text, columns={"price": "price a"})) == [("Wax", 1, "kg", 8)]
    for wrong in ({"price": "Cost"}, {"colour": "Price"}):
        with pytest.raises(WorkbookProblem):
            listed(folder, text, columns=wrong)


# -- lines -----------------------------------------------------------------------------------------------------------


def test_what_cannot_be_read_is_listed_with_its_row(folder):
    rows = (
        '1,Wax,1 kg,"1,250"',
        "2,Oil,,5",
        "3,,1 kg,5",
        "4,Mica,30 g,",
        "5,Clay,1 kg,0",
        "6,Salt,1,kg,5",
        "7,Soda,1 kg,5",
    )
    report = listed(folder, HEAD + "\n".join(rows) + "\n")
    assert [finding.row for finding in report.lines.unreadable] == [2, 3, 4, 5, 6, 7]
    assert "1.25 or 1250" in reasons(report)[0] and "decimal mark" in reasons(report)[0]
    assert taken(report) == [("Soda", 1, "kg", 5)]
    assert "row 2, Wax" in report.text() and "cannot be read, not taken: 6" in report.text()


def test_lines_twice_are_taken_once_and_two_prices_for_one_thing_not_at_all(folder):
    report = listed(folder, HEAD + "1,Wax,1 kg,9\n1,wax,1000 g,9.00\n1,Wax,5 kg,40\n2,Oil,1 L,7\n2,Oil,1 L,8\n")
    assert [(x.row, x.content, x.unit) for x in report.lines.taken] == [(2, 1, "kg"), (4, 5, "kg")]
    assert [finding.row for finding in report.lines.duplicates] == [3, 6]
    assert "taken once" in report.lines.duplicates[0].reason and "none" in report.lines.duplicates[1].reason


# -- the register ----------------------------------------------------------------------------------------------------


def test_lines_go_into_the_first_free_rows_and_are_computed(folder):
    before = price_rows(folder / "register.xlsx")
    report = into(folder, HEAD + "1,shea BUTTER,5 lb,40\n", supplier="Harbour", day=datetime.date(2026, 10, 5))
    rows = price_rows(report.out)
    day = datetime.datetime(2026, 10, 5)
    assert rows[: len(before)] == before
    assert rows[len(before) :] == [("Shea butter", "shea BUTTER", "Harbour", "1", "5 lb", 5, "lb", 40, None, day)]
    sheet = openpyxl.load_workbook(report.out, data_only=True)["Prices"]
    assert sheet.cell(FIRST + len(before), 12).value == pytest.approx(40 / convert(5, "lb", "g"))
    assert report.written.matched == 1


@pytest.mark.parametrize("start", ["=1+1", "+49 oil", "-oil", "@SUM(A1)", '=HYPERLINK("http://x")', "\t=1", "'=1"])
def test_text_that_looks_like_a_formula_stays_text(folder, start):
    quoted = start.replace('"', '""')
    report = into(folder, f'{HEAD}"{quoted}","{quoted}",1 kg,5\n', supplier=start)
    sheet = openpyxl.load_workbook(report.out)["Prices"]
    row = FIRST + len(price_rows(folder / "register.xlsx"))
    for column, text in ((2, start.strip()), (4, start.strip()), (3, start)):
        cell = sheet.cell(row, column)
        assert (cell.value, cell.data_type) == (text, "s")
    assert formulas(report.out) == formulas(folder / "register.xlsx")


def formulas(path):
    with zipfile.ZipFile(path) as archive:
        return sum(archive.read(name).count(b"<f") for name in archive.namelist() if "worksheets/" in name)


def test_nothing_else_in_the_file_changes(folder):
    report = into(folder, HEAD + "1,Beeswax,1 kg,9\n")
    with zipfile.ZipFile(folder / "register.xlsx") as old, zipfile.ZipFile(report.out) as new:
        assert old.namelist() == new.namelist()
        changed = [name for name in old.namelist() if old.read(name) != new.read(name)]
    names = openpyxl.load_workbook(report.out).sheetnames
    assert changed == [f"xl/worksheets/sheet{names.index('Prices') + 1}.xml"]
    before, after = (openpyxl.load_workbook(p)["Prices"] for p in (folder / "register.xlsx", report.out))
    row = FIRST + len(price_rows(folder / "register.xlsx"))
    different = [c.coordinate for line in after for c in line if c.value != before[c.coordinate].value]
    assert {int(name.strip("ABCDEFGHIJ")) for name in different} == {row}
    assert all(after[name].style == "Input" for name in different)


def test_a_second_list_changes_prices_and_adds_no_line_twice(folder):
    first = into(folder, HEAD + "1,Wax,1 kg,9\n2,Oil,1 L,7\n", supplier="H")
    count = len(price_rows(first.out))
    shutil.copyfile(first.out, folder / "register.xlsx")
    second = into(folder, HEAD + "1,Wax,1000 g,9.50\n2,Oil,1 L,7\n3,Salt,1 kg,2\n", supplier="H")
    assert [(line.name, old) for line, old in second.written.changed] == [("Wax", 9)]
    assert ([x.name for x in second.written.same], [x.name for x in second.written.added]) == (["Oil"], ["Salt"])
    assert len(price_rows(second.out)) == count + 1
    assert "9 → 9.5" in second.text()


def test_a_dry_run_writes_nothing(folder):
    before = sorted(folder.iterdir())
    report = into(folder, HEAD + "1,Wax,1 kg,9\n", dry_run=True)
    assert sorted(folder.iterdir()) == sorted([*before, folder / "list.csv"])
    assert report.out is None and len(report.written.added) == 1
    assert "would be added" in report.text() and "nothing was written" in report.text()


def test_a_new_register_has_the_list_and_no_sample_prices(tmp_path):
    (tmp_path / "harbour.csv").write_text(HEAD + "1,Wax,1 kg,9\n", encoding="utf-8")
    report = prices(tmp_path / "harbour.csv")
    assert report.out == tmp_path / "harbour.prices.xlsx"
    assert [row[1:4] for row in price_rows(report.out)] == [("Wax", "harbour", "1")]
    with pytest.raises(WorkbookProblem, match="there already"):
        prices(tmp_path / "harbour.csv")


def test_in_place_keeps_a_backup(folder):
    (folder / "list.csv").write_text(HEAD + "1,Wax,1 kg,9\n", encoding="utf-8")
    old = (folder / "register.xlsx").read_bytes()
    report = prices(folder / "list.csv", folder / "register.xlsx", in_place=True)
    assert report.backup.read_bytes() == old and len(price_rows(folder / "register.xlsx")) == 4


def test_a_list_that_does_not_fit_is_not_written_in_part(folder):
    rows = "".join(f"{n},Wax {n},1 kg,9\n" for n in range(700))
    with pytest.raises(WorkbookProblem, match="do not fit"):
        into(folder, HEAD + rows)
    assert not (folder / "out.xlsx").exists()


def test_another_workbook_is_not_taken_for_a_register(folder):
    openpyxl.Workbook().save(folder / "register.xlsx")
    with pytest.raises(WorkbookProblem, match="no list of prices"):
        into(folder, HEAD + "1,Wax,1 kg,9\n")


def test_a_register_with_more_rows_above_and_columns_moved_is_understood(folder):
    book = openpyxl.load_workbook(folder / "register.xlsx")
    sheet = book["Prices"]
    for row in range(FIRST - 1, FIRST + 10):  # price and supplier change places
        left, right = sheet.cell(row, 3), sheet.cell(row, 8)
        left.value, right.value = right.value, left.value
    book.save(folder / "register.xlsx")
    report = into(folder, HEAD + "1,Wax,1 kg,9\n", supplier="H")
    row = price_rows(report.out)[-1]
    assert (row[2], row[7]) == (9, "H")


def test_the_lists_are_read_by_pandas_into_plain_cells(tmp_path):
    (tmp_path / "a.csv").write_text("a,b\n1, \nNA,nan\n", encoding="utf-8")
    assert read_sheets(tmp_path / "a.csv")[0].rows == [["a", "b"], ["1", None], ["NA", "nan"]]


def test_a_cell_in_the_far_corner_of_a_list(tmp_path):
    """The sheet is not read as seventeen thousand million cells; what is near is read as ever."""
    path = tmp_path / "list.xlsx"
    book = openpyxl.Workbook()
    for row in (["material", "pack", "unit", "price"], ["Wax", 1, "kg", 7.0]):
        book.active.append(row)
    book.active["XFD1048576"] = 1
    book.save(path)
    (sheet,) = read_sheets(path)
    assert sheet.rows == [["material", "pack", "unit", "price"], ["Wax", 1, "kg", 7]]
