"""The usual cautions of a product, in plain words. They help to remember; local rules decide."""

from tarecell.calculations.products import product_type
from tarecell.tables import rows

_LAST = {
    "EU": "Check the rules of the country you sell in and the suppliers' documents: they come first.",
    "US": "Check federal and state rules and the suppliers' documents: they come first.",
}


def caution_rows(product: str, market: str = "EU") -> list[dict[str, str]]:
    """The rows of the table of cautions that concern a product, in label order. #N/A for an unknown product."""
    row = product_type(product)
    wanted = {row["product"], f"category:{row['category']}"}
    return [
        caution
        for caution in rows("cautions")
        if caution["market"] in ("", market) and wanted.intersection(caution["applies"].split("|"))
    ]


def cautions(product: str, market: str = "EU") -> str:
    """The usual cautions for a product, one line of sentences; the last one defers to local rules.

    product: a product type as in TC_CATEGORY; market: "EU" or "US". #N/A with the nearest names for an unknown one.
    """
    texts = [row["caution"] for row in caution_rows(product, market)]
    return " ".join([*texts, _LAST[market]])
