"""The argument kind for a density, whose unit is easily mistaken."""

from tarecell.errors import OutOfRange
from tarecell.functions.kinds import REQUIRED, Number

# g/mL. Above the densest powders of the trade (zinc oxide 5.6) and below every figure in kg/m³, g/L or pounds a gallon.
DENSEST = 6


class Density(Number):
    """A density in g/mL, above 0. A figure in kg/m³ or pounds a gallon would make an amount many times too large."""

    def __init__(self, doc="density in g/mL, for weight to volume and back", default=REQUIRED, at_most=DENSEST):
        super().__init__("density", doc, default, above=0, at_most=at_most)

    def _refuse(self, value: float, wanted: str):
        if value <= 0:
            super()._refuse(value, wanted)
        raise OutOfRange(
            f"{self.name} is {value:g}; in g/mL it is at most {self.at_most:g} (water is about 1): "
            f"kg/m³ or g/L ÷ 1000 is g/mL ({value / 1000:g})"
        )
