"""Guillotine layouts on sheets: `solve_sheets` is the door."""

from nesting.solve.sheets.solver import solve_sheets as solve_sheets

__all__ = ["solve_sheets"]
