"""What the board solver is asked and what it answers: one family of lumber at a time.

How a board is cut. Stage 1 crosscuts it into *sections* no longer than `longest_rough`.
Stage 2 rips a section into *strips*. A strip may be resawn into *slices* of one
thickness. Stage 3 crosscuts the strip, or each slice, into blanks; a blank narrower
than its strip is ripped down to width at the end. So on one strip lie blanks of several
lengths and widths, one after the other, and the strip is as wide as the widest.

A strip with a part that is to have square edges keeps no rounded edge of its board;
what is lost at the outer edges of a section is said in `edges`. Bounds leave it out.

Lengths are ticks. A row of pieces a, b, c with a kerf k between neighbours fits a
length U when (a + k) + (b + k) + (c + k) <= U + k, along either axis: the last cut may
run off the end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nesting.model.terms import StoppedBy
from nesting.model.tree import Tree
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPart:
    """One kind of blank; its length lies along the board."""

    id: str
    length: Ticks
    width: Ticks
    thickness: Ticks
    """Parts of one thickness may share a resawn strip, and no others may."""
    quantity: int
    layers: Mapping[str, int]
    """By section it may come from: how many slices of its thickness come out of the
    section's, with the widest kerf that may resaw it. 1: it is not resawn, and keeps
    the board's thickness. A section that is not named does not do. With 2 or more it
    may lie on a resawn strip of so many slices; on a strip that is not resawn too, if
    `may_stay_thick`."""
    most_layers: Mapping[str, int]
    """The same with the narrowest kerf, for the bounds."""
    may_stay_thick: bool = True
    """Whether it may keep the thickness of a board that could be resawn."""
    weight: int = 1
    """How much more than its area it counts where it finds no place."""
    square: bool = False
    """Whether it may not keep a rounded edge of its board."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardStock:
    """One size of board; `length` and `width` are the usable ones, between trims."""

    id: str
    section: str
    length: Ticks
    width: Ticks
    cost: int
    """In the problem's own integer measure: cents, or area where prices are unknown."""
    limit: int | None
    eased: Ticks = 0
    """How far its long edges are rounded; a rip that takes that off has its kerf in
    it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardProblem:
    """Cut every part at the least cost, in the stages above."""

    parts: tuple[BoardPart, ...]
    stock: tuple[BoardStock, ...]
    kerf_x: Ticks
    """Lost at a crosscut; the widest that any saw for it may have."""
    kerf_y: Ticks
    """Lost at a rip, likewise."""
    least_kerf_x: Ticks
    """The narrowest, for the bounds."""
    least_kerf_y: Ticks
    longest_rough: Ticks | None = None
    """The longest section that is ripped; None for any. A section with a single strip
    as wide as the board, of parts as wide as that, need not be ripped and may be
    longer."""
    narrowest_rip: Ticks = 0
    """No strip is ripped narrower than this."""
    crook: Ticks = 0
    """The bow of 8 ft of these boards; a section that is ripped loses width to it."""
    keeps: Ticks | None = None
    """The shortest end of a board worth keeping. Of plans that cost the same, and take
    as many boards, the one with the largest such end is looked for; None to leave it
    at the cost."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardAnswer:
    """The boards to cut, and what is known about the best there is."""

    boards: tuple[tuple[str, Tree], ...]
    """(stock id, tree over its usable area). CROSSCUT into sections, RIP into strips,
    RESAW into slices (sizes: thickness), CROSSCUT into leaves; a level with a single
    child of the whole size is left out."""
    unplaced: tuple[tuple[str, int], ...]
    """(part id, how many)."""
    cost: int
    lower_bound: int
    """A rigorous bound on the cost of placing every part in these stages."""
    basis: str
    """How the bound was found, in words for the maker."""
    stopped_by: StoppedBy
    work: int
    vectors: tuple[tuple[int, ...], ...] = ()
    """Whole numbers by part that linear bounds came by, the best first."""
