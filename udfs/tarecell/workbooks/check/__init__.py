"""An inspection of a recipe or cost workbook: what is wrong in it, where, why it matters and what to do."""

from tarecell.workbooks.check.inspection import check_workbook
from tarecell.workbooks.check.report import Finding, Report

__all__ = ["Finding", "Report", "check_workbook"]
