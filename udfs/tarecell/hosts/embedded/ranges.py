"""Where the engine takes a whole range as Excel and Calc do, and where it does not.

Measured on formualizer 0.13: operators, IF, IFERROR and IFNA work through a range cell by cell; no function of single
values does (LEN over a range gives one wrong number, without an error). So a formula that hands a range, or an array,
to anything that is not listed here is not computed.
"""

from tarecell.functions import REGISTRY
from tarecell.functions.records import COLUMN, ROW, TABLE

# Functions that see every cell of what they are given, even in an ordinary formula.
WHOLE = frozenset(
    "SUMPRODUCT LOOKUP FREQUENCY FILTER SORT SORTBY UNIQUE XLOOKUP XMATCH TRANSPOSE TAKE DROP VSTACK HSTACK "
    "TOCOL TOROW CHOOSEROWS CHOOSECOLS".split()
)
# Functions that the engine works through cell by cell: what they give is as large as what they get.
LIFTED = frozenset("IF IFERROR IFNA".split())
# Functions of single values: an ordinary formula hands them one cell of a range.
SINGLE = frozenset(
    "ABS ROUND ROUNDUP ROUNDDOWN INT TRUNC CEILING FLOOR CEILING.MATH FLOOR.MATH MROUND SQRT EXP LN LOG LOG10 POWER "
    "MOD SIGN EVEN ODD QUOTIENT LEN LEFT RIGHT MID TRIM UPPER LOWER PROPER VALUE TEXT SUBSTITUTE REPLACE FIND SEARCH "
    "REPT ISNUMBER ISTEXT ISBLANK ISERROR ISNA ISERR ISLOGICAL ISNONTEXT ISEVEN ISODD DATE YEAR MONTH DAY HOUR MINUTE "
    "SECOND TIME DATEVALUE WEEKDAY EDATE EOMONTH DAYS CONVERT NOT EXACT FIXED CHAR CODE CLEAN "
    "CONCATENATE NUMBERVALUE".split()
)
_ALL = None  # every argument
_EVEN, _ODD_AND_FIRST = "even", "odd and first"
_TAKES: dict[str, object] = dict.fromkeys(
    "SUM AVERAGE MIN MAX COUNT COUNTA COUNTBLANK PRODUCT SUMSQ SUMPRODUCT MEDIAN MODE MODE.SNGL STDEV STDEV.S STDEV.P "
    "STDEVP VAR VAR.S VAR.P VARP GEOMEAN HARMEAN AVERAGEA MAXA MINA DEVSQ AVEDEV AND OR XOR NPV IRR ROWS COLUMNS AREAS "
    "TEXTJOIN CONCAT SUBTOTAL AGGREGATE CORREL SLOPE INTERCEPT FORECAST FORECAST.LINEAR SUMXMY2 SUMX2MY2 SUMX2PY2 "
    "FREQUENCY FILTER SORT SORTBY UNIQUE TRANSPOSE TAKE DROP VSTACK HSTACK TOCOL TOROW CHOOSEROWS "
    "CHOOSECOLS LET".split(),
    _ALL,
)
_TAKES |= dict.fromkeys(
    "INDEX OFFSET COUNTIF SMALL LARGE PERCENTILE PERCENTILE.INC QUARTILE QUARTILE.INC TRIMMEAN".split(), (0,)
)
_TAKES |= dict.fromkeys("RANK RANK.EQ RANK.AVG VLOOKUP HLOOKUP MATCH XMATCH".split(), (1,))
_TAKES |= {
    "LOOKUP": (1, 2),
    "XLOOKUP": (1, 2),
    "SUMIF": (0, 2),
    "AVERAGEIF": (0, 2),
    "NETWORKDAYS": (2,),
    "WORKDAY": (2,),
}
_TAKES |= {"CHOOSE": (1, 2, 3, 4, 5, 6, 7, 8, 9), "COUNTIFS": _EVEN}
_TAKES |= dict.fromkeys("SUMIFS AVERAGEIFS MAXIFS MINIFS".split(), _ODD_AND_FIRST)
_SINGLE_PLACES = {
    "VLOOKUP": (0,), "HLOOKUP": (0,), "MATCH": (0,), "IF": (0,), "CHOOSE": (0,), "COUNTIF": (1,), "SUMIF": (1,),
    "AVERAGEIF": (1,), "INDEX": (1, 2), "SMALL": (1,), "LARGE": (1,), "RANK": (0,), "RANK.EQ": (0,),
}  # fmt: skip
_ARRAY_RESULTS = frozenset("FILTER SORT SORTBY UNIQUE SEQUENCE RANDARRAY TRANSPOSE FREQUENCY".split())


def takes(function: str, place: int) -> bool:
    """Whether a function takes a range as its argument number `place` (from 0)."""
    if function.startswith("TC_"):
        return True
    if function not in _TAKES:
        return False
    places = _TAKES[function]
    if places is _ALL:
        return True
    if places == _EVEN:
        return place % 2 == 0
    if places == _ODD_AND_FIRST:
        return place == 0 or place % 2 == 1
    return place in places


def single(function: str, place: int) -> bool:
    """Whether an ordinary formula hands this argument one cell of a range."""
    return function in SINGLE or place in _SINGLE_PLACES.get(function, ())


def gives_array(function: str) -> bool:
    """Whether a function can give more than one value."""
    if function in REGISTRY:
        return REGISTRY[function].result in (COLUMN, ROW, TABLE)
    return function in _ARRAY_RESULTS
