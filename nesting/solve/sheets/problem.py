"""What the sheet search is asked and what it answers: one group of stock at a time.

The problem is the trade's, cut down to numbers: parts are blanks, sheets are usable
areas (trims already taken off), x runs along a sheet's length and y across its width.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.stock import Edges
from nesting.model.terms import StoppedBy
from nesting.model.tree import Tree
from nesting.solve.reach import Way
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart:
    """One kind of blank; lengths in ticks."""

    id: str
    length: Ticks
    width: Ticks
    quantity: int
    grain_bound: bool
    """Whether its length must lie along the sheet's grain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStock:
    """One size of sheet; `length` and `width` are the usable ones, in ticks."""

    id: str
    length: Ticks
    width: Ticks
    cost: int
    """In the problem's own integer measure: cents, or area where prices are unknown."""
    limit: int | None
    grain_along_length: bool
    trim: Edges
    """Lies outside `length` and `width`; what a cut's run may have more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetProblem:
    """Place every part at the least cost, by guillotine cuts the saws can make.

    `kerf_x` is lost at a cut that divides the length (a crosscut), `kerf_y` at one that
    divides the width (a rip); the search takes the widest kerf any way may have. The
    bounds take `least_kerf_x` and `least_kerf_y`. In an empty `ways` every cut is open.
    """

    parts: tuple[SheetPart, ...]
    stock: tuple[SheetStock, ...]
    kerf_x: Ticks
    kerf_y: Ticks
    least_kerf_x: Ticks
    least_kerf_y: Ticks
    ways: tuple[Way, ...] = ()
    stages: int | None = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAnswer:
    """The sheets to cut, and what is known about the best there is."""

    sheets: tuple[tuple[str, Tree], ...]
    """(stock id, tree over its usable area)."""
    unplaced: tuple[tuple[str, int], ...]
    """(part id, how many)."""
    cost: int
    lower_bound: int
    """A rigorous bound on the cost of placing every part."""
    basis: str
    """How the bound was found, in words for the maker."""
    stopped_by: StoppedBy
    work: int
    """Search iterations done."""
    duals: tuple[int, ...] = ()
    """Whole numbers by part that a linear bound stands on; empty where there was none.
    """
