"""Writing a file whole or not at all, and never over a file that somebody has open."""

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tarecell.workbooks.problems import WorkbookProblem

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None

_FULL = (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC), errno.EFBIG)
_FORBIDDEN = (errno.EACCES, errno.EPERM, errno.EROFS)


def same_file(one: Path, other: Path) -> bool:
    """Whether two paths mean one file."""
    try:
        return os.path.samefile(one, other)
    except OSError:
        return False


def differs(path: Path, content: bytes) -> bool:
    """Whether a file no longer has this content. The content is compared: clocks can be wrong, or set back."""
    try:
        return path.read_bytes() != content
    except OSError:
        return True


@contextlib.contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Keeps other writers of this program waiting, so that two at once do not overwrite each other's work.

    The system lets go of the lock when the process ends, however it ends; nothing is left in the folder. Where the
    system has no such lock (Windows), or the folder's file system has none, nobody waits.
    """
    handle = None
    try:
        with contextlib.suppress(OSError):
            if fcntl is not None:
                handle = os.open(folder, os.O_RDONLY)
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        if handle is not None:
            os.close(handle)


def lock_file(path: Path) -> Path | None:
    """The file by which Excel (`~$name`) or LibreOffice (`.~lock.name#`) shows that it has the file open."""
    for name in (f"~${path.name}", f".~lock.{path.name}#"):
        if (path.parent / name).exists():
            return path.parent / name
    return None


def refuse_if_open(path: Path) -> None:
    """Raises when the file that would be overwritten is open in a spreadsheet program."""
    lock = lock_file(path)
    if lock is not None and path.exists():
        raise WorkbookProblem(
            f"{path.name} is open in a spreadsheet program: close it there first (if it is not, delete {lock.name})"
        )


def backup_name(path: Path) -> Path:
    """A free name beside the file: recipe.backup.xlsx, recipe.backup-2.xlsx …"""
    number = 1
    while True:
        suffix = ".backup" if number == 1 else f".backup-{number}"
        candidate = path.with_name(f"{path.stem}{suffix}{path.suffix}")
        if not candidate.exists():
            return candidate
        number += 1


def write(path: Path, content: bytes, like: Path | None = None) -> None:
    """Writes beside the target, makes sure that it is on the disk, then puts it in the target's place in one step.

    The new file gets the permissions of `like`. After a failure the old file is whole and nothing is left over.
    """
    path = Path(os.path.realpath(path))  # through a link, to the file that is meant
    if path.exists() and not path.is_file() and not path.is_dir():
        raise WorkbookProblem(f"{path.name} was not written: it is a device or a pipe, not a file")
    temporary = None
    try:
        handle, temporary = tempfile.mkstemp(prefix=".tarecell-", suffix=".tmp", dir=path.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        with contextlib.suppress(OSError):
            os.chmod(temporary, _mode(like))
        os.replace(temporary, path)
        temporary = None
        _sync_folder(path.parent)
    except OSError as error:
        raise WorkbookProblem(_why(path, error)) from None
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def _mode(like: Path | None) -> int:
    """The permissions of a new file: those of `like`, but writable for its owner."""
    return (stat.S_IMODE(like.stat().st_mode) if like is not None else 0o644) | stat.S_IWUSR


def _sync_folder(folder: Path) -> None:
    with contextlib.suppress(OSError):  # not every system lets a folder be opened
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _why(path: Path, error: OSError) -> str:
    if error.errno in _FULL:
        return f"{path.name} was not written: the disk is full"
    if error.errno in _FORBIDDEN:
        return f"{path.name} was not written: {path.parent} cannot be written to"
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return f"{path.name} was not written: there is no folder {path.parent}"
    if error.errno == errno.EISDIR:
        return f"{path.name} was not written: there is a folder of that name"
    return f"{path.name} was not written: {error.strerror or error}"
