"""Numbers as people write them, for the workings that TC_EXPLAIN shows."""


def num(value: float, digits: int = 6) -> str:
    """A number with up to `digits` significant figures and no needless zeros: 1250.5, 0.0183."""
    if value == 0:
        return "0"
    text = f"{value:.{digits}g}"
    if "e" in text and 1e-6 <= abs(value) < 1e15:
        text = f"{value:.10f}".rstrip("0").rstrip(".") if abs(value) < 1 else f"{value:.0f}"
    return text.replace("-", "−")


def pct(share: float) -> str:
    """A share as a percentage: 0.0075 → "0.75 %"."""
    return f"{num(share * 100)} %"


def counted(value: float, word: str) -> str:
    """A number of things: "1 day", "28 days"."""
    return f"{num(value)} {word}{'' if value == 1 else 's'}"


def gram(value: float) -> str:
    """Grams."""
    return f"{num(value)} g"


def short(name: str, most: int = 60) -> str:
    """A name that fits into a line."""
    return name if len(name) <= most else f"{name[: most - 1]}…"


def listing(items: list[str], most: int = 8) -> str:
    """Items joined by ", ", the rest counted."""
    more = len(items) - most
    return ", ".join(items[:most]) + (f", … ({more} more)" if more > 0 else "")
