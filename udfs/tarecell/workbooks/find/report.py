"""What was found, told to a person."""

from tarecell.workbooks.find.table import SURE, UNSURE, RecipeTable
from tarecell.workbooks.find.text import harmless
from tarecell.workbooks.references import letters


def describe(tables: list[RecipeTable]) -> str:
    """What is believed about each table and why, and how to name the ranges where that is not right."""
    if not tables:
        return "No recipe table was found.\n\n" + _how_to_name(None)
    parts = [_one(number, table) for number, table in enumerate(tables, 1)]
    if any(table.confidence != SURE for table in tables):
        unsure = next(table for table in tables if table.confidence != SURE)
        parts.append(_how_to_name(unsure))
    return "\n\n".join(parts)


def _one(number: int, table: RecipeTable) -> str:
    title = f" “{harmless(table.title, 60)}”" if table.title else ""
    hidden = " (hidden sheet)" if table.hidden else ""
    lines = [f"{number}. {harmless(table.sheet, 40)}{hidden}, {table.area}:{title} — {table.confidence}"]
    lines.append(f"   ingredients  {_span(table, table.name_column)}, {len(table.rows)} of them")
    lines.append(f"   amounts      {_span(table, table.amount_column)}, {_unit(table)}")
    for other in table.other_amounts:
        unit = f" in {other.unit}" if other.unit else ""
        lines.append(f"   also         {_span(table, other.column)}, “{harmless(other.heading or '', 40)}”{unit}")
    if table.unit_column:
        lines.append(f"   units        {_span(table, table.unit_column)}")
    if table.phase_column:
        lines.append(f"   phases       {_span(table, table.phase_column)}: {_phases(table)}")
    elif table.phase_rows:
        rows = ", ".join(str(row) for row, _ in table.phase_rows[:12])
        lines.append(f"   phases       headings in rows {rows}: {_phases(table)}")
    if table.total_row:
        lines.append(f"   total        row {table.total_row}")
    lines += [f"   because      {harmless(reason, 160)}" for reason in table.reasons]
    lines += [f"   note         {harmless(note, 160)}" for note in table.notes]
    lines += [f"   not sure     {harmless(doubt, 160)}" for doubt in table.doubts]
    return "\n".join(lines)


def _span(table: RecipeTable, column: int) -> str:
    letter = letters(column)
    return f"{letter}{table.first_row}:{letter}{table.last_row}"


def _unit(table: RecipeTable) -> str:
    if table.percent_of:
        return "percent (65 % is " + ("0.65)" if table.percent_of == 1 else "65)")
    return f"{table.amount_kind}{': ' + table.amount_unit if table.amount_unit else ''}"


def _phases(table: RecipeTable) -> str:
    names = list(dict.fromkeys(row.phase for row in table.rows if row.phase))
    return ", ".join(harmless(name, 30) for name in names[:8]) + (" …" if len(names) > 8 else "")


def _how_to_name(table: RecipeTable | None) -> str:
    names, amounts = ("Recipe!B5:B14", "Recipe!C5:C14")
    if table is not None:
        names, amounts = table.reference(table.name_column), table.reference(table.amount_column)
    lead = "Where this is not right" if table is not None and table.confidence != UNSURE else "To say where a recipe is"
    return (
        f"{lead}, give its ranges names in your spreadsheet program (Define Name): one that ends in _names for the\n"
        "ingredients and one that ends in _amounts for the amounts, with the same beginning, for example\n"
        f"   recipe_names    {harmless(names)}\n"
        f"   recipe_amounts  {harmless(amounts)}\n"
        "and, where there are such columns, recipe_units and recipe_phases. Named ranges are believed."
    )
