"""What can be typed after `tarecell`, and the help for it."""

import argparse
from collections.abc import Callable

from tarecell import __version__
from tarecell.cli import commands

ADDED = (
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


COMPLETION_HELP = """\
To have it in every new window:
  bash         tarecell completion bash >> ~/.bashrc
  zsh          tarecell completion zsh > ~/.zfunc/_tarecell   (with ~/.zfunc in your fpath, before compinit)
  fish         tarecell completion fish > ~/.config/fish/completions/tarecell.fish
  PowerShell   tarecell completion powershell >> $PROFILE
"""
_FOLDER = "an .xlsx or .xlsm workbook, or a folder of them"
_JSON = "the findings for a program to read"


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; what it returns has `run`, the function that does the work."""
    whole = argparse.ArgumentParser(
        prog="tarecell",
        description="Tested spreadsheet functions and workbooks for makers of bath, body and candle goods.",
        epilog="“tarecell COMMAND --help” tells what a command takes.",
    )
    whole.add_argument("--version", action="version", version=f"Tarecell {__version__}")
    group = whole.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for build in (_tour, _calc, _new, _find, _add, _check, _prices, _share, _functions, _office, _excel, _completion):
        build(group)
    return whole


def _command(group, name: str, text: str, run: Callable[..., int]) -> argparse.ArgumentParser:
    command = group.add_parser(name, help=text, description=text[0].upper() + text[1:] + ".")
    command.set_defaults(run=run, usage=command.error)
    return command


def _tour(group) -> None:
    text = "the whole job once, on an invented studio's recipes: start here"
    tour = _command(group, "tour", text, commands.tour)
    tour.add_argument("folder", nargs="?", default="tour", help="where the files go (default: tour)")


def _calc(group) -> None:
    text = "compute a workbook, or a folder of them, and write the values into new files"
    calc = _command(group, "calc", text, commands.calc)
    calc.add_argument("file", help=_FOLDER)
    calc.add_argument("out", nargs="?", help="the new file, or folder (default: NAME.calc.xlsx beside each file)")
    calc.add_argument("--in-place", action="store_true", help="write over the file itself, keeping a backup")
    calc.add_argument("--all", action="store_true", help="show every error cell, not just the causes")
    _for_folders(calc)


def _for_folders(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help=_JSON)
    command.add_argument(
        "--workers",
        type=int,
        metavar="N",
        help="for a folder: files at once (default: one for each processor, and a file is given up after 15 minutes; "
        "with 1 none is)",
    )
    command.add_argument(
        "--cluster", metavar="ADDRESS", help="for a folder: a running Dask scheduler, such as tcp://10.0.0.5:8786"
    )


def _new(group) -> None:
    new = _command(group, "new", "a template workbook to fill in; without a name, the list of them", commands.new)
    new.add_argument("name", nargs="?", help="a template, such as cream_batch")
    new.add_argument("file", nargs="?", help="the file to make (default: NAME.xlsx here)")


def _find(group) -> None:
    find = _command(group, "find", "say which recipes a workbook holds, and why it is believed", commands.find)
    find.add_argument("file", help="an .xlsx or .xlsm workbook")


def _add(group) -> None:
    add = _command(group, "add", "put a tested formula beside a recipe you already have", commands.add)
    add.add_argument("what", choices=["scale", "shares", "fragrance", "cost"], help="what to add")
    add.add_argument("file", help="the workbook; it stays as it is")
    add.add_argument("out", nargs="?", help="the new file (default: NAME.WHAT.xlsx beside it)")
    for name, text in ADDED:
        add.add_argument(f"--{name}", metavar="X", help=text)
    add.add_argument("--dry-run", action="store_true", help="show the cells it would write, and write nothing")
    add.add_argument("--in-place", action="store_true", help="write over the file itself, keeping a backup")
    add.add_argument("--replace", action="store_true", help="allow cells that are not empty to be overwritten")
    add.set_defaults(options=[name.replace("-", "_") for name, _ in ADDED])


def _check(group) -> None:
    check = _command(group, "check", "inspect a recipe or cost workbook, or a folder of them", commands.check)
    check.add_argument("file", help=_FOLDER)
    _for_folders(check)


def _prices(group) -> None:
    text = "read a supplier's price list into your register of materials"
    prices = _command(group, "prices", text, commands.prices)
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


def _share(group) -> None:
    text = "a copy with ordinary formulas, for people who have nothing installed"
    share = _command(group, "share", text, commands.share)
    share.add_argument("file", help="your workbook; it stays as it is")
    share.add_argument("out", help="the copy to make, an .xlsx file")
    share.add_argument("--without", nargs="+", metavar="SHEET", help="sheets to leave out, such as your costs")
    share.add_argument("--modern", action="store_true", help="keep formulas that are newer than Excel 2016")


def _functions(group) -> None:
    text = "the guide: all functions, those of one family, or one of them"
    functions = _command(group, "functions", text, commands.functions)
    functions.add_argument("name", nargs="?", help="a function, such as TC_LYE, or a family, such as soap")


def _office(group) -> None:
    office = group.add_parser("libreoffice", help="the functions in LibreOffice Calc")
    steps = office.add_subparsers(title="steps", metavar="STEP", required=True)
    build = _command(steps, "build", "make the extension, a file that installs by opening it", commands.office_build)
    build.add_argument("out", nargs="?", default="tarecell.oxt", help="the file to make (default: tarecell.oxt)")
    for name, text, run in (
        ("install", "make the functions known to LibreOffice", commands.office_install),
        ("remove", "take them out again", commands.office_remove),
    ):
        step = _command(steps, name, text, run)
        step.add_argument("--profile", help="the folder of a LibreOffice user profile (default: your own)")


def _excel(group) -> None:
    excel = group.add_parser("excel", help="the functions in Excel on Windows (not yet run in Excel)")
    steps = excel.add_subparsers(title="steps", metavar="STEP", required=True)
    setup = _command(steps, "setup", "make the add-in file, and tell what to click", commands.excel_setup)
    setup.add_argument("folder", nargs="?", help="where the add-in goes (default: Excel's own folder, or here)")
    _command(steps, "doctor", "check what can be checked from outside Excel", commands.excel_doctor)
    text = "write the VBA module as text, to import into one workbook"
    module = _command(steps, "module", text, commands.excel_module)
    module.add_argument("out", nargs="?", default="Tarecell.bas", help="the file to make (default: Tarecell.bas)")


def _completion(group) -> None:
    text = "print a script that lets the Tab key complete commands, options and function names"
    completion = _command(group, "completion", text, commands.completion)
    completion.add_argument("shell", choices=["bash", "zsh", "fish", "powershell"], help="your shell")
    completion.formatter_class = argparse.RawDescriptionHelpFormatter
    completion.epilog = COMPLETION_HELP
