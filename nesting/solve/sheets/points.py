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

import math
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

    Raises
    ------
    ValueError
        Where there are too many units to look at each.
    """

    def __init__(self, sizes: set[int], fulls: set[int]) -> None:
        self._unit = math.gcd(*sizes) or 1
        full = max(fulls, default=0) // self._unit
        if full > _MOST_SIZE:
            raise ValueError(f"{full} units are too many for a table")
        sums = _sums({size // self._unit for size in sizes}, full)
        below = _below(sums, full)
        kept = {0}
        for each in fulls:
            top = each // self._unit
            rests = top - sums[: below[top] + 1]
            kept.update(sums[below[rests]].tolist())
        self.points: Line = line_of(sorted(kept))
        """Rising from 0, in units of this axis."""
        self.floors: Line = _below(self.points, full)
        """For every size: which point is the last one not beyond it."""

    def below(self, size: int) -> int:
        """Return the number of the last point within a size."""
        return int(self.floors[size // self._unit])

    def above(self, size: int) -> int:
        """Return the number of the first point that holds a size."""
        return int(self.points.searchsorted(size // self._unit))


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
