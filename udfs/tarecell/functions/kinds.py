"""Argument kinds for single values: they read raw cells, so that no calculation ever sees one."""

import datetime
import math
import sys
from collections.abc import Sequence
from typing import Any

from tarecell.errors import OutOfRange, WrongValue
from tarecell.functions.cells import (
    EPOCH_1900,
    date_of,
    is_blank,
    number_of,
    read_cap,
    share_refusal,
    single,
    text_of,
)
from tarecell.tables import squeeze

REQUIRED = object()


class Argument:
    """One argument of a cell function: its name, one-line description and how its cells are read."""

    kind = ""
    dated = False  # whether `read` needs to know day 0 of the sheet
    # What `read` would give back as it is; a record takes it without asking, as it is what most calls carry:
    ordinary = math.inf, -math.inf  # any float from the first to the second
    any_text = False  # any text that is neither blank nor an error

    def __init__(self, name: str, doc: str, default: Any = REQUIRED):
        self.name, self.doc, self.default = name, doc, default

    @property
    def required(self) -> bool:
        return self.default is REQUIRED

    def read(self, raw: Any) -> Any:
        raise NotImplementedError

    def missing(self) -> Any:
        """The default, or #VALUE! when there is none."""
        if self.default is REQUIRED:
            raise WrongValue(f"{self.name} is missing: {self.doc}")
        return self.default


class Number(Argument):
    """A single number. `above=0`: must be greater than 0, and 0 is as good as blank; `at_least`, `at_most`: bounds."""

    kind = "number"

    def __init__(self, name, doc, default=REQUIRED, above=None, at_least=None, at_most=None):
        super().__init__(name, doc, default)
        self.above, self.at_least, self.at_most = above, at_least, at_most
        self._low = -math.inf if at_least is None else at_least
        self._high = math.inf if at_most is None else at_most
        most = sys.float_info.max
        least = -most if above is None else math.nextafter(above, math.inf)
        self.ordinary = max(least, self._low), min(most, self._high)

    def read(self, raw: Any) -> Any:
        raw = single(raw, self.name)
        if is_blank(raw):
            if self.default is not REQUIRED or self.above == 0:
                return self._absent()
            raw = 0.0
        return self.check(number_of(raw, self.name))

    def _absent(self):
        if self.default is REQUIRED:
            raise WrongValue(f"{self.name} is blank or 0: {self.doc}")
        return self.default

    def check(self, value: float) -> Any:
        if self.above is not None and value <= self.above:
            if value == 0:
                return self._absent()
            self._refuse(value, f"more than {self.above:g}")
        if value < self._low:
            self._refuse(value, f"at least {self._low:g}")
        if value > self._high:
            self._refuse(value, f"at most {self._high:g}")
        return value

    def _refuse(self, value: float, wanted: str):
        raise OutOfRange(f"{self.name} is {value:g}; it must be {wanted} ({self.doc})")


class Share(Number):
    """A fraction from 0 to 1, shown as a percentage by the cell format."""

    kind = "share"

    def __init__(self, name, doc, default=REQUIRED, above=None, at_least=0.0, at_most=1.0):
        super().__init__(name, doc, default, above, at_least, at_most)

    def _refuse(self, value: float, wanted: str):
        raise OutOfRange(f"{self.name}: {share_refusal(value, self.at_most)}")


class Cap(Share):
    """A maximum share as it stands on a certificate: a share, or the words "no restriction". Blank = not stated."""

    kind = "share"

    def read(self, raw: Any) -> float | None:
        raw = single(raw, self.name)
        if is_blank(raw):
            return None
        return read_cap(raw, self.name)


class Text(Argument):
    """A single text. A number counts as its digits (9 and "9" are the same); 0 is as good as blank."""

    kind = "text"

    def __init__(self, name, doc, default=REQUIRED, choices: Sequence[str] | None = None):
        super().__init__(name, doc, default)
        self.choices = {squeeze(c): c for c in choices} if choices else None
        self.any_text = self.choices is None

    def read(self, raw: Any) -> Any:
        if type(raw) is not str:
            raw = single(raw, self.name)
        text = text_of(raw, self.name)
        if not text:
            return self.missing()
        if self.choices is None:
            return text
        try:
            return self.choices[squeeze(text)]
        except KeyError:
            known = ", ".join(self.choices.values())
            raise WrongValue(f"{self.name}: “{text[:40]}” is not one of {known}") from None


class Flag(Argument):
    """TRUE or FALSE (1 or 0)."""

    kind = "flag"

    def read(self, raw: Any) -> bool:
        raw = single(raw, self.name)
        if is_blank(raw):
            return self.default if self.default is not REQUIRED else False
        value = number_of(raw, self.name)
        if value not in (0, 1):
            raise WrongValue(f"{self.name}: TRUE or FALSE is wanted, not {value:g}")
        return bool(value)


class Date(Argument):
    """A day: the sheet's own serial number, or a `datetime.date` in plain Python. `epoch` is day 0 of the sheet."""

    kind = "date"
    dated = True

    def read(self, raw: Any, epoch: datetime.date = EPOCH_1900) -> Any:
        raw = single(raw, self.name)
        if is_blank(raw) or raw == 0:
            return self.missing()
        return date_of(raw, self.name, epoch)


class Rest(Argument):
    """Any further arguments, untouched: for functions about functions."""

    kind = "any"

    def read(self, raw: Any) -> Any:
        return raw
