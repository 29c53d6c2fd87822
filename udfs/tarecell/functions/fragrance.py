"""Fragrance: the records. The caps table is the maker's own, typed from each supplier's certificate."""

from tarecell.calculations import fragrance, products
from tarecell.functions.caps import CapsArgument
from tarecell.functions.columns import Caps, Shares, Texts
from tarecell.functions.kinds import Cap, Flag, Number, Share, Text
from tarecell.functions.records import NUMBER, SHARE, TEXT, Record, ex
from tarecell.functions.registry import register
from tarecell.functions.wording import gram, pct

FAMILY = "Fragrance"
_CERTIFICATE = (
    "the supplier's certificate, as typed into the caps table; categories of the IFRA Standards, 49th Amendment on"
)
_CAUTION = (
    "A cap holds for one product category and one version of the fragrance. Blank is not stated, never unlimited. "
    "Certificates older than the 49th Amendment use other categories under the same numbers."
)
_TABLE = [
    [None, 4.0, "5A", "5B", 9.0, 12.0],
    ["Harbour Fig", 0.08, 0.021, 0.011, 0.03, "no restriction"],
    ["Oat & Honey", 0.05, None, 0.0, 0.02, 1.0],
]


def _table():
    return CapsArgument("table", "the caps: fragrances down the first column, category codes along the first row")


def _fragrance():
    return Text("fragrance", "name of the fragrance, as in the table")


def _category_shown(result, product):
    if products.code(product):
        return f"{product} is itself a category code: {result}"
    row = products.product_type(product)
    return f"{row['product']} → category {result} ({row['source']})"


def _cap_shown(result, table, name, category):
    allowed = "not allowed" if result == 0 else f"at most {pct(result)} of the finished product"
    return f"{name} in category {products.category(category)}: {allowed}, as the table says"


def _set_cap_shown(result, table, name, categories):
    each = ", ".join(f"{c} ({products.category(c)}) {pct(fragrance.cap(table, name, c))}" for c in categories)
    return f"{name}: {each}; the strictest is {pct(result)}"


def _amount_shown(result, batch, share, cap, basis, step):
    what = {"finished": "finished batch", "base": "base", "wax": "wax"}[basis]
    used = fragrance.finished_share(result / batch, basis)  # of what is weighed, which a coarse scale moves
    return (
        f"{gram(batch)} {what} × {pct(share)} = {gram(batch * share)}"
        + (f", weighed as {gram(result)}" if step else "")
        + f"; {pct(used)} of the finished product, cap {pct(cap)}"
    )


def _status_shown(result, share, cap, own_limit):
    if cap is None:
        return "no cap is stated: ask the supplier for the certificate of this product category"
    if cap == 0:
        return "the cap is 0 (not allowed in this product) or blank (not stated)"
    own = f", own limit {pct(own_limit)}" if own_limit is not None else ""
    return f"{pct(share)} against a cap of {pct(cap)}{own}: {result}"


def _blend_shown(result, shares, caps):
    terms = " + ".join(f"{pct(s)} ÷ {pct(c)}" for s, c in zip(shares, caps, strict=True) if s)
    return f"1 ÷ ({terms}) → at most {pct(result)}; cautious, the supplier's certificate of the blend decides"


def _constituents_shown(result, fractions, limits, sum_rule):
    pairs = [(f, x) for f, x in zip(fractions, limits, strict=True) if f]
    if sum_rule:
        return f"1 ÷ ({' + '.join(f'{pct(f)} ÷ {pct(x)}' for f, x in pairs)}) → {pct(result)}"
    return f"least of {', '.join(f'{pct(x)} ÷ {pct(f)}' for f, x in pairs)}, at most 100 % → {pct(result)}"


_CAPS = [
    Record(
        "TC_CATEGORY",
        "The IFRA category of a product type, such as 5A for a body lotion, 9 for a bath bomb, 12 for a candle.",
        products.category,
        [Text("product", "the product type; a category code gives itself")],
        TEXT,
        [
            ex("body lotion", gives="5A"),
            ex("Bath Bomb", gives="9"),
            ex("candle", gives="12"),
            ex("shampoo", gives="9"),
            ex(9.0, gives="9"),
            ex("shower steamer", fails="#N/A"),
            ex("hat", fails="#N/A"),
            ex(None, fails="#VALUE!"),
        ],
        "IFRA Standards, 49th Amendment on; how certain each placement is: TC_SOURCE(product)",
        _category_shown,
        cautions=_CAUTION,
    ),
    Record(
        "TC_CAP",
        "The cap of a fragrance in a product category, from your own table of certificates.",
        fragrance.cap,
        [_table(), _fragrance(), Text("category", "a category code, or a product type")],
        SHARE,
        [
            ex(_TABLE, "harbour fig", "5A", gives=0.021),
            ex(_TABLE, "Harbour Fig", 9.0, gives=0.03),
            ex(_TABLE, "Harbour Fig", "candle", gives=1.0),
            ex(_TABLE, "Oat & Honey", "face cream", gives=0.0),
            ex(_TABLE, "Oat & Honey", "5A", fails="#N/A"),
            ex(_TABLE, "Harbor Fig", "5A", fails="#N/A"),
            ex(_TABLE, "Harbour Fig", "5D", fails="#N/A"),
            ex([[None, "9"], ["Harbour Fig", 3.0]], "Harbour Fig", "9", fails="#NUM!"),
            ex([[None, "9"], ["Harbour Fig", "3%"]], "Harbour Fig", "9", fails="#VALUE!"),
        ],
        _CERTIFICATE,
        _cap_shown,
        cautions=_CAUTION,
    ),
    Record(
        "TC_SET_CAP",
        "The strictest cap of a fragrance over all the products of a set.",
        fragrance.set_cap,
        [_table(), _fragrance(), Texts("categories", "category codes or product types", aligned=False)],
        SHARE,
        [
            ex(_TABLE, "Harbour Fig", ["5A", 9.0, "candle"], gives=0.021),
            ex(_TABLE, "Oat & Honey", ["bath bomb", None, "candle"], gives=0.02),
            ex(_TABLE, "Oat & Honey", ["5A", "9"], fails="#N/A"),
        ],
        _CERTIFICATE,
        _set_cap_shown,
        cautions=_CAUTION,
    ),
]

