"""Which column of a price list is which, guessed from its headings."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tarecell.calculations.units import unit
from tarecell.errors import CellError
from tarecell.tables import fold, squeeze
from tarecell.workbooks.problems import WorkbookProblem

FIELDS = ("name", "code", "pack", "unit", "price", "freight", "supplier")
DEEPEST = 40  # rows in which the headings are looked for
# Headings of price lists in English, German, French and Spanish, the surest first.
_WORDS = {
    "name": "name|material|product|item|description|ingredient|article|product name|item name|product description|"
    "item description|artikel|bezeichnung|artikelbezeichnung|produkt|produktname|beschreibung|designation|produit|"
    "libelle|nom|producto|descripcion|nombre|articulo",
    "code": "code|sku|item code|product code|item no|item number|article number|article no|art no|art nr|ref|"
    "reference|part number|part no|cat no|catalogue number|artikelnummer|artikel nr|bestellnummer|bestell nr|codigo",
    "pack": "pack|pack size|size|package|packaging|content|contents|net content|net weight|weight|volume|amount|"
    "quantity|qty|gebinde|gebindegrosse|inhalt|menge|packung|packungsgrosse|grosse|conditionnement|contenance|poids|"
    "quantite|tamano|contenido|envase|cantidad",
    "unit": "unit|uom|unit of measure|measure|units|einheit|unite|unidad",
    "price": "price|unit price|net price|list price|trade price|wholesale price|your price|price each|cost|preis|"
    "nettopreis|einzelpreis|listenpreis|stuckpreis|prix|prix ht|prix unitaire|tarif|precio|precio neto",
    "freight": "freight|shipping|carriage|delivery|postage|versand|fracht|frais de port|envio",
    "supplier": "supplier|vendor|lieferant|fournisseur|proveedor",
}
WORDS = {name: words.split("|") for name, words in _WORDS.items()}
_PER = re.compile(r"(?:\bper\b|\bje\b|\bpro\b|\bpar\b|\bpor\b|/)\s*(?P<unit>[^\W\d][\w³ ]*)")
_PACKS = ("unit", "units", "item", "each", "piece", "pack", "stuck", "unite")  # a price per pack is the price
_NOT_THE_PRICE = re.compile(
    r"\b(rrp|srp|msrp|uvp|retail|old|was|before|alt|vat|tax|mwst|tva|iva|date|break|discount)\b"
)


@dataclass(frozen=True)
class Columns:
    """The columns of a list: the row of the headings, and the column (from 0) of each field that was found.

    `pack_unit`: the unit named in the heading of the pack, "Weight (g)". `per`: the unit that a price is for, where the
    list gives no other price. `rivals`: columns that would have done as well. `left`: headings that are not used.
    """

    row: int
    headings: dict[int, str]
    of: dict[str, int]
    score: int
    pack_unit: str = ""
    per: str = ""
    rivals: dict[str, list[str]] = field(default_factory=dict)

    def heading(self, name: str) -> str:
        return self.headings[self.of[name]]

    @property
    def left(self) -> list[str]:
        used = set(self.of.values())
        return [text for column, text in self.headings.items() if column not in used]


def find_columns(rows: Sequence[Sequence[Any]], given: Mapping[str, str] | None = None) -> Columns | None:
    """The headings of a list, None where no row has both a name and a price. given: field → heading, to overrule."""
    given = dict(given or {})
    for name in given:
        if name not in FIELDS:
            raise WorkbookProblem(f"there is no column “{name}” to choose: choose one of {', '.join(FIELDS)}")
    best = None
    for number, row in enumerate(rows[:DEEPEST]):
        found = _columns(number, row, given)
        if found is not None and (best is None or found.score > best.score):
            best = found
    return best


def _columns(number: int, row: Sequence[Any], given: Mapping[str, str]) -> Columns | None:
    headings = {i: " ".join(cell.split()) for i, cell in enumerate(row) if isinstance(cell, str) and cell.strip()}
    of: dict[str, int] = {}
    for name, wanted in given.items():
        columns = [i for i, text in headings.items() if squeeze(text) == squeeze(wanted)]
        if len(columns) != 1:
            return None
        of[name] = columns[0]
    scores = {(name, i): _score(name, text) for i, text in headings.items() for name in FIELDS}
    order = sorted((key for key, score in scores.items() if score), key=lambda k: (-scores[k], k[1]))
    for name, column in order:
        if name not in of and column not in of.values():
            of[name] = column
    per = ""
    if "price" not in of:
        of_unit = {i: _per_unit(text) for i, text in headings.items() if i not in of.values() and _per_unit(text)}
        if len(of_unit) == 1:
            (column, per), *_ = of_unit.items()
            of["price"] = column
    if "name" not in of or "price" not in of:
        return None
    rivals = {
        name: [headings[i] for n, i in order if n == name and i not in of.values() and scores[n, i] >= scores[name, c]]
        for name, c in of.items()
        if name not in given and (name, c) in scores
    }
    total = sum(scores.get((name, column), 0) or 100 for name, column in of.items())
    pack_unit = _unit_in(headings[of["pack"]]) if "pack" in of else ""
    return Columns(number, headings, of, total, pack_unit, per, {n: r for n, r in rivals.items() if r})


def _score(name: str, heading: str) -> int:
    """How well a heading says what a column holds: 100 when it says just that, 0 for not at all."""
    text = fold(heading)
    if name == "price" and (_NOT_THE_PRICE.search(text) and not _without_tax(text) or _per_unit(heading)):
        return 0
    plain = " ".join(
        re.sub(r"\(.*?\)|\[.*?\]|[£$€¥]|\b(usd|eur|gbp|chf|cad|aud|net|netto)\b|[^\w ]", " ", text).split()
    )
    if plain in WORDS[name]:
        return 100 - WORDS[name].index(plain)
    contained = [word for word in WORDS[name] if f" {word} " in f" {plain} "]
    return min(60, 30 + len(max(contained, key=len))) if contained and len(plain) <= 40 else 0


def _without_tax(text: str) -> bool:
    return bool(re.search(r"\b(ex|excl|excluding|without|ohne|hors|sin|before)\b", text))


def _per_unit(heading: str) -> str:
    """The unit that a price is for, “kg” in “Price per kg”; '' where a heading names none."""
    text = fold(heading)
    if not any(word in text for word in WORDS["price"]) and not re.search("[£$€]", text):
        return ""
    found = _PER.search(text)
    word = found["unit"].strip() if found else ""
    return "" if word in _PACKS else _known_unit(word)


def _unit_in(heading: str) -> str:
    """The unit in brackets, or after “in”: “Weight (g)”."""
    found = re.search(r"[(\[]\s*([^)\]]+?)\s*[)\]]|\bin\s+(\S+)$", heading)
    return _known_unit(found[1] or found[2]) if found else ""


def _known_unit(word: str) -> str:
    try:
        return "" if unit(word).dimension == "temperature" else unit(word).word
    except CellError:
        return ""
