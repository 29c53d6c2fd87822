"""Commands run in processes of their own, with limits: what crashes, hangs or is killed there is told here.

One warm process is started and forks for every command, so that a command costs hundredths of a second, not a start of
Python. POSIX only.
"""

import codecs
import contextlib
import io
import json
import os
import resource
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
WARM = (
    "difflib",  # loaded where a name is not found: a child with another owner may not read it any more
    "tarecell.cli",
    "tarecell.hosts.embedded",
    "tarecell.hosts.libreoffice",
    "tarecell.workbooks.add",
    "tarecell.workbooks.check",
    "tarecell.workbooks.find",
    "tarecell.workbooks.new",
    "tarecell.workbooks.open_document",
    "tarecell.workbooks.prices",
    "tarecell.workbooks.recalculate",
    "tarecell.workbooks.share",
    "formualizer",
    "openpyxl",
    "pandas",
)
PATIENCE = 120  # seconds until a child that nobody limited is given up
MEGABYTE = 1 << 20


@dataclass(frozen=True)
class Outcome:
    """How a command ended: its exit status, minus the signal that ended it, or None where its time was up."""

    status: int | None
    out: str
    err: str
    seconds: float
    megabytes: float  # what it took on top of the warm process

    @property
    def crashed(self) -> str:
        """What went wrong that must never go wrong, '' for a proper end."""
        if self.status is None:
            return f"it hung: stopped after {self.seconds:.0f} s"
        if self.status < 0:
            return f"it was ended by signal {-self.status}: {self.err[-600:]}"
        if "Traceback" in self.err or "Traceback" in self.out or "please report it" in self.out + self.err:
            return f"it crashed: {self.err[-1500:] or self.out[-1500:]}"
        if self.status not in (0, 1, 2):
            return f"it ended with status {self.status}: {self.err[-600:]}"
        return ""


