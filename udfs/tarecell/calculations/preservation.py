"""Preservation: legal maxima of the EU annex, salts as acids, the active part of a weak acid, the cool-down gate."""

from tarecell.calculations.products import product_type
from tarecell.calculations.units import celsius
from tarecell.errors import NotFound, OutOfRange
from tarecell.tables import CERTAINTY, Names, fold, rows
from tarecell.tables.lookup import known, row_of

LEAVE_ON, RINSE_OFF = "leave-on", "rinse-off"
_TRACE = 1 + 1e-9  # arithmetic on a share may miss its limit by a hair without being over it
_ORAL = "6"  # IFRA category of what goes into the mouth
_NOT_LISTED = "that is not “no limit”: use the supplier's figure, and for a blend look up each constituent"
_LEGAL = "this is the legal maximum, not a recommended rate; only a challenge test proves preservation"
# (EC) 1223/2009, Annex I, Part B, from memory: a separate assessment for products for children under three
_ASSESSOR = "a product for children under 3 needs a safety assessor's agreement before anyone uses it"
UNDER_3 = {
    "never": "not in products for children under 3",
    "bath and shampoo only": "not in products for children under 3, except bath and shower products and shampoo",
    "no nappy area": "not in leave-on products for the nappy area of children under 3",
}


def preservative(name: str) -> dict[str, str]:
    """The table's row for a substance. #N/A with the nearest names, and with what to do instead."""
    try:
        return row_of("preservatives", name, "Annex V limit in the table for")
    except NotFound as miss:
        raise NotFound(f"{miss.reason}; {_NOT_LISTED}") from None


def _allowed(name: str) -> dict[str, str]:
    row = preservative(name)
    if row["standing"] == "none":
        what = f" ({row['note']})" if row["note"] else ""
        raise NotFound(f"no Annex V limit: {row['substance']} is not in the annex{what}; {_NOT_LISTED}")
    return row


def limit(name: str, exposure: str) -> float:
    """The EU Annex V maximum of a preservative in the finished product, as a share.

    exposure: "leave-on" or "rinse-off". Where the annex counts a substance as its acid, so does the maximum.
    #N/A for a substance that the annex does not list; #NUM! where it is not allowed at all with that exposure.
    Source: (EU) 1223/2009 Annex V, export of February 2024.
    """
    row = _allowed(name)
    if row["standing"] == "prohibited":
        raise OutOfRange(f"{row['substance']} is prohibited in cosmetics in the EU ({cited(row)}): do not use it")
    text = row[exposure.replace("-", "_")]
    if not text:
        raise OutOfRange(f"{row['substance']} is not allowed in {exposure} products: {row['note']}")
    return float(text)


def acid_factor(salt: str) -> tuple[str, float]:
    """The acid of a salt or ester, and the acid's share of its weight; 1 for an acid itself. #N/A with nearest names.

    Source: molar mass of the acid ÷ molar mass of the salt (molmass).
    """
    row = known("acid_salts", salt)
    if row:
        return row["acid"], float(row["acid_molar_mass"]) / float(row["molar_mass"])
    acids = list(dict.fromkeys(row["acid"] for row in rows("acid_salts")))
    found = Names(acids, "acid").positions(salt)
    if found:
        return acids[found[0]], 1.0
    listed = known("preservatives", salt)
    if listed:
        raise NotFound(f"{listed['substance']} is not counted as an acid: take its own share as it is")
    return row_of("acid_salts", salt, "acid known for the salt")["acid"], 1.0  # raises, with the nearest names


def acid_equivalent(salt: str, share: float) -> float:
    """A salt's (or paraben's) share of the product expressed as its acid."""
    return share * acid_factor(salt)[1]


def counted(name: str, share: float) -> float:
    """A substance's share as the annex counts it: as the acid where it says so."""
    row = preservative(name)
    return acid_equivalent(row["substance"], share) if row["counted_as"] else share


