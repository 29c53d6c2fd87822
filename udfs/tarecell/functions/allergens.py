"""Fragrance allergens: the record."""

from tarecell.calculations import allergens
from tarecell.functions.columns import Shares, Texts
from tarecell.functions.kinds import Share, Text
from tarecell.functions.records import TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import listing, pct, short

_CAUTION = (
    "Ask the supplier for the allergen declaration of this very fragrance. Allergens from essential oils and extracts "
    "used beside it count too: add them. The 57 further allergens of (EU) 2023/1545 must be named on products placed "
    "on the EU market from 31 July 2026 and on every shelf from 31 July 2028. Local rules come first."
)


def _one(found, exposure):
    verdict = "named" if allergens.exceeds(found.share, exposure) else "not named"
    further = " (further list of 2023)" if found.listed == "further" else ""
    return f"{short(found.name)} {pct(found.share)}{further} {verdict}"


def _shown(result, names, fractions, share, exposure):
    found = allergens.found(names, fractions, share)
    others = [name for name in dict.fromkeys(names) if allergens.entry(name) is None]
    parts = [
        f"named above {pct(allergens.LIMITS[exposure])} of a {exposure} product",
        listing([_one(one, exposure) for one in found], 12) or "no listed allergen here",
    ]
    if others:
        parts.append(f"not on the list: {listing([short(name) for name in others], 12)}")
    if any(one.listed == "further" for one in found):
        parts.append(
            "the further list of (EU) 2023/1545 holds for products placed on the market from 31 July 2026, "
            "and for every shelf from 31 July 2028"
        )
    return "; ".join(parts)


register(
    "Fragrance",
    [
        Record(
            "TC_ALLERGENS",
            "Which allergens of a fragrance the EU label must name: above 0.001 % of a leave-on product, above 0.01 % "
            "of a rinse-off one. “none” when there is none.",
            allergens.allergens,
            [
                Texts("names", "constituents of the fragrance, by name or CAS number, from its allergen declaration"),
                Shares("fractions", "each constituent's share of the fragrance"),
                Share("share", "share of the fragrance in the finished product", above=0),
                Text("exposure", "leave-on or rinse-off", choices=("leave-on", "rinse-off")),
            ],
            TEXT,
            [
                ex(["linalool"], [0.02], 0.005, "rinse-off", gives="none"),
                ex(["linalool"], [0.02], 0.005, "leave-on", gives="linalool"),
                ex(["D-Limonene", "limonene", "ethanol"], [0.003, 0.003, 0.4], 0.02, "rinse-off", gives="Limonene"),
                ex(["coumarin", None, "97-53-0"], [0.01, None, 0.0001], 0.01, "leave-on", gives="coumarin"),
                ex(["linalol"], [0.02], 0.005, "leave-on", fails="#N/A"),
                ex(["linalool"], [0.02], 0.005, "bath", fails="#VALUE!"),
                ex(["linalool", "citral"], [0.8, 0.4], 0.005, "leave-on", fails="#NUM!"),
            ],
            "Regulation (EC) 1223/2009, Annex III, with Regulation (EU) 2023/1545",
            _shown,
            cautions=_CAUTION,
        ),
    ],
)
