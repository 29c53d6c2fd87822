"""Adding a formula or a column beside a recipe in a workbook that somebody has, and losing nothing.

`plan = plan_addition("recipes.xlsx", "scale", sheet="Cream", pieces=12, fill=50)`, `print(plan)`, `write(plan)`.
"""

from tarecell.workbooks.add.plan import Plan, PlannedCell, plan_addition
from tarecell.workbooks.add.request import KINDS, Request
from tarecell.workbooks.add.write import Written, added_name, write

__all__ = ["KINDS", "Plan", "PlannedCell", "Request", "Written", "added_name", "plan_addition", "write"]
