"""Labels and packing: the records."""

import math

from tarecell.calculations import cautions, labels, net_contents
from tarecell.calculations.cautions import caution_rows
from tarecell.functions.columns import Numbers, Texts
from tarecell.functions.kinds import Number, Text
from tarecell.functions.records import NUMBER, ROW, TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import listing, num, pct, short

FAMILY = "Labels, packing and records"
_ORDER = "Regulation (EC) 1223/2009, Art. 19(1)(g) (EU); 21 CFR 701.3 (US)"
_CONTENTS = (
    "21 CFR 701.13, 16 CFR 500.19 (US); Directive 76/211/EEC (EU); never overstated: NIST fact sheet on "
    "metric labelling, after the Uniform Packaging and Labeling Regulation"
)
_NAMES = "Local rules decide; the label wants INCI names as its market spells them, and fragrance allergens named too."


def _market():
    return Text("market", "EU (default) or US", default="EU", choices=("EU", "US"))


def _line_shown(result, names, amounts, market, colourants):
    line = labels.ingredient_line(names, amounts, market, colourants)
    limit = "1 % or less" if market == "US" else "below 1 %"
    order = [f"{short(name)} {pct(share)}" for name, share in line.shares.items()]
    free = (
        f"any order after the larger ones ({limit}): {listing([short(name) for name in line.free])}"
        if line.free
        else f"none is {limit}"
    )
    colours = (
        f"; colourants last, in any order: {listing([short(name) for name in line.colourants])}"
        if line.colourants
        else ""
    )
    return f"total {num(sum(amounts))}: {listing(order, 12)}; {market} order: {free}{colours}"


def _contents_shown(result, amount, unit, market):
    held = net_contents.contents(amount, unit)
    metric = f"{num(held.metric)} {held.metric_unit}"
    ounce = "oz" if held.by_weight else "fl oz"
    if held.typed_metric:
        across = f"{metric} ÷ {held.factor} {held.metric_unit} per {ounce} = {num(held.ounces)} {ounce}"
    else:
        across = f"{num(held.ounces)} {ounce} × {held.factor} {held.metric_unit} per {ounce} = {metric}"
    if market == "EU" and held.typed_metric:
        across = metric
    return f"{across}; figures are rounded down only, so that nothing is overstated: {result}"


def _tolerance_shown(result, nominal):
    share, _ = labels.tolerance_row(nominal)
    if share is None:
        how = f"fixed at {num(result)} for a nominal quantity of {num(nominal)}"
    else:
        how = f"{num(nominal)} × {pct(share)} = {num(nominal * share)}, rounded up to the next 0.1 = {num(result)}"
    return (
        f"{how}; few packs may hold less than {num(nominal - result)}, none less than {num(nominal - 2 * result)}, "
        f"and the mean of the batch not less than {num(nominal)}"
    )


def _fit_shown(result, diameter, label_length):
    verdict = f"overlaps by {num(result)}" if result >= 0 else f"leaves a gap of {num(-result)}"
    return f"{num(label_length)} − π × {num(diameter)} = {num(label_length)} − {num(math.pi * diameter)}: {verdict}"


def _wrap_shown(result, diameter, height, ease):
    more = f" + {num(ease)} ease" if ease else ""
    return (
        f"half of the way round, {num(diameter)} + {num(height)}{more} = {num(result[0])}, both ways; "
        f"a ball needs only {num(math.pi / 2)} × diameter; room for the closing is part of the ease"
    )


def _cautions_shown(result, product, market):
    found = [f"{row['group']}: {row['source']}" for row in caution_rows(product, market)]
    return f"sources for {short(product)}, {market}: {listing(list(dict.fromkeys(found)), 12)}"


