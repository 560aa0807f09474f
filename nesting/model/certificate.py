"""A certificate: what anyone needs to prove a bound again, with nothing but sums.

`verify` says what it proves and how; here is only what it holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

Row: TypeAlias = tuple[tuple[str, int], ...]
"""Whole numbers by id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """A branch on which weights of the vectors prove the bound."""

    weights: tuple[int, ...]
    """Of each vector, in parts of the scale."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """Two branches: few pieces of an offer are taken, or more."""

    offer: str
    at: int
    most: Branch
    """Where at most so many are taken."""
    more: Branch
    """Where at least one more is."""


Branch: TypeAlias = Leaf | Split


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """Weights of the blanks, what the offers hold of them, and how they add up."""

    scale: int
    vectors: tuple[Row, ...]
    """By blank; of one that is not named, 0."""
    values: tuple[Row, ...]
    """By offer, for each vector: no pattern holds more."""
    kind: str
    """``guillotine``, ``rip-crosscut``, ``knapsack`` or ``volume``: how the values were
    found."""
    kerf: tuple[int, ...]
    """In ticks, by axis."""
    grid: tuple[tuple[int, int], ...]
    """(steps, whole) by axis: a size s counts floor(s * steps / whole)."""
    tree: Branch
