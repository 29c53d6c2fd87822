"""Matching the names people type, whatever the case, spacing and accents."""

import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from tarecell.errors import NotFound, WrongValue


@lru_cache(maxsize=20_000)
def fold(name: str) -> str:
    """A name without case, accents and doubled spaces: " Crème  Brûlée" → "creme brulee"."""
    plain = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join(plain.casefold().split())


@lru_cache(maxsize=20_000)
def squeeze(name: str) -> str:
    """A folded name without spaces and hyphens: "Leave-on" and "leave on" → "leaveon"."""
    return "".join(c for c in fold(name) if not (c.isspace() or c in "-‐‑‒–—_"))


def shortened(name: str) -> str:
    """A name as a reason shows it: not longer than 60 characters."""
    return name if len(name) <= 60 else name[:57] + "…"


class Names:
    """Positions of names in a list, found in two passes: folded first, then squeezed where that is not ambiguous.

    The second pass never merges two names that the list itself keeps apart ("Jar 1 20" and "Jar 12 0").
    """

    def __init__(self, names: Iterable[str], what: str, first: int = 1):
        """names: in order, '' for a row without one; what: the word for such a thing in a reason; first: the number of
        the first row, as people count them."""
        self.names = list(names)
        self.what, self.first = what, first
        self._folded: dict[str, list[int]] = {}
        self._squeezed: dict[str, list[int]] = {}
        for position, name in enumerate(self.names):
            if name:
                self._folded.setdefault(fold(name), []).append(position)
                self._squeezed.setdefault(squeeze(name), []).append(position)

    def positions(self, name: str) -> list[int]:
        """Every position of this name, in order; an empty list when there is none."""
        found = self._folded.get(fold(name))
        if found:
            return found
        found = self._squeezed.get(squeeze(name), [])
        return found if len({fold(self.names[p]) for p in found}) == 1 else []

    def position(self, name: str) -> int:
        """The one position of this name. #N/A with the nearest names when missing, #VALUE! when listed twice."""
        found = self.positions(name)
        if len(found) == 1:
            return found[0]
        if found:
            places = " and ".join(str(p + self.first) for p in found[:3])
            raise WrongValue(f"{self.what} “{shortened(name)}” is listed more than once (rows {places}): keep one")
        raise NotFound(self.miss(name))

    def miss(self, name: str) -> str:
        """The reason for a miss, with the nearest names."""
        known = {fold(n): n for n in self.names if n}
        wanted = fold(name)[:200]
        import difflib  # only for a name that is not there

        near = difflib.get_close_matches(wanted, known, n=3, cutoff=0.6)
        if not near:
            near = [k for k in known if wanted and (wanted in k or (len(k) > 2 and k in wanted))][:3]
        hint = f"; nearest: {', '.join(shortened(known[k]) for k in near)}" if near else ""
        return f"no {self.what} “{shortened(name)}”{hint}"
