"""What the solver knows of one group when it is done with it."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.certificate import Certificate
from nesting.model.result import CutStock, Unplaced
from nesting.model.terms import StoppedBy


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """Trees and bound of one group, in the group's own objective."""

    trees: tuple[CutStock, ...]
    unplaced: tuple[Unplaced, ...]
    value: int
    lower_bound: int
    basis: str
    stopped_by: StoppedBy
    work: int
    certificate: Certificate | None = None
    """Of the bound, where nothing is unplaced."""
    notes: tuple[str, ...] = ()
    """What the maker may want to know, a sentence each."""
