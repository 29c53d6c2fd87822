"""Heading rows: which column holds the ingredient, the amount, the unit and the phase."""

from dataclasses import dataclass, field

from tarecell.workbooks.find import words
from tarecell.workbooks.find.amounts import STAND_IN, read
from tarecell.workbooks.find.grid import BLANK, Grid


@dataclass
class Heading:
    """The headings of one table, found in row `row` (and `last`, where a second row of headings goes with it)."""

    row: int
    last: int
    columns: dict[int, tuple[str, str | None]]  # column → heading text, role
    name: int = 0
    amounts: list[int] = field(default_factory=list)
    unit: int | None = None
    phase: int | None = None
    unnamed: bool = False  # whether the name column was told by its texts, not by its heading
    recipe: int | None = None  # a column that names the recipe of each row
    priced: bool = False  # whether prices or costs stand beside the amounts
    guessed: str = ""  # why the amount column is a guess, where it is one

    @property
    def first_column(self) -> int:
        return min(self.columns)

    @property
    def last_column(self) -> int:
        return max(self.columns)

    def text(self, column: int) -> str:
        return self.columns[column][0] if column in self.columns else ""


def headings_in(grid: Grid, row: int) -> list[Heading]:
    """The tables whose headings stand in this row, from left to right."""
    texts, last = _texts(grid, row)
    if len(texts) < 2 and not any(words.role(t) == words.AMOUNT for t in texts.values()):
        return []
    known = {column: (text, words.role(text)) for column, text in texts.items()}
    found = []
    for group in _groups(known):
        heading = Heading(row, last, group)
        if _assign(grid, heading):
            found.append(heading)
    return found


def _texts(grid: Grid, row: int) -> tuple[dict[int, str], int]:
    """A row's texts by column, joined with the row below where that holds units only; the last row used."""
    cells = grid.row(row)
    texts = {column: cell.text for column, cell in cells if cell.text and not cell.computed}
    if not texts or any(cell.number is not None and not _code(cell) for _, cell in cells):
        return {}, row
    named = any(words.names_ingredients(text) for text in texts.values())
    if not named and any(read(cell) for _, cell in cells):
        return {}, row  # "Water | 350 g" is no row of headings; "Ingredient | 350 g" is one
    below = {column: cell for column, cell in grid.row(row + 1)}
    units = {c: cell.text for c, cell in below.items() if cell.text and words.heading_unit(cell.text)}
    if units and len(units) == len(below) and not any(words.role(t) == words.NAME for t in units.values()):
        if not any(read(grid[row + 1, c]) for c in below):
            for column, unit in units.items():
                texts[column] = f"{_over(grid, row, column, texts)} {unit}".strip()
            return texts, row + 1
    return texts, row


def _over(grid: Grid, row: int, column: int, texts: dict[int, str]) -> str:
    """The heading over a column, also one that is merged across it."""
    if column in texts:
        return texts[column]
    for top, left, _, right in grid.merged:
        if top == row and left <= column <= right:
            return grid.text(row, left)
    return ""


def _code(cell) -> bool:
    """Numbers in a heading row are fine where they can be a batch size or a year: whole ones."""
    return isinstance(cell.value, int) and not cell.computed


def _groups(known: dict[int, tuple[str, str | None]]) -> list[dict[int, tuple[str, str | None]]]:
    """The headings of tables side by side, apart: each has a name column and an amount of its own."""
    groups: list[dict] = []
    current: dict[int, tuple[str, str | None]] = {}
    columns = sorted(known)
    for index, column in enumerate(columns):
        here = known[column][1]
        gap = bool(current) and column > max(current) + 1
        full = _has(current, words.NAME) and _has_amount(current)
        rest = {c: known[c] for c in columns[index:]}
        if full and gap and here == words.NAME:
            groups.append(current)
            current = {}
        elif full and _has_amount(rest) and _has(rest, words.NAME):
            phase_first = here == words.PHASE and _next(known, columns, index) == words.NAME
            again = here == words.NAME or (phase_first and (gap or _has(current, words.PHASE)))
            if again and (gap or here == words.PHASE or _amount_before_name(rest)):
                groups.append(current)
                current = {}
        current[column] = known[column]
    return [_without_strays(group) for group in [*groups, current] if group]


def _without_strays(group: dict[int, tuple[str, str | None]]) -> dict[int, tuple[str, str | None]]:
    """A group without the texts that stand apart from it: notes to the right, a label to the left."""
    known = [column for column, (_, role) in group.items() if role is not None]
    if not known:
        return group
    kept = set(known)
    for column in sorted(group):
        if column - 1 in kept or min(known) <= column <= max(known):
            kept.add(column)
    for column in sorted(group, reverse=True):
        if column + 1 in kept:
            kept.add(column)
    return {column: group[column] for column in sorted(kept)}


def _next(known, columns, index):
    return known[columns[index + 1]][1] if index + 1 < len(columns) else None


def _amount_before_name(rest) -> bool:
    """Whether a group that begins with a name has its own amount before another name comes."""
    for _, role in list(rest.values())[1:]:
        if role in (words.AMOUNT, words.PERCENT):
            return True
        if role == words.NAME:
            return False
    return False


