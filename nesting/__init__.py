"""A cut planner for a one-person furniture shop."""

__version__ = "0.1.0"
