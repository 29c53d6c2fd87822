"""A progress bar on the terminal."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tqdm import tqdm


@contextmanager
def bar() -> Iterator[Callable[[int, int], None]]:
    """A function that is told how many files are done and how many there are. Without a terminal it shows nothing."""
    with tqdm(unit=" workbooks", disable=None, leave=False, dynamic_ncols=True) as shown:

        def progress(done: int, total: int) -> None:
            shown.total = total
            shown.update(done - shown.n)

        yield progress
