"""The points of an axis at which cuts have to be tried.

Normal points are sums of sizes of pieces (Herz, IBM Journal of Research and Development
16 (1972) 462-469; Beasley, J. Operational Research Society 36 (1985) 297-306). Raster
points are thinned to what is the last sum within what another sum leaves of a sheet
(Terno, Lindemann & Scheithauer, Zuschnittprobleme und ihre praktische Loesung, Leipzig
1987). They are enough: let a size c be the last sum within S - d, d a sum, and cut it
into sums a and b neither of which can grow. The last sum z within S - (d + b) leaves
room for b within S - d, so that z + b <= c and z <= a; and a is within S - (d + b) as
well. So a is a raster point, and so on down.
"""

from __future__ import annotations

import bisect
import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_MOST_SIZE = 50_000_000


class Axis:
    """The raster points of one axis.

    Parameters
    ----------
    sizes
        Of the pieces, above 0.
    fulls
        Of the sheets.
    most
        So many points are kept at most, about, where it is given: with fewer, what is
        cut at them can still be cut, but the best may be missed.
    exact
        Whether every size, of a piece or a sheet, is a point, even if none need be.

    Raises
    ------
    ValueError
        Where there are too many units to look at each.
    """

    def __init__(
        self,
        sizes: set[int],
        fulls: set[int],
        most: int | None = None,
        *,
        exact: bool = False,
    ) -> None:
        self.unit = math.gcd(*sizes, *(fulls if exact else ())) or 1
        full = max(fulls, default=0) // self.unit
        if full > _MOST_SIZE:
            raise ValueError(f"{full} units are too many for a table")
        sums = _sums({size // self.unit for size in sizes}, full)
        below = _below(sums, full)
        kept = {0}
        for each in fulls:
            top = each // self.unit
            rests = top - sums[: below[top] + 1]
            kept.update(sums[below[rests]].tolist())
        own = sorted(size // self.unit for size in sizes)
        if exact:
            kept.update(own, (each // self.unit for each in fulls))
        points = sorted(kept)
        self.is_thin = most is not None and len(points) > most
        """Whether points were left out."""
        if most is not None and self.is_thin:
            points = _thinned(points, own, [each // self.unit for each in fulls], most)
        self.points: Line = line_of(points)
        """Rising from 0, in units of this axis."""
        self.floors: Line = _below(self.points, full)
        """For every size: which point is the last one not beyond it."""

    def below(self, size: int) -> int:
        """Return the number of the last point within a size."""
        return int(self.floors[size // self.unit])

    def below_or_last(self, size: int) -> int:
        """Return the number of the last point within a size, however large it is."""
        return int(self.floors[min(max(size, 0) // self.unit, len(self.floors) - 1)])

    def above(self, size: int) -> int:
        """Return the number of the first point that holds a size."""
        return int(self.points.searchsorted(size // self.unit))


def line_of(numbers: Sequence[int]) -> Line:
    """Return numbers as an array."""
    import numpy as np

    return np.array(numbers, dtype=np.int64)


def _sums(sizes: set[int], full: int) -> Line:
    """Return every sum of sizes up to a full one, 0 first."""
    import numpy as np

    everything = (1 << full + 1) - 1
    bits = 1
    for size in sorted(sizes):
        shift = size
        while shift <= full:
            bits |= bits << shift & everything
            shift *= 2
    data = np.frombuffer(bits.to_bytes(full // 8 + 1, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(data, bitorder="little")).astype(np.int64)


def _below(points: Line, full: int) -> Line:
    """Return, for every size up to a full one, the number of the last point within."""
    import numpy as np

    steps = np.zeros(full + 1, dtype=np.int64)
    steps[points] = 1
    return steps.cumsum() - 1


def _thinned(
    points: Sequence[int], sizes: Sequence[int], fulls: Sequence[int], most: int
) -> list[int]:
    """Choose points: a few sizes in a row, what those leave of a sheet, even gaps.

    A point that is left out makes pieces lie in the next one, so it costs least where
    that is near.
    """
    kept = {0, points[-1]}
    kept.update(points[bisect.bisect_right(points, full) - 1] for full in fulls)

    def note(wanted: Sequence[int], room: int) -> None:
        for size in wanted:
            if len(kept) >= room:
                return
            place = bisect.bisect_left(points, size)
            if place < len(points):
                kept.add(points[place])

    top = max(fulls)
    rows = [size * n for n in range(1, 9) for size in sizes if size * n <= top]
    pairs = Counter(a + b for a in sizes for b in sizes if a + b <= top)
    favoured = [size for size, _ in sorted(pairs.items(), key=lambda p: (-p[1], p[0]))]
    note(sizes, len(points))
    note([full - size for full in fulls for size in sizes], most)
    note(rows, most * 2 // 3)
    note([full - size for full in fulls for size in rows], most * 2 // 3)
    note(favoured, most * 2 // 3)
    low, high = 0, top
    while high - low > 1:
        gap = (low + high) // 2
        if len(_spaced(points, kept, gap)) > most:
            low = gap
        else:
            high = gap
    return sorted(_spaced(points, kept, high))


def _spaced(points: Sequence[int], kept: set[int], gap: int) -> set[int]:
    """Return the kept points, and others that lie so far from the one before."""
    spaced = set(kept)
    last = 0
    for point in points:
        if point in kept or point - last >= gap:
            spaced.add(point)
            last = point
    return spaced
