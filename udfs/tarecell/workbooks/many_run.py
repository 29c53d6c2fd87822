"""Running the same work on many files: in processes on this machine, or on the workers of a Dask cluster."""

import contextlib
import faulthandler
import functools
import logging
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tarecell import __version__
from tarecell.workbooks.many_report import Outcome, checked, computed, failed
from tarecell.workbooks.problems import WorkbookProblem

Progress = Callable[[int, int], None]

_AHEAD = 2  # files that each process has been given at once: enough to be never idle, few to ask again after a crash
_RETRIES = 3
_PATIENCE = 30  # seconds for the scheduler to answer, and for a first worker to be there
_LIMIT = 900.0  # seconds for one file; 200,000 formulas take half a minute
_TOO_LONG = "the work on it was ended after {:.0f} seconds: look at it by itself"
_KILLED = "the process that worked on it was ended by the system: the file may need more memory than there is"
# A Dask worker may run several tasks as threads of one process; the engine is given one workbook at a time.
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True)
class Job:
    """A file to check, or to compute where there is a path for the result."""

    name: str
    path: str
    out: str = ""
    out_name: str = ""


def run_one(job: Job) -> Outcome:
    """Does the work on one file. Whatever happens to it is its outcome, so that no other file suffers."""
    with _ONE_AT_A_TIME:
        try:
            return _computed(job) if job.out else _checked(job)
        except WorkbookProblem as problem:
            return failed(job.name, problem.reason, bool(job.out))
        except (KeyboardInterrupt, SystemExit, GeneratorExit):
            raise
        except BaseException as error:  # the engine's panics are no Exception
            reason = f"a mistake in Tarecell itself, please report it ({type(error).__name__}: {error})"
            return failed(job.name, reason, bool(job.out))


def _checked(job: Job) -> Outcome:
    from tarecell.workbooks.check import check_workbook

    return checked(job.name, check_workbook(job.path))


def _computed(job: Job) -> Outcome:
    from tarecell.workbooks.recalculate import recalculate

    folder = Path(job.out).parent
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WorkbookProblem(f"the folder {folder} cannot be made: {error.strerror}") from None
    return computed(job.name, job.out_name, recalculate(job.path, job.out))


class _Count:
    """How many files are done, told as it grows."""

    def __init__(self, total: int, progress: Progress | None):
        self.done, self.total, self.progress = 0, total, progress

    def one_more(self) -> None:
        self.done += 1
        if self.progress is not None:
            self.progress(self.done, self.total)


# -- on this machine -----------------------------------------------------------------------------------------------


def processors() -> int:
    """The processors that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


def on_this_machine(
    jobs: list[Job],
    workers: int | None = None,
    progress: Progress | None = None,
    run: Callable[[Job], Outcome] = run_one,
) -> list[Outcome]:
    """The outcomes of all jobs, in any order. A file that ends its process is tried again alone and then given up."""
    count = _Count(len(jobs), progress)
    if workers != 1:
        return _in_processes(jobs, workers or processors(), count, run)
    outcomes = []  # asked for: in this process, with no limit, as a process cannot end part of itself
    for job in jobs:
        outcomes.append(run(job))
        count.one_more()
    return outcomes


def _in_processes(jobs: list[Job], workers: int, count: _Count, run: Callable[[Job], Outcome]) -> list[Outcome]:
    outcomes = []
    waiting = jobs[::-1]
    run = functools.partial(_within_the_limit, run, _LIMIT)
    while waiting:
        suspects: list[Job] = []
        for outcome in _until_broken(waiting, min(workers, len(waiting)), suspects, run):
            outcomes.append(outcome)
            count.one_more()
        for job in suspects:
            outcomes.append(_alone(job, run))
            count.one_more()
    return outcomes


def _until_broken(
    waiting: list[Job], workers: int, suspects: list[Job], run: Callable[[Job], Outcome]
) -> Iterator[Outcome]:
    """Takes jobs from the end of `waiting` until all are done, or one ends its process: then `suspects` has those
    that were under way."""
    with _pool(workers) as pool:
        under_way: dict[Future, Job] = {}
        while True:
            try:
                while waiting and len(under_way) < workers * _AHEAD and not suspects:
                    under_way[pool.submit(run, waiting[-1])] = waiting[-1]
                    waiting.pop()
            except BrokenProcessPool:
                if not under_way:
                    suspects.append(waiting.pop())
            if not under_way:
                return
            for future in wait(under_way, return_when=FIRST_COMPLETED).done:
                job = under_way.pop(future)
                try:
                    yield future.result()
                except BrokenProcessPool:
                    suspects.append(job)


def _alone(job: Job, run: Callable[[Job], Outcome]) -> Outcome:
    with _pool(1) as pool:
        began = time.monotonic()
        try:
            return pool.submit(run, job).result()
        except BrokenProcessPool:
            too_long = time.monotonic() - began >= _LIMIT
            return failed(job.name, _TOO_LONG.format(_LIMIT) if too_long else _KILLED, bool(job.out))


def _within_the_limit(run: Callable[[Job], Outcome], seconds: float, job: Job) -> Outcome:
    """Does the work, and ends this process where it takes too long, so that no file holds up all the others.

    The standard library's watch for hanging programs does it, since it waits outside Python, where even an engine
    that never comes back cannot stop it.
    """
    with open(os.devnull, "w") as nowhere:
        faulthandler.dump_traceback_later(seconds, exit=True, file=nowhere)
        try:
            return run(job)
        finally:
            faulthandler.cancel_dump_traceback_later()


@contextlib.contextmanager
def _pool(workers: int) -> Iterator[ProcessPoolExecutor]:
    # Started afresh and not forked: a fork copies locks that other threads hold, and Windows and macOS have none.
    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _begin)
    try:
        try:
            pool.submit(os.getpid).result()
        except BrokenProcessPool:
            raise WorkbookProblem(
                "no further processes can be started: work with one (workers=1); a script that asks for more needs "
                'the line if __name__ == "__main__": above its own work'
            ) from None
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def _begin() -> None:
    """What a process does first: interrupts are the parent's to see, and the engine works with one thread in each."""
    os.environ.setdefault("RAYON_NUM_THREADS", "1")
    signal.signal(signal.SIGINT, signal.SIG_IGN)


