"""Which fragrance allergens an EU label must name (Regulation (EC) 1223/2009, Annex III; (EU) 2023/1545)."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import fold, rows, squeeze
from tarecell.tables.lookup import known
from tarecell.tables.names import shortened

# Above this share of the finished product an allergen must be named; exactly at it, not ("exceeds").
LIMITS = {"leave-on": 0.00001, "rinse-off": 0.0001}
_NOISE = 1e-9  # relative: 2 % of 0.5 % is exactly 0.01 %, whatever binary fractions make of it
_LONGEST = 200  # characters; no name of the list is as long
_NEAR = 0.86  # how alike two names are before one may be a slip of the other ("linalol")
_CAS = re.compile(r"(?<![\d-])\d{2,7}-\d\d-\d(?![\d-])")
_EC = re.compile(r"(?<![\d-])\d{3}-\d{3}-\d(?![\d-])")
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))
# What certificates put before a name to tell its mirror images apart; the list means all of them.
_ISOMER = re.compile(r"^(?:\([^()]{1,8}\)|(?:dl|d|l|cis|trans)(?:,\s*(?:cis|trans))*)\s*[-‐–]\s*")
_GREEK = {"α": "alpha", "β": "beta", "γ": "gamma", "δ": "delta"}
# Common constituents that look like a listed name and are none of the 81 (from memory, checked against the table).
_OTHERS = {
    squeeze(name)
    for name in (
        "citronellal", "nerol", "neryl acetate", "geranyl acetone", "menthone", "isomenthone", "menthyl acetate",
        "gamma-terpinene", "terpinen-4-ol", "terpinyl acetate", "methyl eugenol", "ethyl vanillin", "linalool oxide",
        "ethyl linalool", "dihydrolinalool", "tetrahydrolinalool", "citronellyl acetate", "caryophyllene oxide",
        "limonene oxide", "benzyl acetate", "phenethyl alcohol", "methyl cinnamate", "camphene", "bornyl acetate",
        "rose oxide", "patchouli alcohol",
    )
}  # fmt: skip

# Once on the list of 26, no longer allowed in EU cosmetics at all.
_PROHIBITED = {
    squeeze(name): law
    for law, names in (
        (
            "(EU) 2017/1410",
            ("hydroxyisohexyl 3-cyclohexene carboxaldehyde", "HICC", "lyral", "31906-04-4", "51414-25-6"),
        ),
        ("(EU) 2021/1902", ("butylphenyl methylpropional", "p-BMHCA", "lilial", "80-54-6")),  # the law from memory
    )
    for name in names
}

# The annex gives these under the flower oil; suppliers print them on the peel oils of sweet and bitter orange too.
_FLOWER_OR_PEEL = {"8028-48-6", "72968-50-4"}

# What a plant's name is followed by; the plant alone ("lavender", "lavender essential oil") may be the listed oil.
_OF_A_PLANT = {"oil", "extract", "absolute", "essential", "flower", "leaf", "peel", "bark", "bud", "resin"}


@dataclass(frozen=True)
class Found:
    """A listed allergen in the fragrance: its name on the label, its share of the finished product, which list."""

    name: str
    share: float
    listed: str


def _spellings(name: str) -> list[str]:
    """A name as typed, then without what certificates add: Greek letters, brackets, the letters of mirror images."""
    plain = fold("".join(_GREEK.get(c, c) for c in name.casefold()))
    tries = [plain, re.sub(r"\s*\([^()]*\)\s*$", "", plain)]
    tries += [_without_isomer(t) for t in tries]
    tries += re.findall(r"\(([^()]+)\)", plain)
    tries += _numbers(name)
    return [t for t in dict.fromkeys(tries) if t]


def _numbers(name: str) -> list[str]:
    """The CAS numbers in what was typed; certificates print several for one substance ("78-70-6, 126-91-0")."""
    return [number.lstrip("0") for number in _CAS.findall(name.translate(_DASHES))]


def _without_isomer(name: str) -> str:
    shorter = _ISOMER.sub("", name)
    return name if shorter == name else _without_isomer(shorter)


@cache
def _listed_names() -> dict[str, str]:
    """Every name of the list, folded, without the CAS numbers, and the entry it belongs to."""
    names = {}
    for row in rows("allergens"):
        for name in (row["allergen"], *row["also"].split("|")):
            if name and not _CAS.fullmatch(name):
                names[fold(name)] = row["allergen"]
    return names


@cache
def _plants() -> list[tuple[str, set[str]]]:
    """The listed oils and extracts, each with the words of its plant."""
    split = [(name, set(re.split(r"[ /]", name))) for name in _listed_names()]
    return [(name, words - _OF_A_PLANT) for name, words in split if words & _OF_A_PLANT and words - _OF_A_PLANT]


def _plant(spelling: str) -> str | None:
    """The listed oil or extract whose plant a name tells, in full ("oil of cloves") or in part ("cedarwood")."""
    words = set(re.findall(r"[a-z0-9]+", spelling)) - _OF_A_PLANT
    words |= {word[:-1] for word in words if word.endswith("s")}
    fits = [(len(plant ^ words), name) for name, plant in _plants() if plant <= words or (words and words <= plant)]
    return min(fits)[1] if fits else None


def _near(name: str) -> str | None:
    """A listed name that this one may be a slip of, or holds as a whole word, or whose plant it tells."""
    names = _listed_names()
    for spelling in _spellings(name):
        import difflib  # only for a spelling that is not in the list

        close = difflib.get_close_matches(spelling, names, n=1, cutoff=_NEAR)
        if close:
            return close[0]
        for listed in names:
            if re.search(rf"(?<![a-z0-9]){re.escape(listed)}(?![a-z0-9])", spelling):
                return listed
        if plant := _plant(spelling):
            return plant
    return None


def entry(name: str) -> dict[str, str] | None:
    """The list's row for a constituent (name, other name or CAS number); None for one that is not on the list.

    Raises #N/A where the name comes close to a listed one, so that a slip of the pen does not drop an allergen, and
    #NUM! for one that is prohibited.
    """
    return _entry(name[:_LONGEST])


@lru_cache(maxsize=5000)
def _entry(name: str) -> dict[str, str] | None:
    spellings = _spellings(name)
    _one_substance(name, spellings)
    for spelling in spellings:
        law = _PROHIBITED.get(squeeze(spelling))
        if law:
            raise OutOfRange(f"{shortened(name)} is prohibited in EU cosmetics since {law}: ask the supplier")
    for spelling in spellings:
        row = known("allergens", spelling)
        if row:
            return row
    if any(squeeze(spelling) in _OTHERS for spelling in spellings):
        return None
    _check_numbers(name)
    near = _near(name)
    if near:
        raise NotFound(
            f"“{shortened(name)}” is not on the list of allergens; did you mean {near}? "
            "Type it as listed, or leave the row out if it is another substance"
        )
    return None


def _one_substance(name: str, spellings: list[str]) -> None:
    """#N/A for a cell with the names or CAS numbers of two entries, of which one would be dropped."""
    listed = {row["allergen"] for spelling in spellings if (row := known("allergens", spelling))}
    if len(listed) > 1:
        raise NotFound(f"“{shortened(name)}” holds {' and '.join(sorted(listed))}: give each a row of its own")


