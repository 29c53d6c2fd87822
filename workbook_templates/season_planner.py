"""Builds season_planner.xlsx: from the day the gifts are needed back to the day each product has to be started.

python workbook_templates/season_planner.py
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, PatternFill, Side
from openpyxl.utils import get_column_letter
from tarecell.functions import REGISTRY
from tarecell.workbooks import paper
from tarecell.workbooks.paper import DAY, WHOLE, put, take
from tarecell.workbooks.recalculate import Report

PLAN, CALENDAR, TO_DO, WORKING = "Plan", "Calendar", "To do", "Working"
FIRST, LAST = 11, 22  # the products on Plan; on Calendar and Working they stand elsewhere
CAL_FIRST, CAL_WEEK, WEEKS = 7, 2, 20  # first product row, column before the first week, weeks shown
EVENTS = 3 * (LAST - FIRST + 1)
EVENT_FIRST, DO_FIRST = 6, 6
THIN = Side("thin", color="B8C4BF")
BOX = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)
STAGES = (("M", "84A98C", "making"), ("c", "DCE8E1", "curing or drying"), ("W", "E9C46A", "wrapping"),
          ("S", "F4A261", "handed over"), ("N", "E76F51", "needed"))  # fmt: skip


@dataclass(frozen=True)
class Data:
    """What is typed in. Products: name, pieces, needed by (None: the day of the season), days of making, what it does
    then, days of that, days of wrapping, days on the way."""

    title: str
    needed: date
    planning: date
    spare: int
    products: tuple[tuple, ...]


TEMPLATE_DATA = Data(
    "Season planner",
    date(2026, 12, 18),
    date(2026, 9, 14),
    3,
    (
        ("Sample bar soap", 48, None, 1, "cure", 42, 2, 0),
        ("Sample candle", 24, None, 2, "cure", 14, 1, 0),
        ("Sample bath bomb", 60, None, 2, "drying", 2, 1, 0),
        ("Sample cream", 20, date(2026, 12, 11), 1, "rest", 1, 1, 4),
    ),
)
ABOUT = (
    "Counts back from the day the gifts are needed: time on the way, wrapping, curing or drying, making.",
    "Gives the last day to start each product, and says in words what is already too late.",
    "Shows the whole season in one calendar, a row for each product and a column for each week.",
    "Writes the list of what to do when, in order of date, to print and tick.",
    "Never change: the white cells with formulas, the names of the sheets, the letters of the calendar.",
)
CAUTIONS = (
    "Cold-process soap cures four to six weeks, bath bombs dry one to two days and are turned once (common practice, "
    "no published source). Your own trials decide: uncured soap is harsh and soft, a damp bath bomb fizzes in its bag.",
    "The days are calendar days. Add the weekends and holidays on which you or the post do not work.",
    "Creams and other things with water do not keep for ever: a start far too early eats into their shelf life.",
)
SOURCES = (
    f"Dates: {REGISTRY['TC_START_BY'].source}.",
    "Days of curing, drying, wrapping and post: your own figures; the hints above are common practice.",
)


def build(path: Path, data: Data = TEMPLATE_DATA) -> Report:
    book = paper.new_book(data.title)
    paper.start_here(book, data.title, ABOUT, CAUTIONS, SOURCES)
    _plan(book, data)
    _calendar(book)
    _to_do(book)
    _working(book)
    paper.lists(book, stages=("cure", "drying", "setting", "rest"))
    paper.protect(book[paper.LISTS])
    report = paper.finish(book, path)
    if report.errors or report.left_alone:
        raise ValueError(f"{path.name}: {(report.errors + report.left_alone)[:3]}")
    return report


def _back(day: str, days: str) -> str:
    """So many days before a day. 0 is none; a blank is not: it would drop a stage unseen."""
    return f"IF(ISBLANK({days}),NA(),IF({days}=0,{day},TC_START_BY({day},{days})))"


def _as_day(cell: str) -> str:
    """A cell as a day; an error for what is none."""
    return f"TC_READY({cell},1)-1"


def _plan(book, data: Data) -> None:
    sheet = paper.open_sheet(
        book, PLAN, data.title, "One row for each product. Type 0 where a stage takes no time; a blank is an error.",
        (24, 12, 13, 9, 9, 9, 10, 10, 12, 12, 12, 12, 9, 23),
    )  # fmt: skip
    for row, label, value, form, note in (
        (
            4,
            "the gifts are needed on",
            data.needed,
            DAY,
            "The day by which all must be there, unless a row says otherwise.",
        ),
        (5, "planning from", data.planning, DAY, "The day from which you can work, or the day you look at this."),
        (6, "spare days before", data.spare, WHOLE, "Days in hand for what goes wrong. 0 or blank: none."),
    ):
        put(sheet, f"A{row}", label)
        take(sheet, f"B{row}", value, form, note)
    for name, cell in (("needed_on", "B4"), ("planning_from", "B5"), ("spare_days", "B6")):
        paper.define(book, name, sheet, cell)
    first_start = f"MIN(I{FIRST}:I{LAST})"
    put(sheet, "E4", "start first", None, paper.STRONG)
    put(
        sheet,
        "G4",
        f'=IF(COUNTA(A{FIRST}:H{LAST})=0,"",IF(SUM(I{FIRST}:I{LAST})>0,{first_start},NA()))',
        DAY,
        paper.STRONG,
    )
    put(sheet, "E5", "too late", None, paper.STRONG)
    late = f'COUNTIF(N{FIRST}:N{LAST},"TOO LATE*")'
    put(sheet, "G5", f'=IF(SUM(I{FIRST}:I{LAST})>=0,{late}&" of "&COUNT(I{FIRST}:I{LAST}))', None, paper.STRONG)
    paper.define(book, "first_start", sheet, "G4")
    put(
        sheet,
        "A8",
        "Every day here is the last one possible: earlier is better. Days are calendar days.",
        None,
        paper.UNDER,
    )
    paper.headings(
        sheet, FIRST - 1, "product", "pieces", "needed by, if not that day", "days of making", "then it needs",
        "days of that", "days of wrapping", "days on the way", "start making", "making done", "wrap from", "hand over",
        "days in hand", "verdict",
    )  # fmt: skip
    sheet.row_dimensions[FIRST - 1].height = 48
    paper.block(
        sheet, f"A{FIRST}", LAST, data.products, (None, WHOLE, DAY, WHOLE, None, WHOLE, WHOLE, WHOLE),
        (
            "What you make.", "How many, for the list.", "Blank: the day above.", "Whole days, from 1.", "",
            "Whole days of curing, drying or setting. 0 if none.", "Whole days of wrapping and labelling. 0 if none.",
            "Whole days with the post or on the road. 0 if you hand it over yourself.",
        ),
    )  # fmt: skip
    paper.choose(
        sheet, f"E{FIRST}:E{LAST}", "stages", "cure, drying, setting, rest: a word for the list of what to do."
    )
    for row in range(FIRST, LAST + 1):
        needed = f"IF(ISBLANK(C{row}),needed_on,C{row})"
        safe = f"IF(spare_days=0,{_as_day(needed)},TC_START_BY({needed},spare_days))"
        late = f'"TOO LATE by "&-M{row}&" days"'
        cells = {
            "I": (f"TC_START_BY(J{row},D{row})", DAY),
            "J": (_back(f"K{row}", f"F{row}"), DAY),
            "K": (_back(f"L{row}", f"G{row}"), DAY),
            "L": (_back(safe, f"H{row}"), DAY),
            "M": (f"I{row}-({_as_day('planning_from')})", WHOLE),
            "N": (f'IF(M{row}<0,{late},IF(M{row}<=7,"start within the week","in time"))', None),
        }
        for letter, (formula, form) in cells.items():
            cell = put(sheet, f"{letter}{row}", f'=IF(COUNTA($A{row}:$H{row})=0,"",{formula})', form)
            cell.border = paper.LINE
            cell.alignment = Alignment(horizontal="left" if letter == "N" else "center", indent=int(letter == "N"))
    paper.flag(sheet, f"I{FIRST}:N{LAST}", f'LEFT($N{FIRST},8)="TOO LATE"')
    paper.flag(sheet, f"I{FIRST}:N{LAST}", f"ISERROR($N{FIRST})")
    sheet.freeze_panes = f"B{FIRST}"
    paper.close(sheet, f"A1:N{LAST}", f"{FIRST - 1}:{FIRST - 1}")


def _calendar(book) -> None:
    sheet = paper.open_sheet(
        book, CALENDAR, "The season at a glance", "One column for each week, from its Monday.", (24, 2, *[5.6] * WEEKS)
    )
    last_column = get_column_letter(CAL_WEEK + WEEKS)
    first_column = get_column_letter(CAL_WEEK + 1)
    last = CAL_FIRST + LAST - FIRST
    paper.headings(sheet, CAL_FIRST - 1, "week from Monday", "", *[""] * WEEKS)
    sheet.row_dimensions[CAL_FIRST - 1].height = 46
    for i in range(1, WEEKS + 1):
        letter = get_column_letter(CAL_WEEK + i)
        monday = "first_start-WEEKDAY(first_start,2)+1"
        before = get_column_letter(CAL_WEEK + i - 1)
        week = f"{letter}${CAL_FIRST - 1}"
        formula = (
            f'=IF(first_start="","",{monday})'
            if i == 1
            else f'=IF({before}{CAL_FIRST - 1}="","",{before}{CAL_FIRST - 1}+7)'
        )
        head = put(sheet, f"{letter}{CAL_FIRST - 1}", formula, "d mmm")
        head.alignment = Alignment(text_rotation=90, horizontal="center", vertical="center")
        for row in range(CAL_FIRST, last + 1):
            at = row - CAL_FIRST + FIRST
            p = f"{PLAN}!"
            needed = f"IF(ISBLANK({p}$C{at}),needed_on,{p}$C{at})"
            marks = "&".join((
                _mark("M", f"{p}$I{at}", f"{p}$J{at}", week),
                _mark("W", f"{p}$K{at}", f"{p}$L{at}", week),
                f'IF(AND({p}$L{at}>={week},{p}$L{at}<{week}+7,{p}$L{at}<{needed}),"S","")',
                f'IF(AND({needed}>={week},{needed}<{week}+7),"N","")',
            ))  # fmt: skip
            resting = f"AND({p}$J{at}<{week}+7,{p}$K{at}>{week},{p}$J{at}<{p}$K{at})"
            cell = put(
                sheet,
                f"{letter}{row}",
                f'=IF(OR($A{row}="",ISERROR({week})),"",IF(LEN({marks})>0,{marks},IF({resting},"c","")))',
            )
            cell.alignment, cell.border = Alignment(horizontal="center", vertical="center"), BOX
        made = f"{letter}{CAL_FIRST}:{letter}{last}"
        put(
            sheet, f"{letter}{last + 1}", f'=IF(ISERROR({week}),"",IF({week}="","",COUNTIF({made},"*M*")))', "0;;"
        ).alignment = Alignment(horizontal="center")
    for row in range(CAL_FIRST, last + 1):
        at = row - CAL_FIRST + FIRST
        put(sheet, f"A{row}", f'=IF(COUNTA({PLAN}!$A{at}:$H{at})=0,"",IF({PLAN}!A{at}="","(no name)",{PLAN}!A{at}))')
        sheet.row_dimensions[row].height = 22
        sheet[f"A{row}"].alignment = Alignment(vertical="center")
    put(sheet, f"A{last + 1}", "products being made", None, paper.UNDER)
    area = f"{first_column}{CAL_FIRST}:{last_column}{last}"
    for letter, colour, _ in reversed(STAGES):
        rule = FormulaRule([f'ISNUMBER(FIND("{letter}",{first_column}{CAL_FIRST}))'], fill=PatternFill(bgColor=colour))
        sheet.conditional_formatting.add(area, rule)
    for i, (letter, colour, word) in enumerate(STAGES):
        at = get_column_letter(CAL_WEEK + 1 + 4 * i)
        key = put(sheet, f"{at}4", letter)
        key.fill, key.alignment, key.border = PatternFill("solid", fgColor=colour), Alignment(horizontal="center"), BOX
        put(sheet, f"{get_column_letter(CAL_WEEK + 2 + 4 * i)}4", word)
    end = f"{last_column}{CAL_FIRST - 1}+6"
    latest = f"MAX({PLAN}!C{FIRST}:C{LAST},{PLAN}!L{FIRST}:L{LAST},needed_on)"
    stuck = '"A ROW ON PLAN IS NOT IN ORDER: mend it first"'
    ends = '"THE CALENDAR ENDS BEFORE THE SEASON DOES: what lies later is on Plan and To do"'
    told = f'IF(first_start="","",IF({latest}>{end},{ends},"all of the season is on this page"))'
    put(sheet, f"A{last + 3}", f"=IF(ISERROR(first_start),{stuck},{told})", None, paper.STRONG)
    put(
        sheet,
        f"A{last + 4}",
        "Two letters: both in that week. Every mark is the last time possible.",
        None,
        paper.UNDER,
    )
    paper.flag(sheet, f"A{last + 3}", f'AND($A${last + 3}<>"",LEFT($A${last + 3},3)<>"all")')
    sheet.freeze_panes = f"{first_column}{CAL_FIRST}"
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:{last_column}{last + 4}")


def _mark(letter: str, start: str, end: str, week: str) -> str:
    """The letter where a stage from `start` to the day before `end` touches the week."""
    return f'IF(AND({start}<{week}+7,{end}>{week},{start}<{end}),"{letter}","")'


def _working(book) -> None:
    """Every event with a number to sort by: its day, and a hundredth for each place in the list."""
    sheet = paper.open_sheet(
        book,
        WORKING,
        "Working",
        "Every thing to do, not in order yet, and how each start came about.",
        (26, 14, 44, 60),
    )
    paper.headings(sheet, EVENT_FIRST - 1, "product", "sorted by", "what", "how the start came about")
    for place in range(EVENTS):
        row, at, kind = EVENT_FIRST + place, FIRST + place // 3, place % 3
        p = f"{PLAN}!"
        day = f"{p}{'IKL'[kind]}{at}"
        count = f'IF({p}B{at}="","",{p}B{at}&" × ")&{p}A{at}'
        what = (
            f'"start making "&{count}',
            f'IF({p}G{at}=0,"ready: ","wrap: ")&{count}&IF({p}E{at}="",""," ("&{p}E{at}&" over)")',
            f'IF({p}H{at}=0,"hand over ","send off ")&{count}',
        )[kind]
        empty = f"COUNTA({p}$A{at}:$H{at})=0"
        put(sheet, f"A{row}", f'=IF({empty},"",{p}A{at}&"")')
        put(sheet, f"B{row}", f'=IF({empty},"",{day}+{place + 1}/100)', "0.00")
        put(sheet, f"C{row}", f'=IF({empty},"",{what})')
        if kind == 0:
            needed = f"IF(ISBLANK({p}C{at}),needed_on,{p}C{at})"
            days = f"spare_days+{p}D{at}+{p}F{at}+{p}G{at}+{p}H{at}"
            paper.working(sheet, f"D{row}", f'=IF({empty},"",TC_EXPLAIN("TC_START_BY",{needed},{days}))')
    sheet.freeze_panes = f"A{EVENT_FIRST}"
    paper.close(sheet, f"A1:D{EVENT_FIRST + EVENTS - 1}", f"{EVENT_FIRST - 1}:{EVENT_FIRST - 1}")


def _to_do(book) -> None:
    sheet = paper.open_sheet(
        book,
        TO_DO,
        "What to do when",
        "In order of date. Print it, tick it off.",
        (4, 12, 7, 52, 16, 12),
        landscape=False,
    )
    keys = f"{WORKING}!$B${EVENT_FIRST}:$B${EVENT_FIRST + EVENTS - 1}"
    whats = f"{WORKING}!$C${EVENT_FIRST}:$C${EVENT_FIRST + EVENTS - 1}"
    paper.headings(sheet, DO_FIRST - 1, "", "by", "day", "what", "", "done on")
    stuck = '"A ROW ON PLAN IS NOT IN ORDER: mend it first"'
    put(sheet, "A3", f'=IF(ISERROR(SUM({keys})),{stuck},COUNT({keys})&" things to do")', None, paper.STRONG)
    paper.flag(sheet, "A3:D3", 'LEFT($A$3,5)="A ROW"')
    for place in range(1, EVENTS + 1):
        row = DO_FIRST + place - 1
        shown = f'IF(ISERROR(B{row}),"",IF(B{row}="","",{{}}))'.format
        key = f"SMALL({keys},{place})"
        over = f"{place}>COUNT({keys})"
        past = f'IF(B{row}<{_as_day("planning_from")},"ALREADY PAST","")'
        put(sheet, f"B{row}", f'=IF(SUM({keys})=0,"",IF({over},"",INT({key})))', DAY)
        day = f'INDEX({{"Mon";"Tue";"Wed";"Thu";"Fri";"Sat";"Sun"}},WEEKDAY(B{row},2))'
        put(sheet, f"C{row}", f"={shown(day)}")
        put(sheet, f"D{row}", f"={shown(f'INDEX({whats},MATCH({key},{keys},0))')}")
        put(sheet, f"A{row}", f"={shown(chr(34) + '☐' + chr(34))}")
        put(sheet, f"E{row}", f"={shown(past)}")
        for letter in "ABCDEF":
            sheet[f"{letter}{row}"].border = paper.LINE
            sheet[f"{letter}{row}"].alignment = Alignment(
                horizontal="center" if letter in "ABC" else None, vertical="center"
            )
        sheet.row_dimensions[row].height = 19
    paper.flag(sheet, f"B{DO_FIRST}:E{DO_FIRST + EVENTS - 1}", f'$E{DO_FIRST}="ALREADY PAST"')
    sheet.freeze_panes = f"A{DO_FIRST}"
    sheet.page_setup.fitToHeight = 1
    paper.close(sheet, f"A1:F{DO_FIRST + EVENTS - 1}", f"{DO_FIRST - 1}:{DO_FIRST - 1}")


if __name__ == "__main__":
    print(build(Path(__file__).with_suffix(".xlsx")).out.name)
