"""Preservation: the records."""

from tarecell.calculations import preservation
from tarecell.calculations.products import product_type
from tarecell.calculations.units import celsius
from tarecell.functions.kinds import Number, Share, Text
from tarecell.functions.records import FLAG, SHARE, TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.temperatures import Temperature, degree
from tarecell.functions.wording import num, pct

FAMILY = "Preservation"
ANNEX = "(EU) 1223/2009 Annex V, export of February 2024; each substance's source by TC_SOURCE(substance)"
_LEGAL = (
    "The annex gives a legal maximum, not a recommended rate: use the rate in the supplier's documents. "
    "Only a challenge test proves that a product is preserved."
)
_CAUTIONS = (
    f"{_LEGAL} Anything with water in it needs preserving. Products for babies and under-3s have rules of their own. "
    "Other countries have other lists: check the rules where you sell, and have EU products assessed for safety."
)


def _exposure():
    return Text("exposure", "leave-on or rinse-off", choices=[preservation.LEAVE_ON, preservation.RINSE_OFF])


def _limit_shown(result, name, exposure):
    row = preservation.preservative(name)
    counted = ""
    if row["counted_as"]:
        counted = f" counted as {row['counted_as']}"
        if row["counted_as"] != row["substance"]:
            counted += " (its own share becomes that by TC_ACID_EQUIVALENT)"
    notes = "".join(f"; {note}" for note in preservation.conditions(row))
    return (
        f"{row['substance']}, {exposure}: at most {pct(result)} of the finished product{counted}{notes}. "
        f"{preservation.cited(row)}. {_LEGAL}"
    )


def _status_shown(result, name, share, product):
    row, kind = preservation.preservative(name), product_type(product)
    turned = ""
    if row["counted_as"] and row["counted_as"] != row["substance"]:
        acid, factor = preservation.acid_factor(row["substance"])
        turned = f" × {num(factor, 5)} = {pct(share * factor)} as {acid}"
    where = f"{kind['product']} ({kind['exposure']})"
    more = _LEGAL
    if result.startswith("within"):  # which says the rest itself
        more = "Use the rate in the supplier's documents."
    elif result.startswith("not in"):
        more = "Ask a supplier for a preservative meant for such a product; only a challenge test proves that it works."
    return f"{row['substance']} {pct(share)}{turned} in {where}: {result}. {preservation.cited(row)}. {more}"


def _acid_shown(result, salt, share):
    acid, factor = preservation.acid_factor(salt)
    if factor == 1:
        return f"{acid} is the acid already: {pct(share)}"
    return f"{pct(share)} {salt} × {num(factor, 5)} = {pct(result)} {acid} (molar mass of the acid ÷ that of {salt})"


def _undissociated_shown(result, pka, ph):
    return (
        f"1 ÷ (1 + 10^({num(ph)} − {num(pka)})) = {pct(result)} of the acid is in the undissociated form, which "
        "preserves; the rest hardly does. Measure the pH of the finished product, and keep to the pH range in the "
        "supplier's documents"
    )


def _cool_shown(result, temperature, unit_word, most, most_unit):
    here, limit = degree(unit_word), degree(most_unit)
    both = (
        "" if here == limit else f" ({num(celsius(temperature, unit_word))} °C and {num(celsius(most, most_unit))} °C)"
    )
    verdict = "is below" if result else "is not below"
    then = "it may go in" if result else "let it cool further"
    return (
        f"{num(temperature)} {here} {verdict} {num(most)} {limit}{both}: {then}. "
        "Take the limit from the supplier's documents; exactly at it counts as too hot"
    )


