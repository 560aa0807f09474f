"""Where the linear program over sets begins: with duals of the one over all patterns.

There a part may come in a pattern as often as it fits. Every set is such a pattern, so
duals under which no pattern is worth more than a sheet leave no set worth more, either.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nesting.solve.sheets.grid import Relaxed
from nesting.solve.sheets.pattern_table import count_of
from nesting.solve.sheets.problem import SheetProblem
from nesting.solve.sheets.sets_master import Master

_CELLS = 40_000
_SCALE = 1 << 40
_LEAN = 1e-7


class Start:
    """Duals with no pattern above 1, and the patterns met on the way.

    Parameters
    ----------
    problem
        All of whose parts fit its one kind of sheet.
    duals
        To begin from, if there are any: one for each part.
    """

    def __init__(
        self, problem: SheetProblem, duals: Sequence[float] | None = None
    ) -> None:
        self._grid = Relaxed(problem, most_cells=_CELLS)
        self._wanted = [part.quantity for part in problem.parts]
        self._values = [0] * len(self._wanted)
        self._most = 1
        self._sheets = 0.0
        self.sets: list[tuple[int, ...]] = []
        """The patterns, no part more often than it is wanted."""
        self._patterns = Master(self._wanted)
        area = max(each.length * each.width for each in problem.stock)
        self._price([part.length * part.width / area for part in problem.parts])
        if duals is not None:
            self._price(duals)

    def values(self, sheet: int) -> list[int]:
        """Return the best values, with no pattern worth more than a sheet."""
        return [value * sheet // self._most for value in self._values]

    def rounds(self, most: int) -> Iterator[int]:
        """Generate columns until no pattern pays, or for so many rounds.

        Yields
        ------
        int
            The effort of a round, in cells of tables.
        """
        for _ in range(most):
            duals, _ = self._patterns.solve()
            mixed = [
                (value / self._most + dual) / 2
                for value, dual in zip(self._values, duals, strict=True)
            ]
            is_new = self._price(mixed, duals)
            yield self._grid.cells
            if not is_new:
                is_new = self._price(duals, duals)
                yield self._grid.cells
            if not is_new:
                return

    def _price(self, weights: Sequence[float], duals: Sequence[float] = ()) -> bool:
        """Find the best pattern; tell whether it is new and pays by the duals."""
        values = [int(weight * _SCALE) for weight in weights]
        for lost in self._grid.lost:
            values[lost] = 0
        self._grid.load(values)
        most = self._grid.most(0)
        total = sum(v * d for v, d in zip(values, self._wanted, strict=True))
        if most and total / most > self._sheets:
            self._values, self._most, self._sheets = values, most, total / most
        cut = self._grid.cut(0)
        if cut is None:
            return False
        counts = count_of(cut)
        row = [counts[i] for i in range(len(values))]
        self.sets.append(
            tuple(min(n, d) for n, d in zip(row, self._wanted, strict=True))
        )
        if not duals:
            return False
        worth = sum(n * dual for n, dual in zip(row, duals, strict=True))
        return worth > 1 + _LEAN and self._patterns.add(tuple(row))
