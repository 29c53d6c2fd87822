"""The command line: `tarecell --help`. Every command is a thin call into `workbooks` or `hosts`."""

import atexit
import gc
import sys
from collections.abc import Sequence

from tarecell.cli.commands import GOOD, PROBLEM
from tarecell.cli.options import parser


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command. Returns the exit status: 0 done, 1 findings, 2 could not be done."""
    given = sys.argv[1:] if argv is None else argv
    whole = parser()
    if not given:
        whole.print_help()
        return PROBLEM
    args = whole.parse_args(given)
    atexit.register(gc.freeze)  # at its end Python would look through all that a large workbook left behind
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