register(
    FAMILY,
    [
        Record(
            "TC_PRESERVATIVE_LIMIT",
            "The EU Annex V maximum of a preservative in the finished product, as a share. A legal maximum, not a "
            "recommended rate. Not in the annex is #N/A, which is not “no limit”.",
            preservation.limit,
            [Text("name", "the substance, by its INCI name"), _exposure()],
            SHARE,
            [
                ex("phenoxyethanol", "leave-on", gives=0.01),
                ex("Sodium Benzoate", "leave-on", gives=0.005),
                ex("sodium benzoate", "rinse-off", gives=0.025),
                ex("IPBC", "rinse-off", gives=0.0002),
                ex("methylisothiazolinone", "leave-on", fails="#NUM!"),
                ex("ethylhexylglycerin", "leave-on", fails="#N/A"),
                ex("phenoxyethanol", "on the shelf", fails="#VALUE!"),
            ],
            ANNEX,
            _limit_shown,
            cautions=_CAUTIONS,
        ),
        Record(
            "TC_PRESERVATIVE_STATUS",
            "Whether a preservative is within the EU maximum in a type of product: a text that begins with “within”, "
            "“over” or “not in this product”, with the restriction. A salt is turned into its acid first.",
            preservation.status,
            [
                Text("name", "the substance, by its INCI name"),
                Share("share", "its share of the finished product, as weighed", above=0),
                Text("product", "the product type, such as body lotion, shampoo, baby cream"),
            ],
            TEXT,
            [
                ex(
                    "phenoxyethanol",
                    0.009,
                    "body lotion",
                    starts="within: 0.9 %, the legal maximum is 1 % (leave-on)",
                ),
                ex("sodium benzoate", 0.0055, "face cream", starts="within: 0.466102 % as benzoic acid"),
                ex("sodium benzoate", 0.006, "face cream", starts="over: 0.508475 % as benzoic acid"),
                ex("IPBC", 0.0001, "body lotion", starts="not in this product"),
                ex("salicylic acid", 0.004, "baby cream", starts="not in this product"),
                ex("methylisothiazolinone", 0.00001, "hand cream", starts="not in this product"),
                ex("phenoxyethanol", 0.009, "candle", fails="#N/A"),
                ex("caprylyl glycol", 0.005, "body lotion", fails="#N/A"),
                ex("phenoxyethanol", None, "body lotion", fails="#VALUE!"),
                ex("phenoxyethanol", 1.5, "body lotion", fails="#NUM!"),
            ],
            ANNEX,
            _status_shown,
            cautions=_CAUTIONS,
        ),
        Record(
            "TC_ACID_EQUIVALENT",
            "The share of a preservative's salt (or of a paraben) expressed as its acid, as the EU annex counts it.",
            preservation.acid_equivalent,
            [
                Text("salt", "the salt, such as sodium benzoate, potassium sorbate, sodium dehydroacetate"),
                Share("share", "its share of the finished product"),
            ],
            SHARE,
            [
                ex("sodium benzoate", 0.005, gives=0.00423729, within=1e-6),
                ex("potassium sorbate", 0.008, gives=0.00597145, within=1e-6),
                ex("sodium dehydroacetate", 0.006, gives=0.00530631, within=1e-6),
                ex("sorbic acid", 0.006, gives=0.006),
                ex("phenoxyethanol", 0.01, fails="#N/A"),
                ex("sodium benzoate", 5.0, fails="#NUM!"),
            ],
            "molar mass of the acid ÷ molar mass of the salt, by molmass (IUPAC atomic weights)",
            _acid_shown,
            cautions=_CAUTIONS,
        ),
        Record(
            "TC_UNDISSOCIATED",
            "The undissociated share of a weak-acid preservative at that pH: the part that preserves.",
            preservation.undissociated,
            [
                Number("pka", "the acid's pKa (benzoic acid 4.20, sorbic acid 4.76)", above=0, at_most=14),
                Number("ph", "the pH of the finished product", above=0, at_most=14),
            ],
            SHARE,
            [
                ex(4.2, 4.2, gives=0.5),
                ex(4.2, 5.2, gives=1 / 11),
                ex(4.76, 5.5, gives=0.15395, within=1e-4),
                ex(4.2, 0.0, fails="#VALUE!"),
                ex(4.2, 15.0, fails="#NUM!"),
            ],
            "Henderson–Hasselbalch equation; the two pKa values named are from memory",
            _undissociated_shown,
            cautions=f"A weak acid works only in an acid product. {_CAUTIONS}",
        ),
        Record(
            "TC_COOL_ENOUGH",
            "TRUE when the pot is below the temperature that a heat-sensitive addition bears. Exactly at it is FALSE.",
            preservation.cool_enough,
            [
                Temperature("temperature", "what the thermometer shows"),
                Text("unit", "its unit: C, F or K"),
                Temperature("limit", "the temperature that the addition must stay below, from its supplier"),
                Text("limit_unit", "the unit of the limit"),
            ],
            FLAG,
            [
                ex(45.0, "C", 50.0, "C", gives=True),
                ex(120.0, "F", 50.0, "C", gives=True),
                ex(122.0, "F", 50.0, "C", gives=False),
                ex(50.1, "°C", 122.0, "°F", gives=False),
                ex(None, "C", 50.0, "C", fails="#VALUE!"),
                ex(-300.0, "C", 50.0, "C", fails="#NUM!"),
                ex(45.0, "warm", 50.0, "C", fails="#N/A"),
            ],
            "temperature scales of the SI Brochure; “below 50 °C” is common practice, no published source",
            _cool_shown,
            cautions="The supplier's document names the temperature. Stir and measure in the middle of the pot, after "
            "letting the thermometer settle: the edge cools first.",
        ),
    ],
)
