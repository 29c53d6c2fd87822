"""The words that makers put over their columns, by what the column holds; compared without case and accents.

English, German, French, Spanish, Italian, Dutch and Portuguese, separated by commas.
"""

NAME, AMOUNT, UNIT, PHASE, PERCENT, NOTE, MONEY, PACK, STOCK, RECIPE, OTHER = (
    "name", "amount", "unit", "phase", "percent", "note", "money", "pack", "stock", "recipe", "other",
)  # fmt: skip

# Where a heading holds words of several kinds, the kind that stands first here wins ("ingredient cost" is money).
HEADINGS = {
    MONEY: """
        price, unit price, cost, costs, value, rate, freight, shipping, postage, vat, tax, margin, revenue, preis,
        kosten, wert, versand, prix, cout, valeur, port, precio, coste, costo, valor, envio, prezzo, spedizione,
        prijs, kostprijs, verzending, preco, custo, $, €, £""",
    PACK: """
        pack, pack size, package, package size, container, bottle size, purchase size, packung, packungsgrosse,
        gebinde, conditionnement, envase, confezione, verpakking, embalagem""",
    STOCK: """
        on hand, in stock, stock, inventory, minimum, reorder, ordered, to order, bestand, lager, vorrat, en stock,
        existencias, giacenza, voorraad, estoque""",
    NOTE: """
        note, notes, remark, remarks, comment, comments, function, purpose, role, supplier, vendor, source, lot,
        lot no, lot number, batch no, batch number, expiry, date, link, cas, cas no, cas number, method,
        instructions, directions, bemerkung, bemerkungen, notiz, notizen, anmerkung, hinweis, funktion, lieferant,
        charge, remarque, remarques, commentaire, fonction, fournisseur, nota, notas, observaciones, comentario,
        proveedor, osservazioni, fornitore, opmerking, leverancier""",
    RECIPE: """
        recipe, recipe name, product, product name, rezept, produkt, recette, produit, receta, producto, ricetta,
        prodotto""",
    PHASE: "phase, phases, stage, part, fase, phasen, stufe, etape, etapa, fases",
    PERCENT: """
        %, percent, percentage, pct, share, shares, % w/w, w/w %, prozent, prozentsatz, anteil, pourcentage,
        pourcent, porcentaje, percentuale, procent, percentagem, porcentagem""",
    UNIT: """
        unit, units, uom, u/m, unit of measure, measure, einheit, einheiten, unite, unites, unidad, unidades, unita,
        eenheid, unidade""",
    NAME: """
        ingredient, ingredients, ingredient name, material, materials, raw material, raw materials, material name,
        substance, component, components, item, name, oil, oils, fat, fats, oils and fats, fats and oils, inci,
        inci name, trade name, zutat, zutaten, inhaltsstoff, inhaltsstoffe, rohstoff, rohstoffe, bestandteil,
        bezeichnung, stoff, ole, fette, matiere, matieres, matiere premiere, composant, composants, nom, huiles,
        ingrediente, ingredientes, ingredienti, materia prima, nombre, componente, componentes, nome, aceites,
        grondstof, ingredienten, naam""",
    AMOUNT: """
        amount, amounts, quantity, quantities, qty, weight, weights, wt, mass, batch, recipe amount, required, dose,
        menge, mengen, gewicht, einwaage, masse, quantite, quantites, qte, poids, cantidad, cantidades, peso,
        quantita, hoeveelheid, quantidade""",
}

# Headings over ingredients that are materials too.
MATERIAL_HEADINGS = "oil, oils, fat, fats, ole, fette, huiles, aceites"

# Unit words of other languages, as the units table spells them.
UNITS = {
    "g": "gramm, gramos, gramo, grammi, grammo, gramas, gr",
    "kg": "kilogramm, kilogramos, kilogrammi",
    "oz": "unze, unzen, once, onces, onzas, onza",
    "lb": "libras, libra, livres",
    "mL": "mililitros, millilitri",
    "L": "liter, litros, litri",
    "tbsp": "el, essloffel, cuillere a soupe, cucharada, cucharadas",
    "tsp": "tl, teeloffel, cuillere a cafe, cucharadita, cucharaditas",
    "cup": "tasse, tassen",
    "piece": "stuck, stk",
    "%": "%, percent, pct, prozent, pourcent, % w/w, w/w, w/w %, wt%, wt %",
}

TOTALS = """
    total, totals, sum, all together, altogether, subtotal, sub-total, gesamt, gesamtmenge, gesamtgewicht, summe,
    gesamtsumme, zwischensumme, totaux, somme, suma, somma, totale, totaal"""

# Labels of numbers that stand under a recipe and are no ingredients.
SETTINGS = r"""
    \b(?:sizes?|batch|jars?|loss|margin|price|cost|density|temperature|temp|pieces|count|fill|cap|limit|max|min|
    rate|hours?|minutes|moulds?|molds?|tare|yield|target|superfat|concentration|diameter|height|width|length|
    volume|weight|ph|servings|ratio|portion|makes|menge|gewicht)\b|^ph$"""

# Names by which a line without an amount is known to head a phase.
PHASE_NAMES = """
        dry, wet, water, oil, oils, fat, fats, acid, lye, lye solution, heated, cool down, cool-down, cooldown,
        cooling, additives, extras, at trace, after trace, fragrance, scent, colourants, colorants, topping, drizzle,
        wax, base, liquid, liquids, powder, powders, emulsifier, emulsifiers, wasser, ol, ole, fett, fette, eau,
        huiles, agua, aceites"""
