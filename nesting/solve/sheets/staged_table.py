"""Best values of every rectangle under a limit of stages and of reach.

Problem: as for `pattern_table`, but with at most so many levels of alternating cuts,
and with members no longer than the saws reach at their width.

Method (Gilmore & Gomory, Operations Research 13 (1965) 94-120, who did it for two and
three stages): T[k, a] is the best of a rectangle that is divided along axis a first and
has k levels, this one included. It is a row of members, each a rectangle T[k - 1, 1 -
a] with the width of the row, or one such rectangle as it is. T[0] is a piece that has
its very size; so the points of both axes hold the sizes of all the pieces.

Guarantee: whatever is read off keeps both limits, as far as the reach depends on the
sizes of rectangles here, which are a little more than what is cut to. With points left
out there may be better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from nesting.solve.compile import compiled, may_compile
from nesting.solve.sheets import rows
from nesting.solve.sheets.pattern_table import (
    MOST_CELLS,
    PATTERN_KERNELS,
    Cut,
    Lies,
    Pair,
    Put,
    axes_of,
)
from nesting.solve.sheets.points import line_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Grid = NDArray[np.int64]

Reach = Callable[[int, int], int]
"""The longest member by axis and width, in grid units, inflated."""


class StagedTable:
    """Best values over the points of some sheets, refilled as values change.

    Parameters
    ----------
    lies, sheets, most_cells, plain
        As for `pattern_table.Table`; points are left out rather than have more cells.
    stages
        How many levels of alternating cuts there may be, 1 or more.
    reach
        How long a member may be; None where everything is in reach.
    """

    def __init__(
        self,
        lies: Sequence[Lies],
        sheets: Sequence[tuple[int, int]],
        *,
        stages: int,
        reach: Reach | None = None,
        most_cells: int = MOST_CELLS,
        plain: bool = False,
    ) -> None:
        import numpy as np

        self._stages = stages
        self._lies = [
            tuple(
                lie
                for lie in each
                if any(lie[0] <= x and lie[1] <= y for x, y in sheets)
            )
            for each in lies
        ]
        self._axes = axes_of(self._lies, sheets, most_cells, exact=True)
        counts = [len(axis.points) for axis in self._axes]
        self.cells = 2 * stages * counts[0] * counts[1] // 4
        """How much work one filling is, about, in cells of a table without stages."""
        self.is_thin = any(axis.is_thin for axis in self._axes)
        """Whether points were left out."""
        self._area = max((x * y for x, y in sheets), default=0)
        # A table of rows along an axis has the points of the other axis first.
        shapes = [(counts[1 - axis], counts[axis]) for axis in (0, 1)]
        self._rows = [
            [np.zeros(shape, dtype=np.int64) for shape in shapes]
            for _ in range(stages + 1)
        ]
        self._best = [
            [np.zeros(shape, dtype=np.int64) for shape in shapes]
            for _ in range(stages + 1)
        ]
        self._room = np.zeros(max(counts), dtype=np.int64)
        self._reach = [
            line_of(
                [
                    count - 1
                    if reach is None
                    else self._axes[axis].below_or_last(
                        reach(axis, int(width) * self._axes[1 - axis].unit)
                    )
                    for width in self._axes[1 - axis].points
                ]
            )
            for axis, count in enumerate(counts)
        ]
        self._puts: dict[tuple[int, int], tuple[int, Put]] = {}
        self._fill: Any = rows.best_rows
        if may_compile() and not plain:
            self._fill = compiled(PATTERN_KERNELS)["best_rows"]

    def ceiling(self, number: int) -> int:
        """Return how many of a piece a sheet can hold at most, by area."""
        return max(
            (self._area // (x * y) + 1 for x, y, _ in self._lies[number]), default=0
        )

    def fill(self, values: Sequence[int]) -> None:
        """Find the best value of every rectangle, of pieces worth zero or more."""
        along, across = self._axes
        self._puts = {}
        for number, (value, each) in enumerate(zip(values, self._lies, strict=True)):
            for x, y, turned in each:
                place = (along.above(x), across.above(y))
                if value > self._puts.get(place, (0,))[0]:
                    self._puts[place] = (value, Put(number, turned))
        for axis in (0, 1):
            self._best[0][axis][:] = 0
        for (i, j), (value, _) in self._puts.items():
            self._best[0][0][j, i] = value
            self._best[0][1][i, j] = value
        for level in range(1, self._stages + 1):
            for axis in (0, 1):
                self._level(level, axis)

    def _level(self, level: int, axis: int) -> None:
        import numpy as np

        members = np.ascontiguousarray(self._best[level - 1][1 - axis].T)
        row = self._rows[level][axis]
        self._fill(
            members.reshape(-1),
            row.reshape(-1),
            self._axes[axis].points,
            self._axes[axis].floors,
            self._reach[axis],
            self._room,
        )
        np.maximum(row, members, out=self._best[level][axis])

    def value(self, x: int, y: int) -> int:
        """Return the best value of one of the sheets."""
        i, j = self._ends(x, y)
        return max(
            int(self._best[self._stages][0][j, i]),
            int(self._best[self._stages][1][i, j]),
        )

    def cuts(self, x: int, y: int, most: int) -> list[Cut]:
        """Return a best way to cut a sheet and others that begin in good ways."""
        ends = self._ends(x, y)
        level = self._stages
        worth = [
            int(self._best[level][axis][ends[1 - axis], ends[axis]]) for axis in (0, 1)
        ]
        found = [self._cut(level, 0 if worth[0] >= worth[1] else 1, ends)]
        begins: list[tuple[int, int, int, int]] = []
        for axis in (0, 1):
            members, row, half, rests = self._splits(level, axis, ends)
            sums = members[1:half] + row[rests]
            begins += [
                (-int(sums[k]), axis, int(k) + 1, int(rests[k]))
                for k in (-sums).argsort(kind="stable")[:most]
            ]
        for _, axis, one, two in sorted(begins)[:most]:
            found.append(self._pair(level, axis, ends, one, two))
        return [cut for cut in found if cut is not None]

    def _ends(self, x: int, y: int) -> tuple[int, int]:
        return self._axes[0].below(x), self._axes[1].below(y)

    def _splits(
        self, level: int, axis: int, ends: tuple[int, int]
    ) -> tuple[Grid, Grid, int, Grid]:
        """Return members and rows of a width, and the members that may come first."""
        points = self._axes[axis]
        width, at = ends[1 - axis], ends[axis]
        members = self._best[level - 1][1 - axis][:, width]
        half = int(points.points.searchsorted(points.points[at] // 2, "right"))
        half = max(1, min(half, int(self._reach[axis][width]) + 1))
        rests = points.floors[points.points[at] - points.points[1:half]]
        return members, self._rows[level][axis][width], half, rests

    def _cut(self, level: int, axis: int, ends: tuple[int, int]) -> Cut | None:
        """Return a best way to cut a rectangle along an axis first, or not at all."""
        if level == 0:
            own = self._puts.get(ends)
            return None if own is None else own[1]
        most = self._best[level][axis][ends[1 - axis], ends[axis]]
        if not most:
            return None
        if most == self._best[level - 1][1 - axis][ends[axis], ends[1 - axis]]:
            return self._cut(level - 1, 1 - axis, ends)
        return self._row(level, axis, ends)

    def _row(self, level: int, axis: int, ends: tuple[int, int]) -> Cut | None:
        row = self._rows[level][axis][ends[1 - axis]]
        at = ends[axis]
        most = row[at]
        if not most:
            return None
        while row[at - 1] == most:
            at -= 1
        ends = _with(ends, axis, at)
        members, _, _, rests = self._splits(level, axis, ends)
        if at <= self._reach[axis][ends[1 - axis]] and members[at] == most:
            return self._cut(level - 1, 1 - axis, ends)
        found = (members[1 : 1 + len(rests)] + row[rests] == most).nonzero()[0]
        k = int(found[-1])
        return self._pair(level, axis, ends, k + 1, int(rests[k]))

    def _pair(
        self, level: int, axis: int, ends: tuple[int, int], one: int, two: int
    ) -> Cut | None:
        near = self._cut(level - 1, 1 - axis, _with(ends, axis, one))
        far = self._row(level, axis, _with(ends, axis, two))
        if near is None or far is None:
            return near or far
        return Pair(axis, near, far)


def _with(ends: tuple[int, int], axis: int, at: int) -> tuple[int, int]:
    return (at, ends[1]) if axis == 0 else (ends[0], at)