class Apart:
    """`with Apart() as apart: apart.tarecell("find", "book.xlsx")`."""

    def __enter__(self) -> "Apart":
        paths = os.pathsep.join([str(HERE), str(HERE.parent / "udfs")])
        self._process = subprocess.Popen(
            [sys.executable, "-X", "faulthandler", HERE / "apart.py"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONPATH": paths, "PYTHONWARNINGS": "ignore"},
        )  # fmt: skip
        assert self._process.stdout.readline() == "ready\n"
        return self

    def __exit__(self, *_) -> None:
        self._process.stdin.close()
        self._process.wait(20)

    def tarecell(self, *arguments: Any, **limits: Any) -> Outcome:
        """One command of the command line. For the limits see `call`."""
        return self.call("tarecell.cli:main", [str(a) for a in arguments], **limits)

    def call(self, function: str, *arguments: Any, **limits: Any) -> Outcome:
        """One function, named "module:function", in a child.

        Limits: folder to run in; seconds; megabytes on top of the warm process; file_bytes (no file may grow larger);
        person (a user's name); killed_after (seconds until a real SIGKILL); killed_at ("os.replace", 1): SIGKILL
        when that function is called for the second time.
        """
        return self.together([(function, arguments, limits)])[0]

    def together(self, calls: list[tuple[str, Any, dict]]) -> list[Outcome]:
        """Several at once."""
        self._process.stdin.write(json.dumps([[f, list(a), _plain(limits)] for f, a, limits in calls]) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        assert line, "the warm process ended"
        return [Outcome(**outcome) for outcome in json.loads(line)]


def _plain(limits: dict) -> dict:
    return {k: str(v) if isinstance(v, Path) else v for k, v in limits.items()}


# -- in the warm process -----------------------------------------------------------------------------------------------


def _memory() -> tuple[int, int]:
    """Bytes of address space, and bytes in memory."""
    pages = Path("/proc/self/statm").read_text().split()
    size = os.sysconf("SC_PAGE_SIZE")
    return int(pages[0]) * size, int(pages[1]) * size


class _Child:
    def __init__(self, function: str, arguments: list, limits: dict):
        self.limits = limits
        self.said = [os.pipe(), os.pipe()]  # not files: the size of files may be limited
        self.heard = [b"", b""]
        self.base = _memory()[1]
        self.started = time.monotonic()
        self.pid = os.fork()
        if self.pid == 0:
            self._run(function, arguments)
        for reading, writing in self.said:
            os.close(writing)
            os.set_blocking(reading, False)

    def _run(self, function: str, arguments: list) -> None:
        status = 70
        try:
            os.setsid()
            for number, (_, writing) in enumerate(self.said, 1):
                os.dup2(writing, number)
            _limit(self.limits)
            module, name = function.split(":")
            status = getattr(import_module(module), name)(*arguments) or 0
        except SystemExit as ended:
            status = ended.code if isinstance(ended.code, int) else 2
        except BaseException:
            import traceback

            traceback.print_exc()
        finally:
            try:
                sys.stdout.flush()
                sys.stderr.flush()
            finally:
                os._exit(status if isinstance(status, int) else 0)

    def finished(self) -> dict | None:
        self._listen()
        pid, status, used = os.wait4(self.pid, os.WNOHANG)
        elapsed = time.monotonic() - self.started
        if pid == 0:
            killed_after = self.limits.get("killed_after")
            if killed_after is not None and elapsed >= killed_after:
                os.kill(self.pid, signal.SIGKILL)
            elif elapsed < self.limits.get("seconds", PATIENCE):
                return None
            else:
                os.kill(self.pid, signal.SIGKILL)
            _, status, used = os.wait4(self.pid, 0)
            code = None if killed_after is None else os.waitstatus_to_exitcode(status)
        else:
            code = os.waitstatus_to_exitcode(status)
        self._listen()
        for reading, _ in self.said:
            os.close(reading)
        out, err = (heard.decode("utf-8", "replace") for heard in self.heard)
        megabytes = max(0.0, (used.ru_maxrss * 1024 - self.base) / MEGABYTE)
        return {"status": code, "out": out, "err": err, "seconds": elapsed, "megabytes": megabytes}

    def _listen(self) -> None:
        for i, (reading, _) in enumerate(self.said):
            with contextlib.suppress(BlockingIOError):
                while said := os.read(reading, 1 << 16):
                    self.heard[i] += said


def _limit(limits: dict) -> None:
    if "folder" in limits:
        os.chdir(limits["folder"])
    if "megabytes" in limits:
        most = _memory()[0] + limits["megabytes"] * MEGABYTE
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
    if "file_bytes" in limits:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # so that the write fails, as on a full disk
        resource.setrlimit(resource.RLIMIT_FSIZE, (limits["file_bytes"],) * 2)
    if "person" in limits:
        import pwd

        person = pwd.getpwnam(limits["person"])
        os.setgroups([])
        os.setgid(person.pw_gid)
        os.setuid(person.pw_uid)
    if "killed_at" in limits:
        _deadly(*limits["killed_at"])


def _deadly(name: str, spared: int) -> None:
    """Makes a function of a module end this process with SIGKILL, when it is called after `spared` calls."""
    module, function = name.rsplit(".", 1)
    holder, real, calls = import_module(module), getattr(import_module(module), function), [0]

    def deadly(*arguments, **options):
        calls[0] += 1
        if calls[0] > spared:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*arguments, **options)

    setattr(holder, function, deadly)


def _serve() -> None:
    for module in WARM:
        import_module(module)
    import tarecell

    tarecell.call("TC_CONVERT", 1.0, "lb", "g")
    with contextlib.redirect_stderr(io.StringIO()):
        import_module("tarecell.cli").main(["find", "nowhere.xlsx"])  # brings in the rest
    codecs.lookup("cp437")  # zipfile wants it; another person may not be able to read it from where it lies
    print("ready", flush=True)
    for line in sys.stdin:
        running = [_Child(*call) for call in json.loads(line)]
        outcomes: list[dict | None] = [None] * len(running)
        while None in outcomes:
            for i, child in enumerate(running):
                if outcomes[i] is None:
                    outcomes[i] = child.finished()
            time.sleep(0.002)
        print(json.dumps(outcomes), flush=True)


if __name__ == "__main__":
    _serve()
