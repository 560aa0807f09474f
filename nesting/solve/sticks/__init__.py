"""Sticks: crosscut to length at the least cost, with a bound."""

from nesting.solve.sticks.solver import solve_sticks

__all__ = ["solve_sticks"]
