"""The ways in which a job can be cut, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWay:
    """One way to cut the whole job, and what it comes to."""

    name: str
    """``cheapest``, ``simpler``, ``simplest`` or ``roomiest``."""
    taken: bool
    """Whether it is the plan it stands in."""
    cost_cents: int
    """All that has a price."""
    layouts: int
    cuts: int
    changes: int
    """Of settings, in the order of the cuts."""
    largest_length: Ticks
    """Of the largest offcut of a sheet that is kept; 0 where there is none."""
    largest_width: Ticks
    minutes: int | None
    why: str
    """What speaks for it, in words."""
