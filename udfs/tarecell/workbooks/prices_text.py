"""Prices and packs as price lists write them: "£1.250,00", "5 lb bag", "12 x 4 oz", "500g", "box of 100".

A number that two habits read differently, such as "1,250", is refused with both readings; it is never guessed.
"""

import math
import re

from tarecell.calculations import amount_text
from tarecell.calculations.units import convert, unit
from tarecell.errors import CellError, WrongValue
from tarecell.tables import fold, rows

_NUMBER = re.compile(r"\d[\d.,]*\d|\d")
_MONEY = re.compile(r"[£$€¥₹]|\b(?:usd|eur|gbp|chf|cad|aud|nzd|sek|nok|dkk|pln|kr|fr|euro|euros)\b\.?", re.IGNORECASE)
# Words of price lists beside those of tables/units.csv. “st” (stone or Stück) and “gr” (gram or grain) are refused.
_MORE_UNITS = {
    "kgs": "kg", "gms": "g", "mls": "mL", "ltr": "L", "ltrs": "L", "lt": "L", "lts": "L", "ozs": "oz", "ct": "each",
    "cnt": "each", "pk": "each", "stk": "each", "stuck": "each", "pieza": "each", "piezas": "each", "gal.": "gal",
}  # fmt: skip
_TWO_MEANINGS = {"st": "stone or Stück (pieces)", "gr": "gram or grain", "grs": "gram or grain", "t": "tonne or spoon"}
_VESSELS = (
    "bag|bags|box|boxes|tub|tubs|bottle|bottles|jar|jars|pail|pails|drum|drums|sack|sacks|tin|tins|can|cans|bucket|"
    "buckets|carton|cartons|case|cases|pack|packs|packet|packets|pouch|pouches|roll|rolls|bundle|bundles|set|sets|"
    "block|blocks|slab|slabs|bar|bars|tube|tubes|vial|vials|canister|container|each|ea|net|beutel|dose|flasche|eimer|"
    "karton|packung|sachet|sac|boite|bouteille|seau|fut|bidon|bolsa|caja|botella|cubo"
)
_VESSEL = re.compile(rf"\b(?:{_VESSELS})\b")
_OF = re.compile(rf"(?:{_VESSELS})\s+(?:of|à|a|de)\s+(.+)", re.IGNORECASE)
_TIMES_FIRST = re.compile(r"(\d+)\s*[x×*]\s*(\D*\d.*)", re.IGNORECASE)
_TIMES_LAST = re.compile(r"(.*\d.*?[^\W\d].*?)\s*[x×*]\s*(\d+)\s*(?:pcs|pieces|pack|packs|ct)?", re.IGNORECASE)
_COUNT = re.compile(rf"(\d+)\s*[- ]?\s*(?:{_VESSELS}|pk)s?", re.IGNORECASE)
_TWICE = re.compile(r"(?<=[^\W\d])\.?\s*(?:\(|/|=)\s*(?=\d|½|¼|¾)")  # not the stroke of 1/2
_PIECES = re.compile(r"\b(?:jar|tin|bottle|vessel|mould|mold|box|tube|lid|label|wick|pot|cup|glass|dropper|pump)s?\b")
SAME = 0.02  # how near two statements of one content must be: “16 oz (454 g)”


def price_of(text: str, decimal: str | None = None) -> float:
    """A price. decimal: the list's decimal mark, "." or ",", where the person has said so.

    Raises WrongValue with what to do for a text that is no price, or that can be read in two ways.
    """
    plain = _MONEY.sub(" ", text).replace("\u00a0", " ").replace("\u202f", " ").strip()
    plain = re.sub(r"[.,]\s?[-–—]+$", "", plain)  # “12,-”
    plain = re.sub(r"(?<=\d)[ ’'](?=\d{3}(?!\d))", "", plain)
    if re.fullmatch(r"[-−–(]\s*\d.*", plain):
        raise WrongValue(f"“{text}” is a negative price")
    if not _NUMBER.fullmatch(plain):
        if not any(c.isdigit() for c in plain):
            raise WrongValue(f"“{text}” is no price")
        raise WrongValue(f"“{text}” is not one plain price: write it like 12.50")
    return amount_text.number(_with_point(plain, decimal, text))


def pack_of(text: str, decimal: str | None = None) -> tuple[float, str]:
    """What a pack holds in all, and its unit: "12 x 4 oz" → (48, "oz"), "5 lb bag" → (5, "lb"), "box of 100" → pieces.

    Raises WrongValue with what to do for a text that is no pack, or that can be read in two ways.
    """
    plain = " ".join(text.replace("\u00a0", " ").split()).strip(" .;")
    if re.match(r"(?:~|≈|ca\b|c\.|approx|about|circa|min\b|max\b|up to|from|ab\b)", plain, re.IGNORECASE):
        raise WrongValue(f"“{text}” is not an exact content")
    plain = _NUMBER.sub(lambda found: _with_point(found.group(), decimal, text), plain)
    found = [_one_statement(part.strip(" )"), text) for part in _TWICE.split(plain)]
    value, word = found[0]
    for other, other_word in found[1:]:
        try:
            same = math.isclose(convert(other, other_word, word), value, rel_tol=SAME)
        except CellError:
            same = False
        if not same:
            raise WrongValue(f"“{text}” gives two contents that do not agree")
    return value, word


