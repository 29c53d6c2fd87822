"""What each command does, once its arguments are read. Libraries are imported by the command that needs them."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tarecell.workbooks.recalculate import Report

GOOD, FOUND, PROBLEM = 0, 1, 2  # exit status: done; findings or errors to look at; could not be done


def tour(args) -> int:
    from tarecell.workbooks.tour import tour

    text, report = tour(args.folder)
    print(text)
    return FOUND if report.errors else GOOD


def calc(args) -> int:
    from tarecell.workbooks.open_document import as_xlsx
    from tarecell.workbooks.recalculate import calculated_name, recalculate

    if args.in_place and args.out:
        args.usage("give a new file or --in-place, not both")
    if Path(args.file).is_dir():
        return _folder(args)
    _only_for_folders(args)
    with as_xlsx(args.file) as file:
        converted = str(file) != str(args.file)  # an .ods file, read by way of Calc
        if converted and args.in_place:
            args.usage("an .ods file cannot be changed in place: leave --in-place out")
        out = args.out or (calculated_name(Path(args.file).with_suffix(".xlsx")) if converted else None)
        report = recalculate(file, out, in_place=args.in_place)
    if args.json:
        import json

        from tarecell.workbooks.many_report import computed

        print(json.dumps(computed(args.file, str(report.out), report).data, ensure_ascii=False, indent=2))
    else:
        _tell_computed(report, args.all)
    return FOUND if report.errors or report.left_alone else GOOD


def _tell_computed(report: "Report", every_cell: bool) -> None:
    print(f"{report.out}: {report.written} cells computed, {report.changed} changed")
    if report.backup:
        print(f"the file as it was: {report.backup}")
    causes = [f for f in report.errors if every_cell or not f.follows]
    for finding in causes:
        print(f"  error  {finding}")
    if len(report.errors) > len(causes):
        print(f"  {len(report.errors) - len(causes)} more cells are errors because of these (--all shows them)")
    for finding in report.left_alone:
        print(f"  left   {finding}")


def _folder(args) -> int:
    """All workbooks of a folder, checked or computed."""
    from tarecell.cli.progress import bar
    from tarecell.workbooks.many import calc_folder, check_folder

    with bar() as progress:
        how = {"workers": args.workers, "cluster": args.cluster, "progress": progress}
        if args.run is check:
            report = check_folder(args.file, **how)
        else:
            if args.in_place:
                args.usage("--in-place is for one workbook; the results of a folder are new files")
            report = calc_folder(args.file, args.out, **how)
    print(report.as_json() if args.json else report.text())
    return report.exit_status


def _only_for_folders(args) -> None:
    if args.workers is not None or args.cluster is not None:
        args.usage("--workers and --cluster are for a folder of workbooks")


def find(args) -> int:
    from tarecell.workbooks.find import describe, find_recipes
    from tarecell.workbooks.open_document import as_xlsx

    with as_xlsx(args.file) as file:
        tables = find_recipes(file)
    print(describe(tables))
    return GOOD if tables else FOUND


def check(args) -> int:
    from tarecell.workbooks.check import check_workbook
    from tarecell.workbooks.open_document import as_xlsx
    from tarecell.workbooks.problems import WorkbookProblem

    if Path(args.file).is_dir():
        return _folder(args)
    _only_for_folders(args)
    with as_xlsx(args.file) as file:
        report = check_workbook(file)
    report.name = Path(args.file).name  # not that of the copy which Calc made of an .ods file
    if report.exit_status == PROBLEM and not args.json:
        raise WorkbookProblem(report.problem)
    print(report.as_json() if args.json else report.text())
    return report.exit_status


def add(args) -> int:
    from tarecell.workbooks.add import plan_addition, write

    if args.in_place and args.out:
        args.usage("give a new file or --in-place, not both")
    given = {name: getattr(args, name) for name in args.options if getattr(args, name) is not None}
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


def share(args) -> int:
    from tarecell.workbooks.open_document import as_xlsx
    from tarecell.workbooks.share import share

    with as_xlsx(args.file) as file:
        report = share(file, args.out, without=tuple(args.without or ()), modern=args.modern)
    print(report.text())
    return GOOD


def prices(args) -> int:
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


def new(args) -> int:
    from tarecell.workbooks.new import listing, new

    if args.name is None:
        print(f"Template workbooks, for “tarecell new NAME”:\n{listing()}")
    else:
        print(f"{new(args.name, args.file)}: open it and read the first sheet")
    return GOOD


def functions(args) -> int:
    from tarecell.functions.guide import family_called, plain_entry, plain_table

    family = family_called(args.name) if args.name else None
    print(plain_entry(args.name) if args.name and not family else plain_table(family))
    return GOOD


def completion(args) -> int:
    from tarecell.cli.completion import script
    from tarecell.cli.options import parser

    print(script(parser(), args.shell))
    return GOOD


def office_build(args) -> int:
    from tarecell.hosts.libreoffice import build

    print(f"{build(args.out)}: open it with LibreOffice to install it, or run “tarecell libreoffice install”")
    return GOOD


def office_install(args) -> int:
    from tarecell.hosts.libreoffice import install

    print(install(profile=args.profile))
    return GOOD


def office_remove(args) -> int:
    from tarecell.hosts.libreoffice import uninstall

    print(uninstall(profile=args.profile))
    return GOOD


def excel_setup(args) -> int:
    from tarecell.hosts.excel.setting_up import setup

    print(setup(args.folder))
    return GOOD


def excel_doctor(args) -> int:
    from tarecell.hosts.excel.setting_up import doctor

    report = doctor()
    print(report.text())
    return GOOD if report.good else FOUND


def excel_module(args) -> int:
    from tarecell.hosts.excel.setting_up import module

    print(module(args.out))
    return GOOD