_LABELS = [
    Record(
        "TC_INGREDIENTS",
        "The ingredient line: descending weight, the same name added up and named once, colourants last. "
        "TC_EXPLAIN tells which ingredients may change places.",
        labels.ingredients,
        [
            Texts("names", "ingredients, by the names the label shows"),
            Numbers("amounts", "their amounts in any one unit"),
            _market(),
            Texts("colourants", "those of the names that are colourants", default=None, aligned=False),
        ],
        TEXT,
        [
            ex(["Glycerin", "Aqua", "glycerin"], [10.0, 80.0, 10.0], gives="Aqua, Glycerin"),
            ex(
                ["CI 77891", "Aqua", "Parfum", "Tocopherol"],
                [5.0, 93.0, 1.0, 1.0],
                "US",
                ["CI 77891"],
                gives="Aqua, Parfum, Tocopherol, CI 77891",
            ),
            ex(["Aqua", None, "Parfum", "Mica"], [98.0, None, 2.0, 0.0], "EU", gives="Aqua, Parfum"),
            ex(["Aqua", "Mica"], [98.0, 2.0], "EU", ["Mika"], fails="#N/A"),
            ex(["Aqua", "Mica"], [98.0, -2.0], fails="#NUM!"),
            ex(["Aqua", "Mica"], [98.0, 2.0], "Mars", fails="#VALUE!"),
        ],
        _ORDER,
        _line_shown,
        cautions=_NAMES,
    ),
    Record(
        "TC_NET_CONTENTS",
        "Net contents as a label states them: “NET WT 4 OZ (113 g)” in the US, “113 g” in the EU; never rounded up.",
        net_contents.net_contents,
        [
            Number("amount", "what one pack holds", above=0),
            Text("unit", "its unit, a weight or a volume: g, kg, oz, lb, mL, L, fl oz"),
            _market(),
        ],
        TEXT,
        [
            ex(4.0, "oz", "US", gives="NET WT 4 OZ (113 g)"),
            ex(4.0, "oz", "EU", gives="113 g"),
            ex(24.0, "oz", "US", gives="NET WT 24 OZ (1 LB 8 OZ) 680 g"),
            ex(1.0, "qt", "US", gives="NET 32 FL OZ (1 QT) 946 mL"),
            ex(100.0, "mL", "US", gives="NET 3.38 FL OZ (100 mL)"),
            ex(1250.0, "g", gives="1.25 kg"),
            ex(4.0, "cm", "US", fails="#NUM!"),
            ex(4.0, "ozz", "US", fails="#N/A"),
            ex(0.0, "oz", "US", fails="#VALUE!"),
        ],
        _CONTENTS,
        _contents_shown,
        cautions="Local rules decide on place, type size and further marks; the ℮ mark is not added.",
    ),
    Record(
        "TC_TOLERANCE",
        "The EU's tolerable negative error of a filled pack, in g or mL. The mean may not be below nominal.",
        labels.tolerance,
        [Number("nominal", "the nominal quantity in g or mL, 5 to 10000", above=0)],
        NUMBER,
        [
            ex(100.0, gives=4.5),
            ex(250.0, gives=9.0),
            ex(33.0, gives=3.0),
            ex(4.0, fails="#NUM!"),
            ex(0.0, fails="#VALUE!"),
        ],
        "Directive 76/211/EEC, Annex I, 2.4",
        _tolerance_shown,
    ),
    Record(
        "TC_LABEL_FIT",
        "How a label fits round a jar: positive is the overlap, negative the gap, in the unit of the two lengths.",
        labels.label_fit,
        [
            Number("diameter", "diameter of the jar where the label sits", above=0),
            Number("label_length", "length of the label, in the same unit", above=0),
        ],
        NUMBER,
        [
            ex(60.0, 200.0, gives=11.504440784612408),
            ex(70.0, 200.0, gives=-19.911485751285520),
            ex(2.5, 8.0, gives=0.14601836602551685),
            ex(0.0, 200.0, fails="#VALUE!"),
            ex(-60.0, 200.0, fails="#NUM!"),
        ],
        "geometry: the girth of a circle is π × diameter",
        _fit_shown,
    ),
    Record(
        "TC_WRAP_SIZE",
        "Width and length, laid flat, of a bag or wrap for a round piece: diameter + height + ease, both ways.",
        labels.wrap_size,
        [
            Number("diameter", "diameter of the piece", above=0),
            Number("height", "its height, in the same unit", above=0),
            Number("ease", "slack and room for the closing, added both ways (0 if left out)", default=0.0, at_least=0),
        ],
        ROW,
        [
            ex(70.0, 30.0, gives=[100.0, 100.0]),
            ex(70.0, 30.0, 15.0, gives=[115.0, 115.0]),
            ex(2.5, 1.25, 0.5, gives=[4.25, 4.25]),
            ex(70.0, 0.0, fails="#VALUE!"),
            ex(70.0, 30.0, -1.0, fails="#NUM!"),
        ],
        "geometry: half of the way round a round piece of that diameter and height",
        _wrap_shown,
    ),
    Record(
        "TC_CAUTIONS",
        "The usual cautions for a product, in plain words. They defer to local rules and the suppliers' documents.",
        cautions.cautions,
        [Text("product", "a product type, such as candle, bath bomb, body lotion"), _market()],
        TEXT,
        [
            ex("candle", starts="Never leave a burning candle out of sight."),
            ex("bath bomb", "US", starts="For external use only."),
            ex("baby oil", starts="A product for babies needs a safety assessor's agreement"),
            ex("candel", fails="#N/A"),
            ex("candle", "Mars", fails="#VALUE!"),
        ],
        "the table of cautions; the source of each by TC_SOURCE of its group (candles, bath products …)",
        _cautions_shown,
        cautions="A start, not a legal check: local rules and the suppliers' documents come first.",
    ),
]

register(FAMILY, _LABELS)
