"""What any choice of parts costs at least, with boards cut anywhere for nothing.

v, r and x(T) as in `small_prices`. C(R), for every choice R of the first kinds, is the
least sum of r x(T) - v(what T holds of other kinds) over sections T that give R. What
parts R cost at least is c(R) = C(R among the first kinds) + v(the others of R). There
are as many first kinds as can be afforded; where they are all, no rest is bounded
better without looking at whole boards.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from nesting.solve.boards.small_join import (
    COUNT,
    CURSOR_SIZE,
    DONE,
    STATUS,
    STEPS,
)
from nesting.solve.boards.small_sets import Effort, Room

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_MOST_CELLS = 1 << 20
_MOST_STEPS = 400_000_000
_SLICE = 4_000_000


class Least:
    """C, filled; sets are known to it by an index and what their other kinds are worth.

    Parameters
    ----------
    counts, costs
        Sections: how many they hold of each kind, a row for each; what they cost.
    wanted, worths
        By kind.
    room, effort
        Where the numbers are, and what has been done.
    """

    def __init__(
        self,
        counts: Line,
        costs: Line,
        wanted: Sequence[int],
        worths: Sequence[int],
        room: Room,
        effort: Effort,
    ) -> None:
        import numpy as np

        self._wanted = wanted
        self._worths = worths
        self._room = room
        kinds = len(wanted)
        while kinds > 1 and self._size(kinds) > _MOST_CELLS:
            kinds -= 1
        chosen = self._items(counts, costs, kinds)
        while kinds > 1 and self._steps(*chosen[2:]) > _MOST_STEPS:
            kinds -= 1
            chosen = self._items(counts, costs, kinds)
        self._strides = np.zeros(len(wanted), dtype=np.int64)
        self._strides[:kinds] = self._first_strides(kinds)
        self._others = np.array(worths, dtype=np.int64)
        self._others[:kinds] = 0
        every = np.array(wanted, dtype=np.int64)
        self.index = int(every @ self._strides)
        """Of everything."""
        self.extra = int(every @ self._others)
        """Of everything."""
        self.table = room.filled(self._size(kinds), -1)
        """C by index; negative where sections do not give it."""
        self._fill(kinds, *chosen, effort)

    def indices(self, counts: Line) -> Line:
        """Return where what sets hold of the first kinds stands in `table`."""
        return counts @ self._strides

    def extras(self, counts: Line) -> Line:
        """Return what sets hold of other kinds, in worth."""
        return counts @ self._others

    def rests(self, indices: Line, extras: Line) -> Line:
        """Return what the parts cost at least that sets leave over; -1: cannot be."""
        import numpy as np

        if self._room.is_plain:
            left = [self.table[self.index - at] for at in indices.tolist()]
            firsts = np.array(left, dtype=np.int64)
        else:
            firsts = self.table[self.index - indices]
        return np.where(firsts < 0, -1, firsts + self.extra - extras)

    def _size(self, kinds: int) -> int:
        size = 1
        for count in self._wanted[:kinds]:
            size *= count + 1
        return size

    def _first_strides(self, kinds: int) -> list[int]:
        strides = [1] * kinds
        for i in range(kinds - 2, -1, -1):
            strides[i] = strides[i + 1] * (self._wanted[i + 1] + 1)
        return strides

    def _items(
        self, every: Line, costs: Line, kinds: int
    ) -> tuple[Line, Line, Line, Line]:
        """Return (index, cost, counts, first kind) of what sections hold of kinds."""
        import numpy as np

        others = np.array(self._worths, dtype=np.int64)
        others[:kinds] = 0
        values = costs - every @ others
        counts = every[:, :kinds]
        indices = counts @ np.array(self._first_strides(kinds), dtype=np.int64)
        order = np.lexsort((values, indices))
        order = order[indices[order] > 0]
        _, first = np.unique(indices[order], return_index=True)
        chosen = order[first]
        counts = counts[chosen]
        return indices[chosen], values[chosen], counts, np.argmax(counts > 0, axis=1)

    def _steps(self, counts: Line, firsts: Line) -> float:
        """Return how many steps it takes to fill C."""
        import numpy as np

        wanted = np.array(self._wanted[: counts.shape[1]])
        free = (wanted - counts + 1).astype(float)
        free[np.arange(counts.shape[1]) < firsts[:, None]] = 1.0
        return float(free.prod(axis=1).sum())

    def _fill(
        self,
        kinds: int,
        indices: Line,
        costs: Line,
        counts: Line,
        firsts: Line,
        effort: Effort,
    ) -> None:
        import numpy as np

        room = self._room
        order = np.lexsort((np.arange(len(firsts)), firsts))
        begins = np.searchsorted(firsts[order], np.arange(kinds + 1))
        self.table[0] = 0
        cursor = room.filled(CURSOR_SIZE)
        cursor[COUNT] = kinds - 1
        arguments = (
            self.table,
            room.line(self._first_strides(kinds)),
            room.line(self._wanted[:kinds]),
            (
                room.line(indices[order]),
                room.line(costs[order]),
                room.line(counts[order].ravel()),
            ),
            room.line(begins),
            room.filled(kinds),
            cursor,
            _SLICE,
        )
        while True:
            room.kernels["fill_least"](*arguments)
            effort.add(int(cursor[STEPS]))
            if cursor[STATUS] == DONE:
                return
