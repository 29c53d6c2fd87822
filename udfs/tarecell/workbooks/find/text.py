"""Text from somebody's file, made harmless before it is shown: no control characters, no endless lines."""

import unicodedata
from typing import Any

_LONGEST = 120
_UNSHOWN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}  # control, format, surrogate, private, unassigned, line ends


def harmless(value: Any, longest: int = _LONGEST) -> str:
    """One line that a terminal shows as it is: control and direction characters become spaces, long text is cut."""
    text = str(value)[: longest * 8]
    text = "".join(" " if unicodedata.category(c) in _UNSHOWN else c for c in text)
    text = " ".join(text.split())
    return text if len(text) <= longest else text[: longest - 1] + "…"
