"""The words that makers put over their columns, in the languages they keep their recipes in."""

import re
from functools import lru_cache

from tarecell.calculations import units
from tarecell.errors import CellError
from tarecell.tables import fold

NAME, AMOUNT, UNIT, PHASE, PERCENT, NOTE, MONEY, PACK, STOCK, OTHER = (
    "name", "amount", "unit", "phase", "percent", "note", "money", "pack", "stock", "other",
)  # fmt: skip

# English, German, French, Spanish, Italian, Dutch, Portuguese; all folded (no case, no accents). Longer words first win.
_WORDS = {
    MONEY: "price cost costs value rate freight shipping postage vat tax preis kosten wert versand prix cout valeur port "
    "precio coste costo valor envio prezzo spedizione prijs kostprijs verzending preco custo margin revenue $ € £",
    PACK: "pack|pack size|package size|container|bottle size|purchase size|packung|packungsgrosse|gebinde|conditionnement|"
    "envase|confezione|verpakking|embalagem".replace(" ", "~").replace("|", " "),
    STOCK: "on~hand in~stock stock inventory min minimum reorder ordered bestand lager vorrat en~stock existencias "
    "giacenza voorraad estoque needed~to~order",
    NOTE: "note notes remark remarks comment comments function purpose supplier vendor source lot lot~no batch~no "
    "batch~number expiry date link "
    "bemerkung bemerkungen notiz notizen anmerkung hinweis funktion lieferant charge remarque remarques commentaire fonction "
    "fournisseur nota notas observaciones comentario proveedor note~a osservazioni fornitore opmerking leverancier cas cas~no",
    PHASE: "phase phases stage part fase phasen stufe etape etapa fases",
    UNIT: "unit units uom u/m unit~of~measure measure einheit einheiten me unite unites unidad unidades unita eenheid unidade",
    NAME: "ingredient ingredients material materials raw~material raw~materials substance component components item name "
    "oil oils fat fats oils~and~fats fats~and~oils zutat zutaten inhaltsstoff inhaltsstoffe rohstoff rohstoffe bestandteil "
    "bezeichnung stoff material~name ingredients~list matiere matieres matiere~premiere composant composants nom "
    "ingrediente ingredientes ingredienti materia~prima nombre componente componentes nome grondstof ingredienten naam "
    "inci inci~name trade~name",
    PERCENT: "% percent percentage pct share shares %~w/w w/w % prozent prozentsatz anteil pourcentage pourcent part~% "
    "porcentaje percentuale procent percentagem porcentagem",
    AMOUNT: "amount amounts quantity quantities qty weight weights wt mass menge mengen gewicht einwaage masse quantite "
    "quantites qte poids cantidad cantidades peso quantita hoeveelheid quantidade batch recipe~amount required",
}
_ORDER = (MONEY, PACK, STOCK, NOTE, PHASE, PERCENT, UNIT, NAME, AMOUNT)
_ROLES = [(word.replace("~", " "), role) for role in _ORDER for word in _WORDS[role].split()]
_EXACT = {word: role for word, role in reversed(_ROLES)}
_UNIT_WORDS = {
    "gramm": "g", "gramos": "g", "gramo": "g", "grammi": "g", "grammo": "g", "gramas": "g", "gram": "g", "gr": "g",
    "kilogramm": "kg", "kilogramos": "kg", "unze": "oz", "unzen": "oz", "once": "oz", "onces": "oz", "onzas": "oz",
    "onza": "oz", "once ": "oz", "pfund": "lb", "libras": "lb", "el": "tbsp", "tl": "tsp", "cs": "tbsp", "cc": "mL",
    "cuillere a soupe": "tbsp", "cuillere a cafe": "tsp", "essloffel": "tbsp", "teeloffel": "tsp", "tasse": "cup",
    "stuck": "piece", "stk": "piece", "mililitros": "mL", "liter": "L", "litros": "L",
}  # fmt: skip
_TOTAL = re.compile(
    r"^(?:(?:grand|batch|recipe|sub|phase|total|gesamt)[\s-]*)*"
    r"(?:totals?|sum|subtotals?|gesamt(?:menge|gewicht|summe)?|summe|zwischensumme|totaux|total[ei]?|somme|suma|somma|totaal)"
    r"(?:\b.*)?$"
)
_SUBTOTAL = re.compile(r"\bsub[\s-]?totals?\b|\bphase\b|\bfase\b|zwischensumme|sous[\s-]total")
_PHASE_WORD = re.compile(
    r"\b(?:phase|fase|part|stage|step|teil|partie|parte|etape)\b|^[a-e][.:)]?$|:$|"
    r"^(?:the )?(?:dry|wet|water|oil|oils|fat|fats|acid|lye|lye solution|heated|cool ?down|cooldown|cooling|additives|extras|"
    r"at trace|after trace|fragrance|scent|colou?rants?|topping|drizzle|wax|base|liquids?|powders?|emulsifiers?|"
    r"wasser|ol|ole|fett|fette|abkuhlphase|eau|huiles|agua|aceites)(?: (?:ingredients|items|mix))?$"
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
    found |= {r for phrase, r in _ROLES if " " in phrase and re.search(rf"\b{re.escape(phrase)}\b", whole)}
    if MONEY in found or PACK in found or STOCK in found:
        return next(r for r in (MONEY, PACK, STOCK) if r in found)
    if "per" in words[1:] and unit_word(words[-1]):  # "g per mL": a density or a price, not an amount
        return OTHER
    if plain in _EXACT:
        return PERCENT if _EXACT[plain] == AMOUNT and "%" in words else _EXACT[plain]
    if unit_word(text.strip(" .:()[]")):
        return AMOUNT
    if PERCENT in found:
        return PERCENT
    return next((r for r in (NOTE, PHASE, NAME, AMOUNT, UNIT) if r in found and len(words) <= 5), None)


@lru_cache(maxsize=4000)
def unit_word(text: str) -> str | None:
    """The word of the units table for a written weight, volume or count unit, "%" for a percentage; None for anything else."""
    plain = fold(text).strip(" .:()[]")
    if plain in ("%", "percent", "pct", "prozent", "% w/w", "w/w", "wt%", "wt %", "pourcent"):
        return "%"
    if not plain or len(plain) > 24 or plain.isdigit():
        return None
    if plain in _UNIT_WORDS:
        return _UNIT_WORDS[plain]
    try:
        found = units.unit(text.strip(" :()[]"))
    except CellError:
        return None
    return found.word if found.dimension in ("mass", "volume", "count") else None


@lru_cache(maxsize=4000)
def heading_unit(text: str) -> str | None:
    """The unit that a heading states: "amount (g)", "Weight / oz", "grams", "Menge in g", "% w/w"."""
    inside = re.findall(r"[(\[{]([^)\]}]*)[)\]}]", text)
    after = re.findall(r"[/,|:]\s*([^/,|:()\[\]]+)$", text)
    last = re.findall(r"(?:\bin|\ben)?\s(\S+)$", text)
    for candidate in [*inside, *after, text, *last]:
        found = unit_word(candidate.removeprefix("in ").strip())
        if found and found not in ("piece", "each"):
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
    return bool(text) and len(text) <= 60 and bool(_TOTAL.match(fold(text).strip(" :*=")))


def is_subtotal(text: str) -> bool:
    """Whether a totals label speaks of one phase only."""
    return bool(_SUBTOTAL.search(fold(text)))


def is_phase_name(text: str) -> bool:
    """Whether a text by itself sounds like the name of a phase."""
    return bool(text) and len(text) <= 60 and bool(_PHASE_WORD.search(fold(text).strip()))