def status(name: str, share: float, product: str) -> str:
    """Whether a share of a preservative is within the EU maximum in that type of product, as a text.

    The text begins with "within", "over" or "not in this product", and tells the restriction. share: of the finished
    product, of the substance as weighed; a salt is turned into its acid before it is compared.
    #N/A for a substance that the annex does not list, for an unknown product, and for what is not a cosmetic.
    Source: (EU) 1223/2009 Annex V, export of February 2024.
    """
    row, kind = _allowed(name), product_type(product)
    if kind["exposure"] not in (LEAVE_ON, RINSE_OFF) or not kind["category"] or kind["category"].startswith("11"):
        raise NotFound(f"Annex V is about cosmetics: it has no limit for “{kind['product']}”; ask the supplier")
    reason = _barred(row, kind)
    if reason:
        return f"not in this product: {reason}"
    most, where = maximum(row, kind)
    amount = counted(row["substance"], share)
    unit_word = f" as {row['counted_as']}" if row["counted_as"] else ""
    if amount > most * _TRACE:
        return f"over: {_pct(amount)}{unit_word}, the legal maximum is {_pct(most)} ({where})"
    if row["below"] and share * _TRACE >= float(row["below"]):
        return f"over: {_pct(share)}; {row['note']}"
    baby = [_ASSESSOR] if _for_baby(kind) else []
    notes = "".join(f"; {note}" for note in [*conditions(row), *baby, _LEGAL])
    return f"within: {_pct(amount)}{unit_word}, the legal maximum is {_pct(most)} ({where}){notes}"


def maximum(row: dict[str, str], kind: dict[str, str]) -> tuple[float, str]:
    """The maximum for a preservative's row in a product type's row, and what it holds for."""
    if kind["product"] == "deodorant" and row["deodorant"]:
        return float(row["deodorant"]), "deodorant"
    if kind["category"] == _ORAL and row["oral"]:
        return float(row["oral"]), "oral product"
    return float(row[kind["exposure"].replace("-", "_")]), kind["exposure"]


def conditions(row: dict[str, str]) -> list[str]:
    """What else a maker has to know about a substance that is within its maximum."""
    notes = [row["note"]] if row["note"] else []
    if row["under_3"]:
        notes.append(UNDER_3[row["under_3"]])
    if row["releaser"]:
        notes.append(
            "formaldehyde releaser: where more than 0.001 % formaldehyde is released in all, the label must say "
            "“releases formaldehyde”"
        )
    return notes


def _barred(row: dict[str, str], kind: dict[str, str]) -> str | None:
    """Why a substance may not be in this type of product at all; None where it may."""
    if row["standing"] == "prohibited":
        return f"{row['substance']} is prohibited in cosmetics in the EU ({cited(row)})"
    if kind["category"] in row["not_categories"].split("|") or kind["product"] in row["not_products"].split("|"):
        return f"{row['substance']} is not allowed in {kind['product']}: {row['note']}"
    if not row[kind["exposure"].replace("-", "_")]:
        return f"{row['substance']} is not allowed in {kind['product']}: {row['note']}"
    if row["under_3"] and _for_baby(kind) and _shut_to_babies(row["under_3"], kind):
        return f"{row['substance']} is not allowed in {kind['product']}: {UNDER_3[row['under_3']]}"
    return None


def _for_baby(kind: dict[str, str]) -> bool:
    return kind["category"] == "5D" or fold(kind["product"]).startswith("baby")


def _shut_to_babies(rule: str, kind: dict[str, str]) -> bool:
    if rule == "bath and shampoo only":
        bathing = any(word in fold(kind["product"]) for word in ("bath", "shampoo", "shower", "wash"))
        return kind["exposure"] != RINSE_OFF or not bathing
    # Any baby product that stays on may reach the nappy area.
    return rule == "never" or kind["exposure"] == LEAVE_ON


def undissociated(pka: float, ph: float) -> float:
    """The undissociated share of a weak acid, the part that preserves: 1 / (1 + 10^(pH − pKa)).

    Source: Henderson–Hasselbalch equation.
    """
    return 1 / (1 + 10 ** (ph - pka))


def cool_enough(temperature: float, unit_word: str, most: float, most_unit: str) -> bool:
    """Whether the pot is below the temperature that a heat-sensitive addition bears; exactly at it is not.

    #N/A for an unknown unit, #NUM! for a unit that is no temperature, or below absolute zero.
    """
    return celsius(temperature, unit_word) < celsius(most, most_unit) - 1e-9  # a hair for the conversion


def cited(row: dict[str, str]) -> str:
    """A row's source, with a word where it is not checked."""
    return row["source"] + (f", {CERTAINTY['memory']}" if row["certainty"] == "memory" else "")


def _pct(share: float) -> str:
    return f"{share * 100:.6g} %"
