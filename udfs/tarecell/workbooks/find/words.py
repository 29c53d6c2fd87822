"""What the words in a sheet mean: headings, units, totals and names of phases."""

import re
from functools import lru_cache

from tarecell.calculations import units
from tarecell.errors import CellError
from tarecell.tables import fold, rows, squeeze
from tarecell.workbooks.find.headings import (
    AMOUNT,
    HEADINGS,
    MATERIAL_HEADINGS,
    MONEY,
    NAME,
    NOTE,
    OTHER,
    PACK,
    PERCENT,
    PHASE,
    PHASE_NAMES,
    RECIPE,
    SETTINGS,
    STOCK,
    TOTALS,
    UNIT,
    UNITS,
)


def _list(words: str) -> list[str]:
    return [" ".join(word.split()) for word in words.split(",")]


_ROLES = [(word, role) for role, words in HEADINGS.items() for word in _list(words)]
_EXACT = {word: role for word, role in reversed(_ROLES)}
_WHOLE = set(
    "% of the by in w wt weight mass total batch recipe formula whole all product finished amount amounts".split()
)
_WHOLE |= {word for phrase in _list(HEADINGS[PERCENT]) for word in phrase.split()}
_PHRASE = re.compile(rf"\b(?:{'|'.join(re.escape(word) for word in _EXACT if ' ' in word)})\b")
LIMITING = re.compile(
    r"\b(?:max|min|most|least|maximum|minimum|limits?|caps?|ifra|usage|rate|margin|discount|markup|purity|loss|superfat)\b"
)
_UNIT_WORDS = {word: unit for unit, words in UNITS.items() for word in _list(words)}
_INGREDIENT_HEADINGS = set(_list(HEADINGS[NAME])) - set(_list(MATERIAL_HEADINGS))
_PART = re.compile(r"\b(?:additions?|additives?|extras?|preservatives?|fragrances?|emulsifiers?)\b")
_DATES = ("date", "datum", "fecha", "data", "day", "when")
_COUNTS = ("each", "piece", "dozen")  # a column of pieces is no recipe
_TOTAL_WORDS = "|".join(map(re.escape, _list(TOTALS)))
# "Total", "Total batch (g)", "Batch total", "Phase A total:"
_TOTAL = re.compile(rf"(?:{_TOTAL_WORDS})\b.*|(?:\S+ ){{1,3}}(?:{_TOTAL_WORDS})(?: \S{{1,3}})?")
_SUBTOTAL = re.compile(r"\bsub[\s-]?totals?\b|\b(?:phase|fase)\b|zwischensumme|sous[\s-]total")
_SETTING = re.compile(re.sub(r"\s+", "", SETTINGS))
_PHASE_NAMES = "|".join(map(re.escape, _list(PHASE_NAMES)))
_PHASE = re.compile(
    r".*(?:\b|[a-z])(?:phase|fase)\b.*|(?:part|stage|step|teil|partie|parte|etape)\b.{0,12}|[a-e][.:)]?|.*:|"
    rf"(?:the )?(?:{_PHASE_NAMES})(?: (?:ingredients|items|mix|part))?"
)


def heading(text: str) -> str:
    """A heading without case, accents, line breaks and the unit in brackets."""
    return fold(re.sub(r"[(\[{/|].*$", "", text).strip(" :.*#-") or text.strip(" ()[]:."))


@lru_cache(maxsize=4000)
def role(text: str) -> str | None:
    """What a column holds, as its heading says; None for a heading that is not known."""
    if not text or len(text) > 60:
        return None
    plain, whole = heading(text), fold(text)
    words = re.findall(r"[^\W_]+|[%$€£]", whole)
    if not words or len(words) > 8:
        return None
    if plain in _EXACT and _EXACT[plain] not in (AMOUNT, NAME):
        return PERCENT if _EXACT[plain] == PHASE and "%" in words else _EXACT[plain]
    if any(mark in whole for mark in "$€£"):
        return MONEY
    found = {_EXACT[w] for w in words if w in _EXACT}
    found |= {_EXACT[phrase] for phrase in _PHRASE.findall(whole)}
    if LIMITING.search(whole):
        return OTHER  # "max %", "IFRA limit": what may be used, not what is
    if MONEY in found or PACK in found or STOCK in found:
        return next(r for r in (MONEY, PACK, STOCK) if r in found)
    if "per" in words[1:] and unit_word(words[-1]):  # "g per mL": a density or a price, not an amount
        return OTHER
    if plain in _EXACT:
        return PERCENT if _EXACT[plain] == AMOUNT and "%" in words else _EXACT[plain]
    unit = unit_word(whole.strip(" .:()[]").removeprefix("in "))
    if unit:
        return OTHER if unit in _COUNTS else AMOUNT
    if PERCENT in found:
        weights = [w for w in words if (u := unit_word(w)) and u != "%" and u not in _COUNTS]
        return OTHER if weights else PERCENT  # "in g, or as %" says neither
    return next((r for r in (NOTE, PHASE, NAME, AMOUNT, UNIT, RECIPE) if r in found and len(words) <= 5), None)


