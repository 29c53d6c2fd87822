"""Builds fragrance_register.xlsx: the caps of every fragrance by category, its certificate, and the caps of a set.

python workbook_templates/fragrance_register.py
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter
from tarecell.functions import REGISTRY
from tarecell.tables import rows
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, FINE_SHARE, WHOLE, put, take
from tarecell.workbooks.recalculate import Report

CERTIFICATES, CAPS, SET, COMPARE = "Certificates", "Caps", "Set", "Compare"
FIRST, LAST = 12, 26  # the fragrances on Certificates; on Caps and Compare they stand 6 rows higher
CAP_FIRST, CAP_LAST = 6, 20
PIECES = (11, 22)  # the products of the set
CATEGORIES = (
    (1, "lips"), (2, "armpits, body spray"), (3, "face, by fingertip"), (4, "fine fragrance"), ("5A", "body, left on"),
    ("5B", "face, left on"), ("5C", "hands, left on"), ("5D", "baby"), (6, "mouth"), ("7A", "hair, rinsed"),
    ("7B", "hair, left on"), (8, "intimate, wipes"), (9, "body, rinsed"), ("10A", "the home"),
    ("10B", "home, sprayed"), ("11A", "small transfer, A"), ("11B", "small transfer, B"), (12, "candles, no skin"),
)  # fmt: skip
END = get_column_letter(len(CATEGORIES) + 1)
TABLE = f"{CAPS}!$A${CAP_FIRST - 1}:${END}${CAP_LAST}"
SETTLED = "settings_fit"


@dataclass(frozen=True)
class Data:
    """What is typed in. Settings: checked on, oldest and newest amendment, months a certificate is good for.
    Fragrances: name, supplier, date, amendment, caps by category. Set: product type, share, own limit."""

    title: str
    checked: date
    oldest: int
    newest: int
    months: int
    fragrances: tuple[tuple[str, str, date, int, dict], ...]
    chosen: str
    products: tuple[tuple, ...]


def _sample(body: float, rinsed: float) -> dict:
    """Invented caps in proportions that certificates often have: small on lips and babies, large where it is rinsed."""
    parts = {"1": 0.1, "2": 0.3, "3": 0.2, "4": 1.5, "5A": 1, "5B": 0.5, "5C": 0.6, "5D": 0.1, "7B": 0.5}
    caps = {code: round(body * part, 4) for code, part in parts.items()}
    return {**caps, "9": rinsed, "10A": rinsed, "10B": rinsed, "12": "no restriction"}


TEMPLATE_DATA = Data(
    "Fragrance register",
    date(2026, 3, 1),
    49,
    51,
    36,
    (
        ("Sample scent A", "sample supplier", date(2026, 1, 15), 51, _sample(0.02, 0.034)),
        ("Sample scent B", "sample supplier", date(2022, 5, 3), 49, _sample(0.012, 0.02)),
        ("Sample scent C", "another supplier", date(2025, 9, 30), 51, _sample(0.035, 0.05)),
    ),
    "Sample scent A",
    (("body cream", 0.012, None), ("bath bomb", 0.02, 0.025), ("bar soap", 0.03, None), ("candle", 0.074, 0.1)),
)
ABOUT = (
    "Keeps every fragrance with its certificate: date, amendment of the IFRA Standards, and its cap in each category.",
    "Flags in words what is blank, cannot be read, is older than you allow, or comes before the 49th Amendment.",
    "Takes the products of a set and gives the strictest cap for all of them, for one fragrance and for all you have.",
    "Holds the share you mean to use against the cap of each product, and against a lower limit of your own.",
    "Never change: the codes above the caps (1 to 12), the white cells with formulas, the names of the sheets.",
)
CAUTIONS = (
    REGISTRY["TC_CAP"].cautions,
    "Type every cap from the certificate of this very fragrance and supplier; a new recipe of it has a new one.",
    "A cap keeps to the IFRA Standards only. It makes no product safe by itself: local rules, a safety assessor where "
    "your market asks for one, and the supplier's documents come first. For babies: the lowest caps, or no scent.",
)
SOURCES = (
    "Categories: IFRA Standards, 49th Amendment on; each product type by TC_SOURCE (some placements from memory).",
    f"Caps: {REGISTRY['TC_CAP'].source}.",
    "How long a certificate is good for: common practice, no published source; ask for a new one with every amendment.",
)


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, ABOUT, CAUTIONS, SOURCES)
    _certificates(book, data)
    _caps(book, data)
    _set(book, data)
    _compare(book)
    paper.lists(
        book, products=[r["product"] for r in rows("product_types") if r["category"]], words=("no restriction",)
    )
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise ValueError(f"{path.name}: {(report.errors + report.left_alone)[:3]}")
    return report


def _certificates(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book, CERTIFICATES, data.title, "One row for each fragrance. Its caps go on the sheet Caps.",
        (35, 24, 12, 12, 11, 62, 24),
    )  # fmt: skip
    settings = (
        (4, "checked on", data.checked, DAY, "The day on which you look this over. No clock is read: type it anew."),
        (5, "oldest amendment used", data.oldest, WHOLE, "49 or later: older certificates use other categories."),
        (
            6,
            "newest amendment known",
            data.newest,
            WHOLE,
            "The latest amendment of the IFRA Standards that you know of.",
        ),
        (
            7,
            "a certificate is good for, months",
            data.months,
            WHOLE,
            "After so many months you want a new one. 1 to 600.",
        ),
    )
    for row, label, value, form, note in settings:
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, form, note)
    fit = (
        "AND(ISNUMBER(B4),B4>=36526,B4<73051,ISNUMBER(B5),B5>=49,ISNUMBER(B6),B6>=B5,B6<1000,"
        "ISNUMBER(B7),B7>=1,B7<=600)"
    )
    put(
        sheet, "A8",
        f'=IF({fit},"settings fit","SETTINGS DO NOT FIT: a date, 49 or more, a newest amendment not before it, '
        '1 to 600 months. Until then nothing is judged.")', None, paper.STRONG,
    )  # fmt: skip
    put(sheet, "H8", f"={fit}").font = paper.UNDER
    put(sheet, "H7", "for the formulas", None, paper.UNDER)
    paper.flag(sheet, "A8:F8", 'LEFT($A$8,15)="SETTINGS DO NOT"')
    for name, cell in (("checked_on", "B4"), ("oldest_amendment", "B5"), ("newest_amendment", "B6"), (SETTLED, "H8")):
        paper.define(book, name, sheet, cell)
    put(sheet, "A9", "Dates as your spreadsheet takes them; shown as year-month-day.", None, paper.UNDER)
    paper.headings(
        sheet, FIRST - 1, "fragrance", "supplier", "certificate of", "amendment", "caps used", "certificate", "caps"
    )
    sheet.row_dimensions[FIRST - 1].height = 20
    paper.block(
        sheet, f"A{FIRST}", LAST, data.fragrances, (None, None, DAY, WHOLE),
        ("The fragrance as you call it, once.", "Who sold it.", "Date of its IFRA certificate.",
         "Number of the amendment that the certificate names: 49, 50, 51. Blank: its caps are not used."),
    )  # fmt: skip
    for row in range(FIRST, LAST + 1):
        _judge(sheet, row)
    paper.define(book, "fragrance_names", sheet, f"A{FIRST}:A{LAST}")
    paper.flag(sheet, f"E{FIRST}:F{LAST}", f'AND($F{FIRST}<>"",$F{FIRST}<>"current")')
    paper.flag(sheet, f"G{FIRST}:G{LAST}", f'AND($G{FIRST}<>"",$G{FIRST}<>"all stated")')
    sheet.freeze_panes = f"B{FIRST}"
    paper.close(sheet, f"A1:G{LAST}", f"{FIRST - 1}:{FIRST - 1}")


def _judge(sheet, row: int) -> None:
    """What is to be said of one certificate: whether its caps are used, its age, and what is missing."""
    name, issued, amendment = f"A{row}", f"C{row}", f"D{row}"
    known = f"AND({amendment}>=oldest_amendment,{amendment}<=newest_amendment,{amendment}=INT({amendment}))"
    used = f'IF(OR({name}="",NOT(ISNUMBER({amendment}))),"no",IF({known},"yes","no"))'
    words = (
        f'IF({name}="","NO NAME: type it, or clear the row",'
        f'IF(NOT(ISNUMBER({amendment})),"NO AMENDMENT: ask which one; its caps are not used",'
        f'IF({amendment}<oldest_amendment,"OLDER CATEGORIES (amendment "&{amendment}&"): ask for a new certificate",'
        f'IF(NOT({known}),"AMENDMENT "&{amendment}&" is not known: look again, or type it above",'
        f'IF(NOT(ISNUMBER({issued})),"NO DATE: ask when it was issued",'
        f'IF({issued}>checked_on,"DATED AFTER THE CHECK: look again",'
        f'IF({issued}<32874,"DATE BEFORE 1990: look again",'
        f'IF(EDATE({issued},$B$7)<checked_on,"OLD: more than "&$B$7&" months, ask for a new one","current"))))))))'
    )
    line = f"{CAPS}!$B{row - FIRST + CAP_FIRST}:${END}{row - FIRST + CAP_FIRST}"
    readable = (
        f'COUNTIF({line},"<=1")-COUNTIF({line},"<0")+COUNTIF({line},"no restriction")+COUNTIF({line},"not stated")'
    )
    blank = f'(COUNTBLANK({line})+COUNTIF({line},"not stated"))'
    filled = f"(COUNTA({line})-({readable}))"
    missing = f'IF({blank}>0,{blank}&" of {len(CATEGORIES)} not stated","all stated")'
    told = f'IF({filled}>0,{filled}&" CANNOT BE READ",{missing})'
    empty = f"COUNTA($A{row}:$D{row},{line})=0"
    for letter, formula in (("E", used), ("F", words)):
        cell = put(sheet, f"{letter}{row}", f'=IF({empty},"",IF({SETTLED},{formula},NA()))')
        cell.border = paper.LINE
        cell.alignment = Alignment(horizontal="center" if letter == "E" else None, indent=0 if letter == "E" else 1)
    put(sheet, f"G{row}", f'=IF({empty},"",{told})').border = paper.LINE


def _caps(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book, CAPS, "Caps: the highest share in the finished product", "From each certificate: 2.1 %, 0 (not allowed) "
        "or “no restriction”. Leave blank what is not stated. Names come from Certificates.",
        (24, *[8.6] * (len(CATEGORIES) - 1), 12),
    )  # fmt: skip
    paper.headings(sheet, CAP_FIRST - 2, "what the category is about", *(words for _, words in CATEGORIES))
    paper.headings(sheet, CAP_FIRST - 1, "fragrance", *(code for code, _ in CATEGORIES))
    sheet.row_dimensions[CAP_FIRST - 2].height = 48
    for row in range(CAP_FIRST, CAP_LAST + 1):
        name = f"{CERTIFICATES}!$A{row - CAP_FIRST + FIRST}"
        put(sheet, f"A{row}", f'=IF({name}="","",{name})').border = paper.LINE
    lines = [[caps.get(str(code)) for code, _ in CATEGORIES] for *_, caps in data.fragrances]
    paper.block(
        sheet, f"B{CAP_FIRST}", CAP_LAST, lines, [FINE_SHARE] * len(CATEGORIES),
        [f"Cap in category {code} ({words}): a share of the finished product, “no restriction”, or blank (not stated)."
         for code, words in CATEGORIES],
    )  # fmt: skip
    area = f"B{CAP_FIRST}:{END}{CAP_LAST}"
    for cells in sheet[area]:
        for cell in cells:
            cell.alignment = Alignment(horizontal="right", shrink_to_fit=True)
    paper.flag(sheet, area, f'AND($A{CAP_FIRST}<>"",B{CAP_FIRST}="")')
    put(
        sheet, f"A{CAP_LAST + 2}",
        "Red: not stated. It is an error wherever it is asked for, never a free hand. How many are blank or cannot be "
        "read stands on Certificates, in words.", None, paper.UNDER,
    )  # fmt: skip
    paper.define(book, "caps_table", sheet, f"A{CAP_FIRST - 1}:{END}{CAP_LAST}")
    sheet.freeze_panes = f"B{CAP_FIRST}"
    paper.close(sheet, f"A1:{END}{CAP_LAST + 2}", f"{CAP_FIRST - 2}:{CAP_FIRST - 1}")


def _set(book, data: Data) -> None:
    first, last = PIECES
    sheet = paper.open_sheet(
        book, SET, "One fragrance in a set", "Choose the fragrance and the products; type the share you mean to use.",
        (27, 10, 12, 12, 11, 24, 11, 70),
    )  # fmt: skip
    put(sheet, "A4", "fragrance")
    take(sheet, "B4", data.chosen)
    sheet.merge_cells("B4:D4")
    paper.choose(sheet, "B4", "fragrance_names", "A fragrance from the sheet Certificates.")
    types = f"A{first}:A{last}"
    place = paper.place_in(f"{CERTIFICATES}!$A${FIRST}:$A${LAST}", "$B$4", LAST - FIRST + 1)
    usable = f'INDEX({CERTIFICATES}!$E${FIRST}:$E${LAST},{place})="yes"'
    put(sheet, "A5", "its certificate")
    put(sheet, "B5", f"=INDEX({CERTIFICATES}!$F${FIRST}:$F${LAST},{place})")
    put(sheet, "A6", "strictest cap for the set", None, paper.STRONG)
    strictest = f"IF({usable},TC_SET_CAP({TABLE},$B$4,{types}),NA())"
    put(sheet, "B6", f"={strictest}", FINE_SHARE, paper.STRONG).fill = paper.SUM_FILL
    told = (
        f'IF(ISERROR({place}),"The fragrance is not in the register, or stands there twice.",IF({usable},'
        f'TC_EXPLAIN("TC_SET_CAP",{TABLE},$B$4,{types}),"Its certificate is not used: see the sheet Certificates."))'
    )
    put(sheet, "A7", f"={told}", None, paper.UNDER)
    sheet.merge_cells("A7:H7")
    paper.wrap(sheet, "A7", height=48)
    for name, cell in (("chosen_fragrance", "B4"), ("strictest_cap", "B6")):
        paper.define(book, name, sheet, cell)
    paper.flag(sheet, "B5:H5", '$B$5<>"current"')
    put(sheet, "A8", "A cap is for the finished product. A load on the wax or on a base is a smaller share: 8 % of the "
        "wax is 7.4 % of a candle.", None, paper.UNDER)  # fmt: skip
    paper.headings(
        sheet,
        first - 1,
        "product",
        "category",
        "share you use",
        "your own limit",
        "cap",
        "verdict",
        "of the cap",
        "reason",
    )
    sheet.row_dimensions[first - 1].height = 32
    paper.block(sheet, f"A{first}", last, [(p[0],) for p in data.products], (None,))
    paper.choose(sheet, types, "products", "A product type from the list, or a category code.")
    paper.block(
        sheet, f"C{first}", last, [p[1:] for p in data.products], (FINE_SHARE, FINE_SHARE),
        ("Share of the finished product: 1.2 %.", "A lower limit of your own, if you keep one. Blank: none."),
    )  # fmt: skip
    for row in range(first, last + 1):
        cap = f"IF({usable},TC_CAP({TABLE},$B$4,A{row}),NA())"
        limit = f"MIN(E{row},IF(D{row}>0,D{row},1))"
        cells = {
            "B": (f"TC_CATEGORY(A{row})", None),
            "E": (cap, FINE_SHARE),
            "F": (
                f'IF(ISERROR(E{row}),"NO CAP: see the reason",IF(ISBLANK(C{row}),"type your share",'
                f'IF(E{row}=0,"NOT ALLOWED",IF(TC_CAP_STATUS(C{row},E{row},D{row})="within","within",'
                f'IF(C{row}>E{row},"OVER THE CAP","OVER YOUR OWN LIMIT")))))', None,
            ),
            "G": (f'IF(ISBLANK(C{row}),0*E{row},IF(TC_CAP_STATUS(C{row},E{row},D{row})="",NA(),C{row}/{limit}))', "0%"),
        }  # fmt: skip
        for letter, (formula, form) in cells.items():
            cell = put(sheet, f"{letter}{row}", f'=IF(COUNTA($A{row},$C{row}:$D{row})=0,"",{formula})', form)
            cell.border = paper.LINE
            cell.alignment = Alignment(horizontal="center", vertical="center")
        paper.working(
            sheet, f"H{row}",
            f'=IF(COUNTA($A{row},$C{row}:$D{row})=0,"",IF(ISERROR({place}),"the fragrance is not in the register",'
            f'IF({usable},TC_EXPLAIN("TC_CAP",{TABLE},$B$4,A{row}),"the certificate is not used")))',
        )  # fmt: skip
        sheet.row_dimensions[row].height = 30
    paper.flag(sheet, f"E{first}:G{last}", f'OR(ISERROR($F{first}),AND($F{first}<>"",$F{first}<>"within"))')
    paper.lying_bars(
        sheet, f"A{last + 2}", ("How much of its limit each product uses", "product", "share of the cap or own limit"),
        (sheet, types), [(sheet, f"G{first - 1}:G{last}")], number_format="0%", size=(31, 9),
    )  # fmt: skip
    sheet.freeze_panes = f"B{first}"
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:H{last + 20}", f"{first - 1}:{first - 1}")


def _compare(book) -> None:
    first, last = CAP_FIRST, CAP_LAST
    sheet = paper.open_sheet(
        book, COMPARE, "All fragrances in the set", "The strictest cap of each over the products on the sheet Set.",
        (26, 14, 110),
    )  # fmt: skip
    paper.headings(sheet, first - 1, "fragrance", "strictest cap", "how it comes about, or why there is none")
    types = f"{SET}!$A${PIECES[0]}:$A${PIECES[1]}"
    for row in range(first, last + 1):
        used = f"{CERTIFICATES}!$E{row - first + FIRST}"
        put(sheet, f"A{row}", f"={CAPS}!A{row}").border = paper.LINE
        cap = f'IF({used}="yes",TC_SET_CAP({TABLE},$A{row},{types}),NA())'
        put(sheet, f"B{row}", f'=IF(OR({used}="",$A{row}=""),"",{cap})', FINE_SHARE).border = paper.LINE
        told = f'IF({used}="yes",TC_EXPLAIN("TC_SET_CAP",{TABLE},$A{row},{types}),"not used: see Certificates")'
        paper.working(sheet, f"C{row}", f'=IF(OR({used}="",$A{row}=""),"",{told})')
        sheet[f"A{row}"].alignment = sheet[f"B{row}"].alignment = Alignment(vertical="center")
        sheet.row_dimensions[row].height = 32
    paper.flag(sheet, f"A{first}:C{last}", f"ISERROR($B{first})")
    paper.lying_bars(
        sheet, f"A{last + 2}", ("Strictest cap over the set", "fragrance", "share of the finished product"),
        (sheet, f"A{first}:A{last}"), [(sheet, f"B{first - 1}:B{last}")], number_format="0.0%", size=(26, 9),
    )  # fmt: skip
    sheet.freeze_panes = f"B{first}"
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:C{last + 20}", f"{first - 1}:{first - 1}")


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")).out.name)
