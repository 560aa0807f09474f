"""What the stick solver is asked and what it answers: one section at a time."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.terms import StoppedBy
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class StickPart:
    """One length that is wanted, and how often."""

    id: str
    length: Ticks
    quantity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StickStock:
    """One length that can be had; `length` is the usable one, between the end trims."""

    id: str
    length: Ticks
    cost: int
    """In the problem's own integer measure (cents; length where prices are unknown)."""
    limit: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StickProblem:
    """Crosscut every part at the least cost.

    Parts fill a stick when the sum of (length + kerf) is at most its length + kerf: the
    last cut may run off the end. `least_kerf` is what the bound may assume.
    """

    parts: tuple[StickPart, ...]
    stock: tuple[StickStock, ...]
    kerf: Ticks
    least_kerf: Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class StickPattern:
    """How one stick is cut, and how many sticks are cut that way."""

    stock: str
    counts: tuple[tuple[str, int], ...]
    """(part id, how many on each stick)."""
    times: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StickAnswer:
    """The sticks to cut, and what is known about the best there is."""

    patterns: tuple[StickPattern, ...]
    unplaced: tuple[tuple[str, int], ...]
    """(part id, how many)."""
    cost: int
    lower_bound: int
    """A rigorous bound on the cost of placing every part."""
    basis: str
    """How the bound was found, in words for the maker."""
    stopped_by: StoppedBy
    work: int
    duals: tuple[tuple[int, ...], ...] = ()
    """Whole numbers by part that linear bounds came by, the best first."""
