"""The best of every rectangle: a dynamic program over guillotine patterns.

F(x, y) is the best of a piece that fits, and of F(a, y) + F(x - a, y) and
F(x, b) + F(x, y - b) over every cut from edge to edge, each piece as often as one
likes. Cuts are tried at sums of sizes only, the near side not the larger one: a pattern
can be pushed towards the corner until every cut is at such a sum (Herz, IBM Journal of
Research and Development 16 (1972) 462-469).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

MOST_UNITS: Final = 4_000_000
"""Grid units along an axis."""
MOST_CELLS: Final = 120_000
"""Of a table of rectangles."""
MOST_SUM: Final = 1 << 62
"""No sum of weights may be so large."""


class TooLarge(Exception):  # noqa: N818  (a finding, told as a violation)
    """Why a table is not made. Never leaves this room."""


class Table:
    """The best of every rectangle over the sums of sizes, for several vectors at once.

    Parameters
    ----------
    pieces
        Weights by (x, y), one for each vector; sizes above 0, in grid units.
    sheets
        (x, y) of the largest rectangles wanted, in grid units.
    depth
        How many vectors there are.

    Raises
    ------
    TooLarge
        Where the table, or a sum in it, would be too large.
    """

    def __init__(
        self,
        pieces: Mapping[tuple[int, int], Sequence[int]],
        sheets: Sequence[tuple[int, int]],
        depth: int,
    ) -> None:
        import numpy as np

        full = [max(sheet[axis] for sheet in sheets) for axis in (0, 1)]
        if max(full) > MOST_UNITS:
            raise TooLarge("has a grid too fine to go through: too large to re-check")
        for (x, y), worth in pieces.items():
            if max(worth) * full[0] * full[1] >= MOST_SUM * x * y:
                raise TooLarge("has weights too large to add up")
        self._pieces = pieces
        self._points = [
            np.array(sums({place[axis] for place in pieces}, full[axis]))
            for axis in (0, 1)
        ]
        columns, rows = map(len, self._points)
        if columns * rows > MOST_CELLS:
            raise TooLarge("has a grid too fine to go through: too large to re-check")
        self.steps = columns * rows * (columns + rows) * depth // 4
        """How many sums a filling looks at, about."""
        self._best: NDArray[np.int64] = np.zeros((columns, rows, depth), dtype=np.int64)

    def fill(self) -> None:
        """Find the best of every rectangle, column by column, each from below."""
        import numpy as np

        best = self._best
        across, up = self._points
        for (x, y), worth in self._pieces.items():
            place = int(across.searchsorted(x)), int(up.searchsorted(y))
            best[place] = np.maximum(best[place], worth)
        splits = [_splits(up, j) for j in range(len(up))]
        for i in range(1, len(across)):
            column = best[i]
            np.maximum(column, best[i - 1], out=column)
            near, rests = _splits(across, i)
            if near:
                pairs = best[1 : near + 1] + best[rests]
                np.maximum(column, pairs.max(axis=0), out=column)
            for j in range(1, len(up)):
                cell = np.maximum(column[j], column[j - 1])
                near, rests = splits[j]
                if near:
                    pairs = column[1 : near + 1] + column[rests]
                    cell = np.maximum(cell, pairs.max(axis=0))
                column[j] = cell

    def at(self, x: int, y: int) -> list[int]:
        """Return the best of one of the sheets, by vector."""
        i, j = (
            int(points.searchsorted(size, side="right")) - 1
            for points, size in zip(self._points, (x, y), strict=True)
        )
        return [int(value) for value in self._best[i, j]]


def _splits(points: Line, at: int) -> tuple[int, Line]:
    """Return how many near sides to try at a point, and the place of each far side."""
    near = int(points.searchsorted(points[at] // 2, side="right")) - 1
    rests = points[at] - points[1 : near + 1]
    return near, points.searchsorted(rests, side="right") - 1


def sums(sizes: set[int], full: int) -> list[int]:
    """Return every sum of sizes up to a full one, 0 first."""
    everything = (1 << full + 1) - 1
    bits = 1
    for size in sorted(sizes):
        shift = size
        while shift <= full:
            bits |= bits << shift & everything
            shift *= 2
    return [at for at, bit in enumerate(reversed(f"{bits:b}")) if bit == "1"]
