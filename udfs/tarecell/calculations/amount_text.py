"""Amounts as people write them: "1 lb 4 oz", "2 1/2 tsp", "½ cup", "1,250.5 g"."""

import re
import unicodedata

from tarecell.calculations.units import convert, unit
from tarecell.errors import OutOfRange, WrongValue

LONGEST = 200  # characters; anything longer is no amount
_DASHES = "-−‐‑‒–—"
_NUMBER = r"\d[\d.,]*"
_TOKEN = re.compile(
    rf"\s*(?:(?P<mixed>\d+)\s+(?P<mtop>\d+)\s*/\s*(?P<mbottom>\d+)|(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>{_NUMBER}))"
    r"\s*(?P<unit>[^\d\s,;+&/][^\d,;+&/]*)?"
)


def amount(text: str, to: str, density: float | None = None) -> float:
    """The number in a written amount, in the unit `to`. Several parts add up ("1 lb 4 oz").

    density: g/mL, where weight and volume meet. Raises #VALUE! for a text that is no amount, has no unit, or can be
    read in two ways; #NUM! for a negative amount; #N/A for an unknown unit.
    """
    unit(to)
    return sum(convert(value, word, to, density) for value, word in parts(text))


def number(text: str) -> float:
    """A plain number with either habit of points and commas: "12,50", "1.250,00". #VALUE! where two readings differ."""
    if not re.fullmatch(_NUMBER, text):
        raise WrongValue(f"“{text}” is no number")
    return _decimal(text, text)


def parts(text: str) -> list[tuple[float, str]]:
    """The (value, unit word) pairs of a written amount."""
    if len(text) > LONGEST:
        raise WrongValue(f"this text has {len(text)} characters: no amount is that long")
    plain = _spell_fractions(text).strip()
    if plain and plain[0] in _DASHES:
        raise OutOfRange(f"“{text}” is negative")
    found, position = [], 0
    while position < len(plain):
        match = _TOKEN.match(plain, position)
        if match is None:
            raise WrongValue(f"“{text}” cannot be read as an amount: write a number and a unit, like “2 1/2 tsp”")
        if not (match["unit"] or "").strip():
            raise WrongValue(f"“{text}” has a number without a unit: write it like “250 g”")
        found.append((_value(match, text), _word(match["unit"], text)))
        position = match.end()
        joint = re.match(r"\s*(?:\+|&|,)\s*", plain[position:])
        if joint:
            position += joint.end()
            if position == len(plain):
                raise WrongValue(f"“{text}” ends in the middle")
    if not found:
        raise WrongValue("no amount here: write a number and a unit, like “250 g”")
    return _one_dimension_each_once(found, text)


def _word(raw: str, text: str) -> str:
    word = raw.strip()
    word = word[:-4].strip() if word.lower().endswith(" and") else word
    if word[0] in _DASHES or word[-1] in _DASHES or word.lower().split()[-1] in ("to", "or"):
        raise WrongValue(f"“{text}” reads like a range: write one amount")
    return word


def _one_dimension_each_once(found: list[tuple[float, str]], text: str) -> list[tuple[float, str]]:
    if len(found) > 1:
        names = [unit(word).word for _, word in found]
        if len(set(names)) < len(names):
            raise WrongValue(f"“{text}” names the same unit twice: write one amount")
        if any(unit(name).dimension == "temperature" for name in names):
            raise WrongValue(f"“{text}”: temperatures do not add up; write one of them")
    return found


def _spell_fractions(text: str) -> str:
    """½ → 1/2, with a space before it after a digit, so that 1½ reads as 1 1/2. Narrow spaces group digits: dropped."""
    out = []
    for c in re.sub(r"(?<=\d)[\u00a0\u2009\u202f](?=\d{3}(?!\d))", "", text):
        folded = unicodedata.normalize("NFKC", c) if unicodedata.category(c) == "No" else c
        if "⁄" in folded:
            out.append(" " + folded.replace("⁄", "/"))
        else:
            out.append("/" if c == "⁄" else c)
    return "".join(out)


def _value(match: re.Match, text: str) -> float:
    if match["number"]:
        return _decimal(match["number"], text)
    whole = int(match["mixed"] or 0)
    top, bottom = (match["mtop"], match["mbottom"]) if match["mixed"] else (match["top"], match["bottom"])
    if int(bottom) == 0:
        raise WrongValue(f"“{text}” divides by 0")
    return whole + int(top) / int(bottom)


def _decimal(digits: str, text: str) -> float:
    """A number with either habit of points and commas. #VALUE! with both readings where the two differ."""
    marks = re.sub(r"\d", "", digits)
    if digits[-1] in ".,":
        raise WrongValue(f"“{text}” has a number that ends in “{digits[-1]}”")
    if not marks:
        return float(digits)
    groups = re.split(r"[.,]", digits)
    grouped = all(len(g) == 3 for g in groups[1:]) and 1 <= len(groups[0]) <= 3 and groups[0][0] != "0"
    if len(marks) == 1:
        if grouped:
            whole, point = "".join(groups), ".".join(groups)
            raise WrongValue(f"“{text}” can be {float(point):g} or {whole}: write {float(point):g} or {whole}")
        return float(".".join(groups))
    if len(set(marks)) == 1:
        if not grouped:
            raise WrongValue(f"“{digits}” is no number: check its points and commas")
        return float("".join(groups))
    well_grouped = all(len(g) == 3 for g in groups[1:-1]) and 1 <= len(groups[0]) <= 3 and groups[0][0] != "0"
    if len(set(marks[:-1])) == 1 and marks[-1] != marks[0] and well_grouped:
        return float("".join(groups[:-1]) + "." + groups[-1])
    raise WrongValue(f"“{digits}” is no number: check its points and commas")


def pounds_and_ounces(grams: float) -> str:
    """Grams as pounds and ounces, to a hundredth of an ounce: 567 → "1 lb 4 oz"."""
    hundredths = round(convert(grams, "g", "oz") * 100)
    pounds, rest = divmod(hundredths, 1600)
    ounces = f"{rest / 100:.2f}".rstrip("0").rstrip(".")
    return f"{pounds} lb {ounces} oz" if pounds else f"{ounces} oz"
