"""The argument kind for a temperature on which a safety decision hangs."""

from tarecell.calculations.units import unit
from tarecell.errors import WrongValue
from tarecell.functions.kinds import REQUIRED, Argument, Number


class Temperature(Number):
    """A temperature. Negative ones are real, but 0 is as good as blank: a blank cell looks like 0 in some hosts, and a
    missing reading must never pass for a cold one."""

    def __init__(self, *args, **options):
        super().__init__(*args, **options)
        self.ordinary = Argument.ordinary  # none is taken unseen

    def check(self, value: float):
        return self._absent() if value == 0 else super().check(value)

    def _absent(self):
        if self.default is REQUIRED:
            raise WrongValue(
                f"{self.name} is blank or 0: {self.doc} (0 is not taken, because a blank cell looks the same)"
            )
        return self.default


def degree(word: str) -> str:
    """A temperature unit as people write it: "C" → "°C"."""
    plain = unit(word).word
    return plain if plain == "K" else f"°{plain}"
