"""The best of every rectangle: a dynamic program over guillotine patterns.

F(x, y) is the best of a piece that fits, and of F(a, y) + F(x - a, y) and
F(x, b) + F(x, y - b) over every cut from edge to edge, each piece as often as one
likes. Cuts are tried at few places only, the near side not the larger one.

A pattern can be pushed towards the corner until every cut is at a sum of sizes (Herz,
IBM Journal of Research and Development 16 (1972) 462-469). Then let each side of a cut
grow to the largest sum that fits beside the other: on a sheet of S, what has sums of d
beside it in all is then the largest sum within S - d. So only these are needed, for
every sum d (Terno, Lindemann & Scheithauer, Zuschnittprobleme und ihre praktische
Loesung, Leipzig 1987); several sheets need those of each.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

MOST_UNITS: Final = 4_000_000
"""Grid units along an axis."""
MOST_CELLS: Final = 120_000
MOST_PLACES: Final = 4_000
"""Along one axis."""
"""Of a table of rectangles."""
MOST_SUM: Final = 1 << 62
"""No sum of weights may be so large."""


class TooLarge(Exception):  # noqa: N818  (a finding, told as a violation)
    """Why a table is not made. Never leaves this room."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Splits:
    """The cuts to try along an axis, a row for each place; places by number."""

    counts: Line
    """How many there are, rising."""
    near: Line
    far: Line
    """Behind the last cut of a row there is nothing on both sides: place 0."""


class Table:
    """The best of every rectangle over such places, for several vectors at once.

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
            np.array(
                places(
                    {place[axis] for place in pieces}, {sheet[axis] for sheet in sheets}
                )
            )
            for axis in (0, 1)
        ]
        columns, rows = map(len, self._points)
        if columns * rows > MOST_CELLS or max(columns, rows) > MOST_PLACES:
            raise TooLarge("has a grid too fine to go through: too large to re-check")
        self.steps = columns * rows * (columns + rows) * depth // 4
        """How many sums a filling looks at, about."""
        self._best: Line = np.zeros((depth, columns, rows), dtype=np.int64)

    def fill(self) -> None:
        """Find the best of every rectangle, for one vector after the other."""
        across, up = self._points
        splits = _splits(across), _splits(up)
        for row, best in enumerate(self._best):
            for (x, y), worth in self._pieces.items():
                place = int(across.searchsorted(x)), int(up.searchsorted(y))
                best[place] = max(best[place], worth[row])
            _fill(best, *splits)

    def at(self, x: int, y: int) -> list[int]:
        """Return the best of one of the sheets, by vector."""
        i, j = (
            int(points.searchsorted(size, side="right")) - 1
            for points, size in zip(self._points, (x, y), strict=True)
        )
        return [int(value) for value in self._best[:, i, j]]


def _fill(best: Line, across: Splits, up: Splits) -> None:
    """Find the best of every rectangle: all with one sum of their numbers at a time."""
    import numpy as np

    columns, rows = best.shape
    for both in range(2, columns + rows - 1):
        i = np.arange(max(1, both - rows + 1), min(columns, both))
        j = both - i
        cells = np.maximum(best[i, j], np.maximum(best[i - 1, j], best[i, j - 1]))
        most = across.counts[i[-1]]
        if most:
            near, far, beside = across.near[i, :most], across.far[i, :most], j[:, None]
            pairs = best[near, beside] + best[far, beside]
            np.maximum(cells, pairs.max(axis=1), out=cells)
        most = up.counts[j[0]]
        if most:
            near, far, beside = up.near[j, :most], up.far[j, :most], i[:, None]
            pairs = best[beside, near] + best[beside, far]
            np.maximum(cells, pairs.max(axis=1), out=cells)
        best[i, j] = cells


def _splits(points: Line) -> Splits:
    """Return the cuts to try at every place."""
    import numpy as np

    halves = points.searchsorted(points // 2, side="right") - 1
    near = np.broadcast_to(np.arange(1, halves[-1] + 1), (len(points), halves[-1]))
    fits = near <= halves[:, None]
    rests = np.where(fits, points[:, None] - points[near], 0)
    far = points.searchsorted(rests, side="right") - 1
    return Splits(counts=halves, near=near * fits, far=far)


def places(sizes: set[int], fulls: set[int]) -> list[int]:
    """Return the places to cut at, 0 first: the largest sum within what a sum leaves.

    Parameters
    ----------
    sizes
        Of the pieces, above 0.
    fulls
        Of the sheets.
    """
    top = max(fulls)
    everything = (1 << top + 1) - 1
    bits = 1
    for size in sorted(sizes):
        shift = size
        while shift <= top:
            bits |= bits << shift & everything
            shift *= 2
    sums = [at for at, bit in enumerate(reversed(f"{bits:b}")) if bit == "1"]
    found = {0}
    for full in fulls:
        for each in sums:
            if each <= full:
                found.add(sums[bisect_right(sums, full - each) - 1])
    return sorted(found)
