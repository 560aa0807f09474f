"""What the sheet search is asked and what it answers: one group of stock at a time.

The problem is the trade's, cut down to numbers: parts are blanks, sheets are usable
areas (trims already taken off), x runs along a sheet's length and y across its width.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from nesting.model.stock import Edges
from nesting.model.terms import StoppedBy
from nesting.model.tree import SheetTree, Tree
from nesting.solve.reach import Way
from nesting.units import Ticks

Sheets = tuple[tuple[str, Tree], ...]
"""(stock id, tree over its usable area)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart:
    """One kind of blank; lengths in ticks."""

    id: str
    length: Ticks
    width: Ticks
    quantity: int
    grain_bound: bool
    """Whether its length must lie along the sheet's grain."""
    weight: int = 1
    """How much more than its area it counts where it finds no place."""
    members: tuple[SheetPart, ...] = ()
    """Of a run that is placed as one part: what it is cut into afterwards, in order,
    one of each."""
    along_length: bool = False
    """Whether the members lie end to end, along its length, or side by side."""


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


MOST_GUIDES: Final = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetGoal:
    """What to look for among plans of one cost; areas in square ticks."""

    keeps: tuple[tuple[Ticks, Ticks], ...]
    """(x, y): a rest that holds one of them is worth keeping."""
    setting: int
    """What one distance less to set is worth, beside the area of what is kept."""
    cut: int
    """And one cut less."""
    handy: tuple[Ticks, Ticks] = (0, 0)
    """Length and width of what is large: it is broken down before all else, and along a
    line while it is more than half a sheet."""
    guides: tuple[int, ...] = ()
    """For each way of the problem the number, up to `MOST_GUIDES`, of what is set for
    it; -1 for a line, for which nothing is."""

    @property
    def numbers(self) -> tuple[int, ...]:
        """The goal as the kernels take it."""
        flat = (size for each in self.keeps for size in each)
        head = (self.setting, self.cut, len(self.keeps), *self.handy)
        return (*head, *flat, *self.guides)


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
    goal: SheetGoal | None = None
    """None where only the cost matters."""

    @property
    def has_runs(self) -> bool:
        """Whether some part is a run that is cut into its members afterwards."""
        return any(part.members for part in self.parts)

    def wanting(self, counts: Iterable[int]) -> SheetProblem:
        """Return the problem with other quantities of its parts, one for each."""
        pairs = zip(self.parts, counts, strict=True)
        parts = tuple(replace(part, quantity=count) for part, count in pairs)
        return replace(self, parts=parts)

    def apart(self) -> SheetProblem:
        """Return the problem without its runs: their members may lie anywhere.

        What is true of every plan for that is true of every plan for this, so bounds
        are made of it. A member goes with the part of its id, where there is one.
        """
        if not self.has_runs:
            return self
        found: dict[str, SheetPart] = {}
        for part in self.parts:
            for each in part.members or (part,):
                count = part.quantity * (each.quantity if part.members else 1)
                known = found.get(each.id, replace(each, quantity=0))
                found[each.id] = replace(known, quantity=known.quantity + count)
        return replace(self, parts=tuple(found.values()))


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAnswer:
    """The sheets to cut, and what is known about the best there is."""

    sheets: tuple[tuple[str, SheetTree], ...]
    """(stock id, tree over its usable area); the search itself splits nothing."""
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