# -- on a Dask cluster ---------------------------------------------------------------------------------------------


def on_cluster(
    jobs: list[Job], address: str, root: Path, workers: int | None = None, progress: Progress | None = None
) -> tuple[list[Outcome], list[str]]:
    """The outcomes of all jobs, in any order, and notes. What the cluster gives up is done on this machine."""
    try:
        from distributed import as_completed
    except ImportError:
        raise WorkbookProblem("work on a cluster needs a further package: pip install 'tarecell[cluster]'") from None

    outcomes, given_up = [], []
    count = _Count(len(jobs), progress)
    with _client(address) as client:
        _refuse_other_workers(client, address, str(root))
        futures = client.map(run_one, jobs, pure=False, retries=_RETRIES, batch_size=1000)
        of_key = {future.key: job for future, job in zip(futures, jobs, strict=True)}
        completed = as_completed(futures, loop=client.loop)
        del futures  # a result that has been fetched need not stay in the workers' memory
        for future in _while_any_come(completed, of_key):
            job = of_key.pop(future.key)
            try:
                outcome = future.result()
            except Exception:  # its workers ended again and again
                given_up.append(job)
                continue
            outcomes.append(outcome)
            count.one_more()
    given_up += of_key.values()  # their workers hang, or the scheduler is gone
    if not given_up:
        return outcomes, []
    outcomes += _in_processes(given_up, workers or processors(), count, run_one)
    return outcomes, [f"{len(given_up)} files were given up by the cluster and done on this machine"]


def _while_any_come(completed: Any, awaited: dict) -> Iterator[Any]:
    """The futures as they are completed, until none is awaited, or none has come for as long as a file may take."""
    last = time.monotonic()
    while awaited and time.monotonic() - last < _LIMIT:
        batch = completed.next_batch(block=False)
        if batch:
            yield from batch
            last = time.monotonic()
        else:
            time.sleep(0.05)


@contextlib.contextmanager
def _client(address: str) -> Iterator[Any]:
    from distributed import Client

    try:
        client = Client(address, timeout=_PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise WorkbookProblem(
            f"no Dask scheduler answers at {address} ({error}): give its address, such as tcp://10.0.0.5:8786"
        ) from None
    log = logging.getLogger("distributed.client")
    level = log.level
    log.setLevel(logging.CRITICAL)  # a scheduler that is gone is told in the report, and not by a traceback
    try:
        yield client
    finally:
        with contextlib.suppress(OSError, TimeoutError):
            client.close(timeout=5)
        log.setLevel(level)


def _refuse_other_workers(client: Any, address: str, root: str) -> None:
    """Refuses a cluster without workers, and workers that would give another report than this machine."""
    try:
        client.wait_for_workers(1, timeout=_PATIENCE)
        seen = client.run(_what_a_worker_sees, root)
    except TimeoutError:
        raise WorkbookProblem(f"the scheduler at {address} has no workers: start some with “dask worker”") from None
    except Exception as error:  # of any kind: it comes from the worker
        raise WorkbookProblem(
            f"the workers of {address} cannot work with Tarecell: install Tarecell {__version__} there "
            f"({type(error).__name__}: {error})"
        ) from None
    for worker, (version, sees_folder) in seen.items():
        if version != __version__:
            raise WorkbookProblem(f"the worker {worker} has Tarecell {version}, this machine {__version__}")
        if not sees_folder:
            raise WorkbookProblem(f"the worker {worker} does not see the folder {root}: it has to be on a shared disk")


def _what_a_worker_sees(root: str) -> tuple[str, bool]:
    return __version__, os.path.isdir(root)
