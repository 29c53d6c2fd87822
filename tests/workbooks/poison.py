"""Work on a file that ends or upsets the process it is done in, for the tests of many files at once."""

import os
import signal

from tarecell.workbooks.many_run import run_one


def run(job):
    """The usual work, but a file named killer… ends its process as a system without memory would do."""
    if job.name.startswith("killer"):
        os.kill(os.getpid(), signal.SIGKILL)
    return run_one(job)
