"""The one result that comes out of the solver."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.certificate import Certificate
from nesting.model.terms import Objective, StoppedBy
from nesting.model.tree import SheetTree


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """Which build was chosen for how many copies of a need."""

    need: str
    build: str
    quantity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStock:
    """One piece of stock and the tree it is cut by."""

    stock: str
    tree: SheetTree
    saws: tuple[str, ...] = ()
    """The only saws it may be cut with, by name; empty for any of the shop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplaced:
    """Copies of a blank that got no place, and why."""

    blank: str
    quantity: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What is known about the best that exists, for one group of stock.

    `proven` is true only when `lower_bound`, from exact arithmetic or from a complete
    search, equals `value`, and nothing is unplaced.
    """

    material: str
    section: str
    sections: tuple[str, ...] = ()
    """Where several sections share blanks; `section` is empty then."""
    objective: Objective
    value: int
    lower_bound: int
    proven: bool
    basis: str
    """How the bound was found, in words."""
    certificate: Certificate | None = None
    """Its proof, where it has one that can be checked again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """Trees for every piece of stock used, and what is known about them."""

    chosen: tuple[Chosen, ...]
    trees: tuple[CutStock, ...]
    unplaced: tuple[Unplaced, ...]
    bounds: tuple[Bound, ...]
    stopped_by: StoppedBy
    work: int
    """Iterations really done."""
    notes: tuple[str, ...] = ()
    """What the maker may want to know, a sentence each."""
