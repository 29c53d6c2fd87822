"""The tour: from the example studio's recipe workbook to a costed gift set, all in cells."""

from tarecell.workbooks.tour.run import tour

__all__ = ["tour"]