_USE = [
    Record(
        "TC_FRAGRANCE",
        "Grams of fragrance; over the cap in the finished product is an error that tells the largest amount allowed.",
        fragrance.amount,
        [
            Number("batch", "weight of the finished batch, or of the base or wax if basis says so", above=0),
            Share("share", "share of that weight"),
            Cap("cap", "the cap, a share of the finished product"),
            Text("basis", "finished, base (on top of it) or wax", "finished", choices=["finished", "base", "wax"]),
            Number("step", "readability of the scale, such as 0.1; no rounding if left out", default=None, above=0),
        ],
        NUMBER,
        [
            ex(500.0, 0.01, 0.021, gives=5.0),
            ex(500.0, 0.0214, 0.021, "base", gives=10.7),
            ex(300.0, 0.08, 1.0, "wax", gives=24.0),
            ex(333.0, 0.02, 0.02, "finished", 0.1, gives=6.6),
            ex(500.0, 0.03, 0.021, fails="#NUM!"),
            ex(500.0, 0.01, 0.0, fails="#NUM!"),
            ex(500.0, 2.0, 0.021, fails="#NUM!"),
            ex(500.0, 0.01, 0.021, "top", fails="#VALUE!"),
        ],
        "mass balance; the cap by the supplier's certificate",
        _amount_shown,
        cautions=_CAUTION,
    ),
    Record(
        "TC_CAP_STATUS",
        "within, over, not allowed or not stated: a share of the finished product against its cap.",
        fragrance.cap_status,
        [
            Share("share", "share of the finished product"),
            Cap("cap", "the cap"),
            Share("own_limit", "a stricter limit of your own", default=None, above=0),
        ],
        TEXT,
        [
            ex(0.02, 0.021, gives="within"),
            ex(0.022, 0.021, gives="over"),
            ex(0.02, 0.021, 0.015, gives="over"),
            ex(0.02, 0.0, gives="not allowed"),
            ex(0.02, "not stated", gives="not stated"),
            ex(0.02, 2.1, fails="#NUM!"),
        ],
        "comparison with the supplier's certificate",
        _status_shown,
        cautions=_CAUTION,
    ),
]

_BLENDS = [
    Record(
        "TC_BLEND_CAP",
        "A cautious cap for a blend of fragrances: 1 ÷ Σ(share ÷ cap), at most 100 %.",
        fragrance.blend_cap,
        [
            Shares("shares", "shares of the fragrances in the blend"),
            Caps("caps", "their caps in the product category", blank_reason="no cap stated: ask the supplier"),
        ],
        SHARE,
        [
            ex([0.5, 0.5], [0.02, 0.04], gives=0.02666666666667),
            ex([0.25, 0.75], [0.01, "no restriction"], gives=1 / 25.75),
            ex([0.5, 0.5], [0.02, 0.0], gives=0.0),
            ex([0.5, 0.5], [0.02, None], fails="#N/A"),
            ex([0.5, 0.4], [0.02, 0.04], fails="#NUM!"),
        ],
        "cautious mixing rule, as if one constituent caused all limits; common practice, no published source",
        _blend_shown,
        cautions="The supplier's certificate of the finished blend decides; this is what holds without one.",
    ),
    Record(
        "TC_CONSTITUENT_CAP",
        "The cap of a fragrance from its restricted constituents: least limit ÷ fraction, at most 100 %.",
        fragrance.constituent_cap,
        [
            Shares("fractions", "fraction of each constituent in the fragrance"),
            Caps("limits", "its maximum in the finished product", blank_reason="no limit stated: ask the supplier"),
            Flag("sum_rule", "TRUE for phototoxic constituents, whose shares of their limits add up", default=False),
        ],
        SHARE,
        [
            ex([0.05, 0.0002], [0.0033, 0.00002], gives=0.066),
            ex([0.000075], [0.000015], gives=0.2),
            ex([0.01, 0.02], [0.004, 0.004], True, gives=0.13333333333333),
            ex([0.05, 0.01], [0.0033, None], fails="#N/A"),
            ex([5.0], [0.0033], fails="#NUM!"),
        ],
        "IFRA Standards, guidance (maximum of a mixture); bergapten standard for the identity in the second example",
        _constituents_shown,
        cautions="Add up natural sources of a constituent first. The supplier's certificate goes before this figure.",
    ),
]

register(FAMILY, _CAPS + _USE + _BLENDS)
