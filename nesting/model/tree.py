"""Cutting trees: what is divided into what, without coordinates.

A tree covers the *usable* area of a stock (between its trims). Positions, real kerfs,
saws and the trim cuts come in only when it is laid out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from nesting.model.shop import Haul, SheetHaul
from nesting.model.terms import Plane
from nesting.units import Ticks


@dataclass(frozen=True, slots=True)
class Leaf:
    """A piece that becomes a blank."""

    blank: str
    """The blank's id; each leaf is one copy."""
    turned: bool = False
    """Whether the blank's length lies along the stock's width."""


@dataclass(frozen=True, slots=True)
class Node:
    """A piece cut into children side by side; what is left after them is its rest.

    `sizes[i]` is the size of `children[i]` along the axis that `plane` divides, in
    ticks. Their order is free: it may be changed when the tree is laid out.
    """

    plane: Plane
    sizes: tuple[Ticks, ...]
    children: tuple[Tree, ...]
    ordered: bool = False
    """Whether the children are a run of leaves: they keep their order, the piece is
    brought to the largest across before it is divided, and each starts at its low
    side."""


Tree: TypeAlias = Leaf | Node


@dataclass(frozen=True, slots=True)
class Split:
    """A piece of stock cut in two at a fixed place, in ticks from the reference.

    The low part ends at `near`, the high part begins at `far`; what is between them is
    kerf and waste. A part that is None is left over.
    """

    plane: Plane
    near: Ticks
    far: Ticks
    low: SheetTree | None
    high: SheetTree | None
    haul: Haul | SheetHaul | None = None
    """Set where it is made at the store: it comes first and leaves both sides rough."""


SheetTree: TypeAlias = Tree | Split
"""What stock is cut by: damage is cut out first, at fixed places."""
