"""What to buy, and what to know at the store."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """A line of the shopping list."""

    material: str
    stock: str
    qty: int
    cost_cents: int | None
    """For all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanHardware:
    """A line of the shopping list that is not cut."""

    name: str
    qty: int
    cost_cents: int | None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """What to take where one line of the shopping list is not to be had."""

    material: str
    missing: str
    """The stock that is not there."""
    instead: tuple[Purchase, ...]
    """All that is bought of the material then."""
    more_cents: int | None
    """What that costs more than the plan; None where a price is not known."""
    unplaced: int = 0
    """How many blanks find no place then."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RackSaving:
    """What would have to be paid more for a material if nothing of it were owned."""

    material: str
    pieces: int
    saved_cents: int | None
    unplaced: int = 0
    """How many blanks would find no place without."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """What to take more for safety; it is in no total."""

    material: str
    stock: str
    qty: int
    cost_cents: int | None
    """For all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What to know at the store, from small plans of its own."""

    alternatives: tuple[Alternative, ...] = ()
    rack: tuple[RackSaving, ...] = ()
    spares: tuple[Spare, ...] = ()
