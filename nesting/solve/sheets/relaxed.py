"""A sheet problem with all of cutting left out but the kerf: parts on sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.solve.least_cost import Offer, least_cost
from nesting.solve.sheets.problem import SheetProblem


@dataclass(frozen=True, slots=True)
class Part:
    """Some parts of one size, which fit some sheet."""

    quantity: int
    lies: tuple[tuple[int, int], ...]
    """(x, y) in each way they may lie on some sheet; inflated by the least kerf."""
    number: int
    """Their place in the problem."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A kind of sheet of which there is at least one; sizes are inflated, too."""

    x: int
    y: int
    cost: int
    limit: int | None


@dataclass(frozen=True, slots=True)
class Case:
    """Parts and sheets."""

    parts: tuple[Part, ...]
    sheets: tuple[Sheet, ...]

    def cover(self, holds: Sequence[int], need: int) -> int:
        """Return the least cost of sheets, which hold so much each, for a need."""
        offers = [
            Offer(sheet.cost, held, sheet.limit)
            for sheet, held in zip(self.sheets, holds, strict=True)
        ]
        return least_cost(offers, need)


def case_of(problem: SheetProblem) -> Case:
    """Relax a problem.

    Parameters
    ----------
    problem
        Of which parts that fit no sheet, and sheets that cannot be had, are left out.

    Returns
    -------
    Case
        After which cutting is packing.
    """
    kerf_x, kerf_y = problem.least_kerf_x, problem.least_kerf_y
    parts = []
    for number, part in enumerate(problem.parts):
        lies = set()
        for stock in problem.stock:
            along = (part.length, part.width)
            across = (part.width, part.length)
            turns = [along, across]
            if part.grain_bound:
                turns = [along] if stock.grain_along_length else [across]
            if stock.limit != 0:
                lies |= {
                    (x + kerf_x, y + kerf_y)
                    for x, y in turns
                    if x <= stock.length and y <= stock.width
                }
        if part.quantity and lies:
            parts.append(Part(part.quantity, tuple(sorted(lies)), number))
    sheets = tuple(
        Sheet(each.length + kerf_x, each.width + kerf_y, each.cost, each.limit)
        for each in problem.stock
        if each.limit != 0
    )
    return Case(tuple(parts), sheets)