def whole_share(text: str) -> bool:
    """Whether a percentage heading means shares of the whole recipe, not of something in it."""
    return set(re.findall(r"[^\W_]+|[%$€£]", fold(text))) <= _WHOLE


def lists_a_part(text: str) -> bool:
    """Whether a heading over names speaks of a part of a recipe only: its additions, its preservatives."""
    return bool(_PART.search(fold(text)))


def names_ingredients(text: str) -> bool:
    """Whether a heading stands over ingredients and could not be an ingredient itself, as "Oil" could."""
    return heading(text) in _INGREDIENT_HEADINGS


@lru_cache(maxsize=4000)
def unit_word(text: str) -> str | None:
    """A weight, volume or count unit as the units table spells it, "%" for a percentage; None for other words."""
    plain = fold(text).strip(" .:()[]")
    if not plain or len(plain) > 24 or plain.isdigit():
        return None
    if plain in _UNIT_WORDS:
        return _UNIT_WORDS[plain]
    if squeeze(plain.replace(".", " ")) not in _table_words():
        return None
    try:
        found = units.unit(text.strip(" :()[]"))
    except CellError:
        return None
    return found.word if found.dimension in ("mass", "volume", "count") else None


@lru_cache(maxsize=1)
def _table_words() -> frozenset[str]:
    """What may be a unit at all: asking the table for a word that it lacks is slow: it looks for nearest ones."""
    return frozenset(squeeze(w.replace(".", " ")) for row in rows("units") for w in row["words"].split("|"))


@lru_cache(maxsize=4000)
def heading_unit(text: str) -> str | None:
    """The unit that a heading states: "amount (g)", "Weight / oz", "grams", "Menge in g", "% w/w"."""
    inside = re.findall(r"[(\[{]([^)\]}]*)[)\]}]", text)
    after = re.findall(r"[/,|:]\s*([^/,|:()\[\]]+)$", text)
    last, first = re.findall(r"\s(\S+)$", text), re.findall(r"^(\S+)\s+(?:per|for|pro|par|je)\b", text, re.IGNORECASE)
    for candidate in [*inside, *after, text, *last, *first]:
        found = unit_word(candidate.removeprefix("in ").strip())
        if found and found not in _COUNTS:
            return found
    return "%" if role(text) == PERCENT else None


def format_unit(number_format: str) -> str | None:
    """The unit that a number format adds to its numbers: `0.0" g"` → g."""
    for quoted in re.findall(r'"([^"]*)"', number_format.split(";")[0]):
        found = unit_word(quoted)
        if found:
            return found
    return None


def is_total(text: str) -> bool:
    """Whether a row's label says that it adds up the rows above."""
    return bool(text) and len(text) <= 60 and bool(_TOTAL.fullmatch(heading(text) or fold(text)))


def is_subtotal(text: str) -> bool:
    """Whether a totals label speaks of one phase only."""
    return bool(_SUBTOTAL.search(fold(text)))


def is_setting(text: str) -> bool:
    """Whether a label speaks of the batch or the jar, not of an ingredient."""
    return bool(_SETTING.search(fold(text)))


def is_date_heading(text: str) -> bool:
    """Whether a column holds dates, as in a log of what was used."""
    return heading(text) in _DATES


def is_phase_name(text: str) -> bool:
    """Whether a text by itself sounds like the name of a phase."""
    return bool(text) and len(text) <= 60 and bool(_PHASE.fullmatch(fold(text).strip()))
