"""Whether few sheets of one kind are enough: what is asked, for all who look for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.solve.sheets.grid import lies_of
from nesting.solve.sheets.pattern_table import Cut, Lies, grown, taken
from nesting.solve.sheets.problem import SheetProblem, Sheets, SheetStock
from nesting.solve.sheets.sets_states import FINEST, States
from nesting.solve.sheets.sets_values import ONE

MANY_PARTS: Final = 50
"""So many are worth a search for a plan by sets."""
_MANY = 10
"""Parts to a sheet: with more there are too many sets for a bound or a plan."""
_MOST_STATES = 500_000


@dataclass(frozen=True, slots=True)
class Asked:
    """Whether so many sheets give all parts."""

    problem: SheetProblem
    """With one kind of sheet, and parts that fit it; without runs."""
    lies: Sequence[Lies]
    """The ways each part may lie, inflated by the least kerfs."""
    sheets: int
    is_whole: bool
    """Whether all parts are there that are wanted."""
    has_runs: bool
    """Whether some of them belong together, of which sets know nothing."""
    seed: int
    plain: bool

    @property
    def stock(self) -> SheetStock:
        """The sheet."""
        return self.problem.stock[0]

    @property
    def wanted(self) -> list[int]:
        """How many there are of each kind."""
        return [part.quantity for part in self.problem.parts]

    @property
    def may_dive(self) -> bool:
        """Whether to look for a plan, too."""
        is_large = sum(self.wanted) >= MANY_PARTS
        return is_large and self.is_whole and not self.has_runs

    @property
    def _sheet(self) -> tuple[int, int]:
        """The sheet, inflated."""
        return (
            self.stock.length + self.problem.least_kerf_x,
            self.stock.width + self.problem.least_kerf_y,
        )

    def states(self) -> States:
        """Return what sets are looked for among."""
        return States(
            self.lies, self.wanted, self._sheet, most=_MOST_STATES, plain=self.plain
        )

    def areas(self) -> list[int]:
        """Return values by area, in which no set is worth more than a sheet."""
        x, y = self._sheet
        return [min(a * b for a, b, _ in lies) * ONE // (x * y) for lies in self.lies]

    def planned(self, cuts: Sequence[Cut]) -> Sheets | None:
        """Return trees that hold each part as often as it is wanted."""
        if self.has_runs:
            return None  # sets know nothing of runs
        left = self.wanted
        ids = [part.id for part in self.problem.parts]
        sizes = [(part.length, part.width) for part in self.problem.parts]
        kerfs = (self.problem.kerf_x, self.problem.kerf_y)
        trees = []
        for cut in cuts:
            kept = taken(cut, left)
            if kept is None:
                continue
            tree, (x, y) = grown(kept, ids, sizes, kerfs)
            if x > self.stock.length or y > self.stock.width:
                return None  # by the widest kerf
            trees.append((self.stock.id, tree))
        return tuple(trees)


def asked_of(
    problem: SheetProblem, *, goal: int, seed: int, plain: bool
) -> Asked | None:
    """Return what is asked, if sets may tell; None if not.

    Parameters
    ----------
    problem
        With one kind of sheet, and not many parts to a sheet; else there is no telling.
        Parts that do not fit are left out.
    goal
        A plan is to cost less.
    seed
        Of what looks for a plan.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """
    single = problem.apart()
    stock = [each for each in single.stock if each.limit != 0]
    if len(stock) != 1 or stock[0].cost < 1:
        return None
    lies = _lies(single, stock[0])
    parts = tuple(part for part in single.parts if part.id in lies)
    sheets = -(-goal // stock[0].cost) - 1
    limit = stock[0].limit
    count = sum(part.quantity for part in parts)
    if not parts or count > _MANY * sheets or (limit is not None and limit < sheets):
        return None
    return Asked(
        problem=replace(single, parts=parts, stock=(stock[0],)),
        lies=[lies[part.id] for part in parts],
        sheets=sheets,
        is_whole=all(part.id in lies for part in single.parts if part.quantity),
        has_runs=problem.has_runs,
        seed=seed,
        plain=plain,
    )


def _lies(problem: SheetProblem, stock: SheetStock) -> dict[str, Lies]:
    """Return how the parts may lie that fit and are not too small for the grid."""
    kerfs = (problem.least_kerf_x, problem.least_kerf_y)
    sheet = (stock.length + kerfs[0], stock.width + kerfs[1])
    found = {}
    for part in problem.parts:
        lies = tuple(
            lie
            for lie in lies_of(part, stock.grain_along_length, kerfs)
            if lie[0] <= sheet[0] and lie[1] <= sheet[1]
        )
        if part.quantity and lies:
            found[part.id] = lies
    small = {
        part
        for part, lies in found.items()
        if any(FINEST * lie[axis] < sheet[axis] for lie in lies for axis in (0, 1))
    }
    return {part: lies for part, lies in found.items() if part not in small}
