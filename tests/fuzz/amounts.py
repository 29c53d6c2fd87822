"""Written amounts: with the number known beforehand, and as no one would write them."""

import math
from fractions import Fraction
from random import Random

import tarecell
from fuzz import values
from tarecell.errors import SPREADSHEET_KINDS, CellError, Fault

# Grams in a unit, and millilitres: international avoirdupois and US customary measures, exact by definition.
GRAMS = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "mg": Fraction(1, 1000),
    "oz": Fraction("28.349523125"),
    "lb": Fraction("453.59237"),
}
MILLILITRES = {"mL": Fraction(1), "L": Fraction(1000), "fl oz": Fraction("29.5735295625"), "cup": None, "tsp": None}
_GLYPHS = {
    "½": Fraction(1, 2),
    "¼": Fraction(1, 4),
    "¾": Fraction(3, 4),
    "⅓": Fraction(1, 3),
    "⅛": Fraction(1, 8),
    "⅔": Fraction(2, 3),
}

_PIECES = "0 1 2 12 999 , . / ½ ⅓ ⁄ - – + & and or to x lb oz g kg tsp cup fl ml °C F e E ² ³ ① ٣ １ \u00a0 \u2009 \n"


def case(rng: Random) -> None:
    """One text. Raises AssertionError for a wrong number, and for anything but a number or an error kind."""
    if rng.random() < 0.5:
        _known(rng)
    else:
        _anything(rng)


def _call(*arguments):
    try:
        return tarecell.call("TC_AMOUNT", *arguments)
    except Fault as fault:
        raise AssertionError(f"TC_AMOUNT{arguments!r}: {fault.reason}"[:2000]) from fault
    except CellError as error:
        assert error.kind in SPREADSHEET_KINDS and error.reason
        return error


def _written(rng: Random) -> tuple[str, Fraction, bool]:
    """A number as text, its value, and whether two habits would read it differently."""
    way = rng.randrange(7)
    whole = rng.choice((rng.randrange(20), rng.randrange(3000), rng.randrange(5_000_000)))
    if way == 0:
        return str(whole), Fraction(whole), False
    if way == 1:
        glyph = rng.choice(list(_GLYPHS))
        return f"{whole}{rng.choice(('', ' '))}{glyph}", whole + _GLYPHS[glyph], False
    if way == 2:
        top, bottom = rng.randrange(1, 16), rng.randrange(1, 17)
        return f"{whole} {top}/{bottom}", whole + Fraction(top, bottom), False
    if way == 3:
        top, bottom = rng.randrange(16), rng.randrange(1, 17)
        return f"{top}{rng.choice(('/', ' / ', '⁄'))}{bottom}", Fraction(top, bottom), False
    digits = "".join(rng.choice("0123456789") for _ in range(rng.choice((1, 2, 2, 4, 5, 3))))
    point = rng.choice(".,")
    if way == 4:
        doubtful = len(digits) == 3 and 1 <= whole <= 999
        return f"{whole}{point}{digits}", Fraction(f"{whole}.{digits}"), doubtful
    group = "," if point == "." else "."
    if way == 5 and whole >= 1000:
        return f"{whole:,}".replace(",", group) + point + digits, Fraction(f"{whole}.{digits}"), False
    if way == 6 and whole >= 1_000_000:
        return f"{whole:,}".replace(",", group), Fraction(whole), False
    return f"{whole}{point}{digits}", Fraction(f"{whole}.{digits}"), len(digits) == 3 and 1 <= whole <= 999


def _known(rng: Random) -> None:
    to, units = rng.choice((("g", GRAMS), ("mL", {k: v for k, v in MILLILITRES.items() if v})))
    words = rng.sample(list(units), rng.choice((1, 1, 2)))
    texts, total, doubtful = [], Fraction(0), False
    for word in words:
        number, value, maybe = _written(rng)
        texts.append(
            number
            + rng.choice(("", " ", "  "))
            + rng.choice((word, word.upper() if word not in ("mg", "mL") else word))
        )
        total += value * units[word]
        doubtful = doubtful or maybe
    text = rng.choice((" ", " + ", " and ", " & ")).join(texts)
    found = _call(text, to)
    if isinstance(found, CellError):
        assert doubtful, f"{text!r} is refused: {found}"
        return
    assert not doubtful, f"{text!r} can be read in two ways and gave {found!r}"
    assert math.isclose(found, total, rel_tol=1e-12, abs_tol=1e-12), (
        f"{text!r} in {to} gave {found!r}, not {float(total)!r}"
    )


def _anything(rng: Random) -> None:
    way = rng.randrange(3)
    if way == 0:
        text = values.text(rng)
    elif way == 1:
        pieces = _PIECES.split(" ")
        text = "".join(rng.choice((*pieces, " ", " ")) for _ in range(rng.randrange(1, 14)))
    else:
        text = list(f"{_written(rng)[0]} {rng.choice(list(GRAMS))}")
        for _ in range(rng.randrange(1, 4)):
            text.insert(
                rng.randrange(len(text) + 1), chr(rng.choice((rng.randrange(32, 127), rng.randrange(0x2200), 0x202E)))
            )
        text = "".join(text)
    found = _call(text, rng.choice(("g", "mL", "oz", "C", "each", "cm")), rng.choice((None, 0.9, 1.0)))
    assert isinstance(found, CellError) or math.isfinite(found), f"{text!r}: {found!r}"
    if isinstance(found, float) and found < 0:
        assert "C" in text or "F" in text or "K" in text.upper(), f"{text!r} gave {found!r}"
