"""Work on a file that ends or upsets the process it is done in, for the tests of many files at once."""

import os
import signal
import time

from tarecell.workbooks.many_run import run_one


def run(job):
    """The usual work, but a file named killer… ends its process as a system without memory would do, and one named
    endless… does not come to an end."""
    if job.name.startswith("killer"):
        os.kill(os.getpid(), signal.SIGKILL)
    if job.name.startswith("endless"):
        time.sleep(3600)
    return run_one(job)
