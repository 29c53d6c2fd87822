"""Workbook files: read them, recalculate them, build them, without losing what belongs to their owner."""
