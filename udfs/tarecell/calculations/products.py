"""Product types: what kind of product a name means, and its IFRA category."""

import re

from tarecell.errors import NotFound
from tarecell.tables.lookup import row_of

CODES = ("1", "2", "3", "4", "5A", "5B", "5C", "5D", "6", "7A", "7B", "8", "9", "10A", "10B", "11A", "11B", "12")
_CODE = re.compile(r"(?:ifra\s*)?(?:cat(?:egory)?\.?\s*)?([0-9]{1,2}\s*[a-d]?)(?:\.0+)?", re.IGNORECASE)


def product_type(product: str) -> dict[str, str]:
    """The table's row for a product type: product, category, exposure, source. #N/A with the nearest names."""
    return row_of("product_types", product, "product type")


def code(text: str) -> str | None:
    """An IFRA category code in its plain form: "cat. 5a" → "5A"; None for anything else."""
    match = _CODE.fullmatch(text.strip())
    found = match[1].replace(" ", "").upper() if match else None
    return found if found in CODES or found in ("5", "7", "10", "11") else None


def category(product: str) -> str:
    """The IFRA category of a product type; a category code gives itself.

    #N/A for an unknown product, and for one that no list places: ask for the certificate.
    Source: IFRA Standards, 49th Amendment on; many placements from memory (TC_SOURCE of the product tells).
    """
    known = code(product)
    if known in CODES:
        return known
    if known:
        parts = ", ".join(c for c in CODES if c[:-1] == known)
        raise NotFound(f"category {known} is divided: say which of {parts}")
    row = product_type(product)
    if not row["category"]:
        raise NotFound(f"no category stated for “{row['product']}”: {row['source']}")
    return row["category"]
