"""The way from rough blanks to finished parts, and how they move afterwards."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.plan.asked import PlanTake
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One thing to do on the way from rough blanks to a finished part.

    Sizes are those of each piece afterwards, for one copy of the part or one gang.
    """

    what: str
    """``cut``, ``joint``, ``plane``, ``glue``, ``rip``, ``crosscut``, ``joints`` or
    ``fit``."""
    of: str
    """What is worked on: a blank, a glued-up section, or the part."""
    pieces: int
    """How many of them there are afterwards."""
    length: Ticks
    width: Ticks
    thickness: Ticks
    machine: str = ""
    """A saw, the jointer, the planer, clamps; empty for by hand."""
    setting: Ticks | None = None
    """The distance that is set on the machine."""
    day: int = 1
    """The earliest day of the work: glue dries and wood rests in between."""
    takes: tuple[PlanTake, ...] = ()
    """What a glue-up is glued from."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRoute:
    """How a part comes from its blanks, operation by operation."""

    need: str
    """The id of the need it is about."""
    part: str
    build: str
    qty: int
    """How often it is gone through."""
    operations: tuple[Operation, ...]
    why: str = ""
    """Why it is made so, in words; empty where nothing else comes into question."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """How much wider a part of solid wood is in the humid season than in the dry one.

    An expectation from the species' coefficient, for wood that has been dried.
    """

    part: str
    species: str
    """As the Wood Handbook names it; ``southern pine`` where it is not known."""
    width: Ticks
    """Across the grain, as the part is finished."""
    change: Ticks