def pack_in_name(name: str, decimal: str | None = None) -> tuple[float, str]:
    """The pack in a product's name, "Shea butter 500g", where it can be nothing else."""
    found = list(_in_names().finditer(_spaced(name)))
    if len(found) != 1:
        why = "more than one size stands in" if found else "no pack size in a column or in"
        raise WrongValue(f"{why} the name: give the content and unit in columns of their own")
    if _PIECES.search(fold(name)):
        raise WrongValue(
            "the size in the name may be that of the piece, not of the pack: give the content in a column of its own"
        )
    return pack_of(found[0].group(), decimal)


def unit_word(word: str, text: str) -> str:
    """The unit that a price list means, as the tables call it."""
    key = fold(word).strip(" .")
    if key in _TWO_MEANINGS:
        raise WrongValue(f"“{text}”: {key} can be {_TWO_MEANINGS[key]}: write the unit out")
    try:
        known = unit(_MORE_UNITS.get(key, key))
    except CellError:
        raise WrongValue(f"“{text}”: “{word}” is no unit that a pack is measured in") from None
    if known.dimension == "temperature":
        raise WrongValue(f"“{text}” is a temperature, no pack")
    return known.word


def _with_point(digits: str, decimal: str | None, text: str) -> str:
    """Digits with a point for the decimal mark, where the person has said what the mark is."""
    if decimal is None:
        return digits
    group = "," if decimal == "." else "."
    whole, mark, rest = digits.partition(decimal)
    if not re.fullmatch(rf"\d+|\d{{1,3}}(?:{re.escape(group)}\d{{3}})+", whole) or not re.fullmatch(r"\d*", rest):
        raise WrongValue(f"“{text}” does not fit the decimal mark “{decimal}”")
    number = whole.replace(group, "") + (f".{rest}" if mark and rest else "")
    return number + "0" if re.fullmatch(r"\d{1,3}\.\d{3}", number) else number  # 1.250 would be read in two ways


def _one_statement(plain: str, text: str) -> tuple[float, str]:
    """One statement of a content, with or without a number of packs."""
    of = _OF.fullmatch(plain)
    if of:
        plain = of[1]
        if re.fullmatch(r"\d+", plain):
            return float(plain), "each"
    times = _TIMES_FIRST.fullmatch(plain)
    if times:
        count, inner = int(times[1]), times[2]
    else:
        times = _TIMES_LAST.fullmatch(plain)
        count, inner = (int(times[2]), times[1]) if times else (1, plain)
    if re.search(r"\d\s*[x×*]\s*\d", inner, re.IGNORECASE):
        raise WrongValue(f"“{text}” multiplies more than once: write the content in all")
    value, word = _content(inner.strip(), text)
    return count * value, word


def _content(plain: str, text: str) -> tuple[float, str]:
    counted = _COUNT.fullmatch(plain)
    if counted:
        return float(counted[1]), "each"
    plain = re.sub(r"(?<=\d)-(?=[^\W\d])", " ", plain)  # “16-oz”
    try:
        found = amount_text.parts(plain)
    except CellError as error:
        raise WrongValue(error.reason if "can be" in error.reason else f"“{text}”: {error.reason}") from None
    *before, (last, last_words) = found
    values = [(value, unit_word(word, text)) for value, word in before]
    values.append((last, _unit_before_vessel(last_words, text)))
    word = values[0][1]
    try:
        total = math.fsum(convert(value, each, word) for value, each in values)
    except CellError as error:
        raise WrongValue(f"“{text}”: {error.reason}") from None
    if not 0 < total < 1e9:
        raise WrongValue(f"“{text}” is no content of a pack")
    return total, word


def _unit_before_vessel(words: str, text: str) -> str:
    """The unit in “lb bag”, “fl oz bottle”, “g”."""
    known = words.split()
    for count in range(min(3, len(known)), 0, -1):
        rest = known[count:]
        if all(_VESSEL.fullmatch(fold(word).strip(".")) for word in rest):
            try:
                return unit_word(" ".join(known[:count]), text)
            except WrongValue as refusal:
                if count == 1 or "can be" in refusal.reason:
                    raise
    raise WrongValue(f"“{text}” is not one pack: write it like “5 lb” or “12 x 4 oz”")


def _spaced(name: str) -> str:
    return " ".join(name.replace("\u00a0", " ").split())


def _in_names() -> re.Pattern:
    """A number with a unit anywhere in a name."""
    words = {w for row in rows("units") if row["dimension"] in ("mass", "volume") for w in row["words"].split("|")}
    words = sorted({*words, *(w for w, u in _MORE_UNITS.items() if u != "each"), *_TWO_MEANINGS}, key=len, reverse=True)
    units = "|".join(map(re.escape, words))
    number = r"\d+\s+\d+/\d+|\d+/\d+|\d[\d.,]*|[½¼¾]"
    return re.compile(rf"(?<![\w.,/])(?:\d+\s*[x×]\s*)?(?:{number})\s*-?(?:{units})(?![\w/])", re.IGNORECASE)
