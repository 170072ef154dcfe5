"""Measuring sheets: read, adjusted, shown, written into a job file; blank ones to fill in."""

from locksweep.survey.sheet import Sheet, read_sheet

__all__ = ["Sheet", "read_sheet"]
