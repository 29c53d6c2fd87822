"""The command line: `tarecell --help`. Every command is a thin call into `workbooks` or `hosts`."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from tarecell import __version__

GOOD, FOUND, PROBLEM = 0, 1, 2  # exit status: done; findings or errors to look at; could not be done


def _tour(args) -> int:
    from tarecell.workbooks.tour import tour

    text, report = tour(args.folder)
    print(text)
    return FOUND if report.errors else GOOD


def _calc(args) -> int:
    from tarecell.workbooks.open_document import as_xlsx
    from tarecell.workbooks.recalculate import calculated_name, recalculate

    if args.in_place and args.out:
        args.usage("give a new file or --in-place, not both")
    with as_xlsx(args.file) as file:
        converted = str(file) != str(args.file)  # an .ods file, read by way of Calc
        if converted and args.in_place:
            args.usage("an .ods file cannot be changed in place: leave --in-place out")
        out = args.out or (calculated_name(Path(args.file).with_suffix(".xlsx")) if converted else None)
        report = recalculate(file, out, in_place=args.in_place)
    print(f"{report.out}: {report.written} cells computed, {report.changed} changed")
    if report.backup:
        print(f"the file as it was: {report.backup}")
    causes = [f for f in report.errors if args.all or not f.follows]
    for finding in causes:
        print(f"  error  {finding}")
    if len(report.errors) > len(causes):
        print(f"  {len(report.errors) - len(causes)} more cells are errors because of these (--all shows them)")
    for finding in report.left_alone:
        print(f"  left   {finding}")
    return FOUND if report.errors or report.left_alone else GOOD


def _find(args) -> int:
    from tarecell.workbooks.find import describe, find_recipes
    from tarecell.workbooks.open_document import as_xlsx

    with as_xlsx(args.file) as file:
        tables = find_recipes(file)
    print(describe(tables))
    return GOOD if tables else FOUND


def _check(args) -> int:
    from tarecell.workbooks.check import check_workbook
    from tarecell.workbooks.open_document import as_xlsx
    from tarecell.workbooks.problems import WorkbookProblem

    with as_xlsx(args.file) as file:
        report = check_workbook(file)
    if report.exit_status == PROBLEM and not args.json:
        raise WorkbookProblem(report.problem)
    print(report.as_json() if args.json else report.text())
    return report.exit_status


_ADDED = (
    # option, help; every value is read where it is used, so that "2 oz" and "1.5%" are understood
    ("sheet", "the sheet, where the workbook has several recipes"),
    ("recipe", "the recipe's title, or its number in “tarecell find”"),
    ("amounts", "the cells with the amounts, such as C5:C14, instead of those found"),
    ("names", "the cells with the ingredients"),
    ("units", "the cells with the units"),
    ("phases", "the cells with the phases"),
    ("densities", "the cells with g per mL, for amounts by volume"),
    ("unit", "the unit of the amounts, where the sheet states none"),
    ("leave-out", "rows without a usable amount, such as 9,12"),
    ("at", "the cell for the first new column, such as H5"),
    ("target", "scale: the new total, in grams or as “2 lb”"),
    ("pieces", "scale, fragrance, cost: how many jars or moulds"),
    ("fill", "scale, fragrance: weight in each"),
    ("loss", "scale: the share that stays behind, such as 4%%"),
    ("spare", "scale: how much more to make, such as 5%%"),
    ("step", "scale, fragrance: what the scale reads, such as 0.1"),
    ("caps", "fragrance: the caps table, such as Caps!A4:G7"),
    ("fragrance", "fragrance: its name in that table"),
    ("product", "fragrance: the product type, such as “body cream”"),
    ("share", "fragrance: its share, such as 1.5%%"),
    ("basis", "fragrance: the share is of the finished batch, the base or the wax"),
    ("batch", "fragrance: weight of the batch"),
    ("prices", "cost: the price table with its headings, such as Prices!A3:F33"),
)


def _add(args) -> int:
    from tarecell.workbooks.add import plan_addition, write

    if args.in_place and args.out:
        args.usage("give a new file or --in-place, not both")
    options = {name.replace("-", "_"): getattr(args, name.replace("-", "_")) for name, _ in _ADDED}
    given = {name: value for name, value in options.items() if value is not None}
    plan = plan_addition(args.file, args.what, **given)
    print(plan)
    if args.dry_run:
        print("nothing was written")
        return FOUND if plan.errors else GOOD
    written = write(plan, args.out, in_place=args.in_place, replace=args.replace)
    print(f"written to {written.out}")
    if written.backup:
        print(f"the file as it was: {written.backup}")
    return FOUND if plan.errors else GOOD


def _share(args) -> int:
    from tarecell.workbooks.open_document import as_xlsx
    from tarecell.workbooks.share import share

    with as_xlsx(args.file) as file:
        report = share(file, args.out, without=tuple(args.without or ()), modern=args.modern)
    print(report.text())
    return GOOD


def _prices(args) -> int:
    from tarecell.workbooks.prices import prices

    if args.in_place and args.out:
        args.usage("give a new file or --in-place, not both")
    columns = {}
    for pair in args.column or ():
        field, _, heading = pair.partition("=")
        if not heading:
            args.usage(f"--column {pair}: write it like price=Netto")
        columns[field.strip()] = heading.strip()
    report = prices(
        args.file, args.register, args.out, dry_run=args.dry_run, supplier=args.supplier, sheet=args.sheet,
        columns=columns or None, decimal=args.decimal, in_place=args.in_place,
    )  # fmt: skip
    print(report.text())
    return FOUND if report.findings else GOOD


def _new(args) -> int:
    from tarecell.workbooks.new import listing, new

    if args.name is None:
        print(f"Template workbooks, for “tarecell new NAME”:\n{listing()}")
    else:
        print(f"{new(args.name, args.file)}: open it and read the first sheet")
    return GOOD


def _functions(args) -> int:
    from tarecell.functions.guide import plain_entry, plain_table

    print(plain_entry(args.name) if args.name else plain_table())
    return GOOD


def _office_build(args) -> int:
    from tarecell.hosts.libreoffice import build

    print(f"{build(args.out)}: open it with LibreOffice to install it, or run “tarecell libreoffice install”")
    return GOOD


def _office_install(args) -> int:
    from tarecell.hosts.libreoffice import install

    print(install(profile=args.profile))
    return GOOD


def _office_remove(args) -> int:
    from tarecell.hosts.libreoffice import uninstall

    print(uninstall(profile=args.profile))
    return GOOD


def _excel_setup(args) -> int:
    from tarecell.hosts.excel.setting_up import setup

    print(setup(args.folder))
    return GOOD


def _excel_doctor(args) -> int:
    from tarecell.hosts.excel.setting_up import doctor

    report = doctor()
    print(report.text())
    return GOOD if report.good else FOUND


def _excel_module(args) -> int:
    from tarecell.hosts.excel.setting_up import module

    print(module(args.out))
    return GOOD


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tarecell",
        description="Tested spreadsheet functions and workbooks for makers of bath, body and candle goods.",
    )
    parser.add_argument("--version", action="version", version=f"Tarecell {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    tour = commands.add_parser("tour", help="the whole job once, on an invented studio's recipes: start here")
    tour.add_argument("folder", nargs="?", default="tour", help="where the files go (default: tour)")
    tour.set_defaults(run=_tour)

    calc = commands.add_parser("calc", help="compute a workbook and write the values into a new file")
    calc.add_argument("file", help="an .xlsx or .xlsm workbook")
    calc.add_argument("out", nargs="?", help="the new file (default: NAME.calc.xlsx beside it)")
    calc.add_argument("--in-place", action="store_true", help="write over the file itself, keeping a backup")
    calc.add_argument("--all", action="store_true", help="show every error cell, not just the causes")
    calc.set_defaults(run=_calc, usage=calc.error)

    new = commands.add_parser("new", help="a template workbook to fill in; without a name, the list of them")
    new.add_argument("name", nargs="?", help="a template, such as cream_batch")
    new.add_argument("file", nargs="?", help="the file to make (default: NAME.xlsx here)")
    new.set_defaults(run=_new)

    find = commands.add_parser("find", help="say which recipes a workbook holds, and why it is believed")
    find.add_argument("file", help="an .xlsx or .xlsm workbook")
    find.set_defaults(run=_find)

    add = commands.add_parser("add", help="put a tested formula beside a recipe you already have")
    add.add_argument("what", choices=["scale", "shares", "fragrance", "cost"], help="what to add")
    add.add_argument("file", help="the workbook; it stays as it is")
    add.add_argument("out", nargs="?", help="the new file (default: NAME.WHAT.xlsx beside it)")
    for name, text in _ADDED:
        add.add_argument(f"--{name}", metavar="X", help=text)
    add.add_argument("--dry-run", action="store_true", help="show the cells it would write, and write nothing")
    add.add_argument("--in-place", action="store_true", help="write over the file itself, keeping a backup")
    add.add_argument("--replace", action="store_true", help="allow cells that are not empty to be overwritten")
    add.set_defaults(run=_add, usage=add.error)

    share = commands.add_parser("share", help="a copy with ordinary formulas, for people who have nothing installed")
    share.add_argument("file", help="your workbook; it stays as it is")
    share.add_argument("out", help="the copy to make, an .xlsx file")
    share.add_argument("--without", nargs="+", metavar="SHEET", help="sheets to leave out, such as your costs")
    share.add_argument("--modern", action="store_true", help="keep formulas that are newer than Excel 2016")
    share.set_defaults(run=_share)

    prices = commands.add_parser("prices", help="read a supplier's price list into your register of materials")
    prices.add_argument("file", help="the price list: a CSV file or a workbook")
    prices.add_argument("register", nargs="?", help="your materials-and-prices workbook (default: a new one)")
    prices.add_argument("out", nargs="?", help="the new file (default: REGISTER.prices.xlsx)")
    prices.add_argument("--dry-run", action="store_true", help="show what was read, and write nothing")
    prices.add_argument("--in-place", action="store_true", help="write over the register itself, keeping a backup")
    prices.add_argument("--supplier", help="the supplier's name for the register")
    prices.add_argument("--sheet", help="the sheet of the price list")
    prices.add_argument(
        "--column",
        action="append",
        metavar="FIELD=HEADING",
        help="a column that was not guessed right, such as price=Netto",
    )
    prices.add_argument("--decimal", choices=[".", ","], help="the decimal mark, where the list leaves it open")
    prices.set_defaults(run=_prices, usage=prices.error)

    check = commands.add_parser("check", help="inspect a recipe or cost workbook")
    check.add_argument("file", help="an .xlsx or .xlsm workbook")
    check.add_argument("--json", action="store_true", help="the findings for a program to read")
    check.set_defaults(run=_check)

    functions = commands.add_parser("functions", help="the guide: all functions, or one of them")
    functions.add_argument("name", nargs="?", help="a function, such as TC_LYE")
    functions.set_defaults(run=_functions)

    office = commands.add_parser("libreoffice", help="the functions in LibreOffice Calc")
    steps = office.add_subparsers(title="steps", metavar="STEP", required=True)
    build = steps.add_parser("build", help="make the extension, a file that installs by opening it")
    build.add_argument("out", nargs="?", default="tarecell.oxt", help="the file to make (default: tarecell.oxt)")
    build.set_defaults(run=_office_build)
    for name, text, run in (
        ("install", "make the functions known to LibreOffice", _office_install),
        ("remove", "take them out again", _office_remove),
    ):
        step = steps.add_parser(name, help=text)
        step.add_argument("--profile", help="the folder of a LibreOffice user profile (default: your own)")
        step.set_defaults(run=run)
    excel = commands.add_parser("excel", help="the functions in Excel on Windows (not yet run in Excel)")
    steps = excel.add_subparsers(title="steps", metavar="STEP", required=True)
    setup = steps.add_parser("setup", help="make the add-in file, and tell what to click")
    setup.add_argument("folder", nargs="?", help="where the add-in goes (default: Excel's own folder, or here)")
    setup.set_defaults(run=_excel_setup)
    steps.add_parser("doctor", help="check what can be checked from outside Excel").set_defaults(run=_excel_doctor)
    module = steps.add_parser("module", help="write the VBA module as text, to import into one workbook")
    module.add_argument("out", nargs="?", default="Tarecell.bas", help="the file to make (default: Tarecell.bas)")
    module.set_defaults(run=_excel_module)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command. Returns the exit status: 0 done, 1 findings, 2 could not be done."""
    args = _parser().parse_args(argv)
    from tarecell.errors import CellError, Problem

    try:
        return args.run(args)
    except Problem as problem:
        print(f"tarecell: {problem}", file=sys.stderr)
        return PROBLEM
    except CellError as problem:
        print(f"tarecell: {problem.reason}", file=sys.stderr)
        return PROBLEM
    except BrokenPipeError:  # the reader of a pipe has seen enough
        sys.stderr.close()
        return GOOD
    except KeyboardInterrupt:
        print("tarecell: stopped", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