def _check_numbers(name: str) -> None:
    """#N/A for a number that cannot be looked up, so that it does not pass as one that is not on the list."""
    for number in _numbers(name):
        _check_cas(number)
        if number in _FLOWER_OR_PEEL:
            raise NotFound(
                f"{number} is printed on flower oil and on peel oil of orange: type Citrus Aurantium Flower Oil or "
                "Citrus Aurantium Peel Oil"
            )
    if _EC.search(name.translate(_DASHES)):
        raise NotFound(
            f"“{shortened(name)}” holds an EC number, which this list does not have: type the name or CAS number"
        )


def _check_cas(number: str) -> None:
    """The last digit of a CAS number checks the others: #N/A for one that was mistyped."""
    digits = [int(c) for c in number if c.isdigit()]
    if sum(place * digit for place, digit in enumerate(reversed(digits[:-1]), 1)) % 10 != digits[-1]:
        raise NotFound(f"{number} is not a valid CAS number (its last digit does not fit): check it for a slip")


def found(names: Sequence[str], fractions: Sequence[float], share: float) -> list[Found]:
    """The listed allergens in the fragrance, in the order they were typed, each added up over its rows."""
    total = math.fsum(fractions)
    if total > 1 + _NOISE:
        raise OutOfRange(
            f"the fractions add up to {total * 100:.6g} %: no more than 100 % of a fragrance can be listed"
        )
    shown: dict[str, str] = {}
    parts: dict[str, list[float]] = {}
    lists: dict[str, str] = {}
    for name, fraction in zip(names, fractions, strict=True):
        row = entry(name)
        if row is None:
            continue
        label = row["allergen"]
        # As typed where that is the listed name, otherwise the listed name, which is what the label must show.
        shown.setdefault(label, " ".join(name.split()) if fold(name) == fold(label) else label)
        parts.setdefault(label, []).append(fraction)
        lists[label] = row["list"]
    return [Found(shown[label], math.fsum(parts[label]) * share, lists[label]) for label in shown]


def exceeds(share: float, exposure: str) -> bool:
    """Whether a share of the finished product is above the limit: 0.001 % leave-on, 0.01 % rinse-off."""
    return share > LIMITS[exposure] * (1 + _NOISE)


def allergens(names: Sequence[str], fractions: Sequence[float], share: float, exposure: str) -> str:
    """The allergens that the label must name, joined by ", "; "none" where there are none.

    names, fractions: the fragrance's constituents and their shares of the fragrance (from its allergen declaration);
    share: the fragrance's share of the finished product; exposure: "leave-on" or "rinse-off".
    Allergens from other ingredients (essential oils, plant extracts) have to be added by hand.
    Raises #N/A for a name close to a listed one, #NUM! for fractions above 100 % in all.
    """
    named = [one.name for one in found(names, fractions, share) if exceeds(one.share, exposure)]
    return ", ".join(named) or "none"
