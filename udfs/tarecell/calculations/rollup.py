"""The cost of an item through every level of a parts table: sets made of products made of materials."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from tarecell.errors import NotFound, OutOfRange, WrongValue
from tarecell.tables import Names, fold, shortened


@dataclass(frozen=True)
class Line:
    """A row of the parts table: so much of a part goes into one of the item. unit_cost is None for what is made."""

    item: str
    part: str
    quantity: float
    unit_cost: float | None
    loss: float
    row: int  # as counted in the sheet's range, from 1

    @property
    def needed(self) -> float:
        """Quantity to buy or make for one of the item, the loss included."""
        return self.quantity / (1 - self.loss)


@dataclass(frozen=True)
class Parts:
    """A parts table, with its lines by item."""

    lines: Sequence[Line]
    names: dict[str, str] = field(default_factory=dict)

    @cached_property
    def by_item(self) -> dict[str, list[Line]]:
        grouped: dict[str, list[Line]] = {}
        for line in self.lines:
            grouped.setdefault(fold(line.item), []).append(line)
        return grouped

    @cached_property
    def items(self) -> Names:
        first = {fold(line.item): line.item for line in self.lines}
        return Names(first.values(), "item")

    def key(self, item: str) -> str:
        """The item's key in `by_item`. #N/A with the nearest names."""
        return fold(self.items.names[self.items.position(item)])

    def made(self, line: Line) -> str | None:
        """The key of the part where it is an item with lines of its own; None where it is bought.

        #VALUE! where it is both, #N/A where it is neither.
        """
        key = fold(line.part)
        if key in self.by_item:
            if line.unit_cost is not None:
                part = shortened(line.part)
                raise WrongValue(
                    f"row {line.row}: “{part}” has a unit cost and also parts of its own: keep one of the two"
                )
            return key
        if line.unit_cost is None:
            raise NotFound(f"row {line.row}: “{shortened(line.part)}” has no unit cost, and no parts of its own")
        return None


def order(parts: Parts, item: str) -> list[str]:
    """The keys of everything made under an item, each after what it is made of. #NUM! for a loop, named."""
    start = parts.key(item)
    done: dict[str, None] = {}
    path: list[str] = []
    on_path: set[str] = set()
    stack: list[tuple[str, bool]] = [(start, False)]
    while stack:
        key, finished = stack.pop()
        if finished:
            path.pop()
            on_path.discard(key)
            done[key] = None
        elif key in on_path:
            loop = path[path.index(key) :] + [key]
            named = [shortened(parts.by_item[k][0].item) for k in loop]
            shown = named if len(named) <= 8 else [*named[:4], "…", *named[-3:]]
            raise OutOfRange(f"a loop: {' → '.join(shown)}; an item cannot be part of itself")
        elif key not in done:
            path.append(key)
            on_path.add(key)
            stack.append((key, True))
            below = [parts.made(line) for line in parts.by_item[key]]
            stack.extend((k, False) for k in reversed(below) if k is not None and k not in done)
    return list(done)


def rollup(item: str, parts: Parts) -> float:
    """Cost of one item: Σ quantity ÷ (1 − loss) × cost, through every level."""
    costs: dict[str, float] = {}
    for key in order(parts, item):
        costs[key] = math.fsum(
            line.needed * (line.unit_cost if line.unit_cost is not None else costs[fold(line.part)])
            for line in parts.by_item[key]
        )
    return costs[parts.key(item)]


def rollup_lines(item: str, parts: Parts) -> list[list]:
    """The bought parts under one item, as rows of part, quantity and cost, in the table's order.

    A part that is used in several places is one row.
    """
    needed: dict[str, float] = {parts.key(item): 1.0}
    found: dict[str, list] = {}  # row and name where a part stands first, its quantities, its costs
    for key in reversed(order(parts, item)):
        for line in parts.by_item[key]:
            quantity = needed[key] * line.needed
            if line.unit_cost is None:
                below = fold(line.part)
                needed[below] = needed.get(below, 0.0) + quantity
                continue
            entry = found.setdefault(fold(line.part), [line.row, line.part, [], []])
            if line.row < entry[0]:
                entry[:2] = line.row, line.part
            entry[2].append(quantity)
            entry[3].append(quantity * line.unit_cost)
    rows = sorted(found.values(), key=lambda entry: entry[0])
    return [[part, math.fsum(quantities), math.fsum(costs)] for _, part, quantities, costs in rows]
