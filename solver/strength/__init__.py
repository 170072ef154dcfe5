"""Strength formulas for the screening checks, one subject a module; MPa, N, mm, each with its source."""
