"""Reading large workbooks without Python's search for what can be thrown away."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collecting() -> Iterator[None]:
    """While a workbook is read, hundreds of thousands of cells are made and none is thrown away.

    Python would go through all of them again and again to look for some: more than half of the time of a large file.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