def _has(group, role) -> bool:
    return any(r == role for _, r in group.values())


def _has_amount(group) -> bool:
    return _has(group, words.AMOUNT) or _has(group, words.PERCENT)


def _assign(grid: Grid, heading: Heading) -> bool:
    """Fills in the columns of a heading; False where this is no recipe."""
    roles = {column: role for column, (_, role) in heading.columns.items()}
    names = [c for c, r in roles.items() if r == words.NAME]
    heading.amounts = [c for c, r in roles.items() if r in (words.AMOUNT, words.PERCENT)]
    heading.unit = next((c for c, r in roles.items() if r == words.UNIT), None)
    heading.phase = next((c for c, r in roles.items() if r == words.PHASE), None)
    has = set(roles.values())
    if words.PACK in has or words.STOCK in has and not heading.phase:
        return False  # a price list or a stock list
    if not names:
        names = _unnamed(grid, heading)
        heading.unnamed = True
    if not names:
        return False
    heading.name = names[0]
    if not heading.amounts and words.MONEY not in has:
        _guess_amount(grid, heading)
    amounts = [c for c in heading.amounts if _filled(grid, heading, c)]
    percents = {c for c in amounts if words.heading_unit(heading.text(c)) == "%"}
    # What is typed in comes before what formulas make of it, and weights before percentages.
    heading.amounts = sorted(amounts, key=lambda c: (_made_by_formulas(grid, heading, c), c in percents, c))
    heading.priced = words.MONEY in has
    heading.recipe = next((c for c, r in roles.items() if r == words.RECIPE and c != heading.name), None)
    _look_left(grid, heading)
    _look_for_units(grid, heading)
    return bool(heading.amounts)


def _look_left(grid: Grid, heading: Heading) -> None:
    """Takes in a column without a heading, left of the table, where it holds names of phases."""
    column = heading.first_column - 1
    if heading.phase or column < 1 or grid.text(heading.row, column) or heading.name != heading.first_column:
        return
    rows = range(heading.last + 1, min(heading.last + 60, grid.last_row) + 1)
    texts = [(r, grid.text(r, column)) for r in rows if grid.text(r, column)]
    if texts and all(words.is_phase_name(t) or words.is_total(t) for _, t in texts):
        heading.columns[column] = "", None
        if any(grid.text(r, heading.name) for r, t in texts if not words.is_total(t)):
            heading.phase = column


def _look_for_units(grid: Grid, heading: Heading) -> None:
    """Takes a column beside the amounts as their units where it holds nothing but unit words."""
    if heading.unit or not heading.amounts or words.heading_unit(heading.text(heading.amounts[0])):
        return
    amount = heading.amounts[0]
    rows = [r for r in range(heading.last + 1, min(heading.last + 60, grid.last_row) + 1) if read(grid[r, amount])]
    for column in (amount + 1, amount - 1):
        known = heading.columns.get(column, ("", None))[1]
        texts = [grid.text(r, column) for r in rows if grid.text(r, column)]
        if known is None and column != heading.name and len(texts) * 2 > len(rows) and all(map(words.unit_word, texts)):
            heading.unit = column
            heading.columns.setdefault(column, ("", None))
            return


def _made_by_formulas(grid: Grid, heading: Heading, column: int) -> bool:
    cells = [grid[r, column] for r in range(heading.last + 1, heading.last + 61) if grid.text(r, heading.name)]
    return sum(cell.computed for cell in cells) * 2 > sum(cell is not BLANK for cell in cells)


def _unnamed(grid: Grid, heading: Heading) -> list[int]:
    """The column of names where its heading is blank or unknown: texts, just left of the amounts."""
    if not heading.amounts:
        return []
    first = min(heading.amounts)
    for column in range(first - 1, max(first - 4, 0), -1):
        if column in heading.columns and heading.columns[column][1] is not None:
            continue
        below = [grid[r, column] for r in range(heading.last + 1, heading.last + 8)]
        texts = [cell for cell in below if cell.text and read(cell) is None]
        if len(texts) >= 2:
            heading.columns.setdefault(column, (grid.text(heading.row, column), None))
            return [column]
    return []


def _guess_amount(grid: Grid, heading: Heading) -> None:
    """Where no heading says amount: the columns of numbers after the name, if their headings are words."""
    if not words.names_ingredients(heading.text(heading.name)):
        return
    columns = [c for c in sorted(heading.columns) if c > heading.name and heading.columns[c][1] is None]
    numbers = [c for c in columns if _filled(grid, heading, c, at_least=2)]
    if numbers:
        heading.amounts = numbers
        heading.guessed = (
            f"“{heading.text(numbers[0])}” is no known heading for amounts; it is taken because numbers follow"
        )


def _filled(grid: Grid, heading: Heading, column: int, at_least: int = 1) -> bool:
    """Whether amounts (or formulas) stand beside names in this column."""
    count = 0
    for row in range(heading.last + 1, min(heading.last + 60, grid.last_row) + 1):
        cell = grid[row, column]
        amount = read(cell)
        if (amount and amount.form != STAND_IN) or cell.formula is not None or cell.error:
            count += bool(grid.text(row, heading.name) or cell.formula is not None)
            if count >= at_least:
                return True
    return False
