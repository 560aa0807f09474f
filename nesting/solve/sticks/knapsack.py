"""The best filling of one stick: an exact dynamic program, and all good fillings.

Problem: f(C) = max { v.a : w.a <= C, 0 <= a <= d, a integer } for every room C at once.
Method: the table T[i][r] of the best value of parts i, i+1, ... within room r, by numpy
in whole numbers, copies taken in powers of two (Martello and Toth, Knapsack Problems,
Wiley 1990, ch. 3). Where the rooms have too many grid units the table stands on a
coarser grid with weights rounded *down*, so that it never says too little, and a
depth-first search in exact weights runs under it. Guarantee: `most` is never below f;
a fill that is returned fits exactly; `every_fill` leaves none out unless it says so.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import numpy.typing as npt

    from nesting.solve.sticks.core import Core, Fill

    Row = npt.NDArray[np.int64]

MOST_CELLS = 4_000_000
"""Cells of the table (32 MB); beyond that the grid is made coarser."""
MOST_CELLS_OF_ONE = 1_000_000
"""The same where there is one size: searches under it cost less than the table."""
MOST_BEST = 4
"""Fillings returned at a time."""
PRICING_NODES = 1_500
"""Nodes of the search under a coarse table."""
MOST_STEPS = 60_000_000
"""Cells `thorough` goes through; beyond that its grid is made coarser."""


@dataclass(frozen=True, slots=True)
class Best:
    """What is known of the best filling of one room."""

    most: int
    """No filling is worth more."""
    fills: tuple[Fill, ...]
    """Fillings worth more than was asked for, the best first, as far as found."""


class Pricer:
    """A knapsack table over a core's weights, loaded with one set of values."""

    def __init__(self, core: Core) -> None:
        self.core = core
        room = max(size.room for size in core.sizes)
        most = MOST_CELLS_OF_ONE if len(core.sizes) == 1 else MOST_CELLS
        self.grain = max(1, -(-room * (len(core.weights) + 1) // most))
        """Grid units in one cell of the table."""
        self._weights = [w // self.grain for w in core.weights]
        cells = room // self.grain + 1
        self._table: Row = np.zeros((len(core.weights) + 1, cells), dtype=np.int64)
        self._spare: Row = np.empty(cells, dtype=np.int64)
        self._values: list[int] = []
        self._counts: list[int] = []
        self._active: list[int] = []

    @property
    def effort(self) -> int:
        """Return the work units of one load."""
        return 2 + self._table.size // 100_000

    def load(self, values: Sequence[int], counts: Sequence[int]) -> None:
        """Set the values of the parts and how many of each a stick may hold."""
        self._values, self._counts = list(values), list(counts)
        # Parts of no value or no count need no row of their own.
        self._active = [i for i, v in enumerate(values) if v > 0 and counts[i] > 0]
        room = self._table.shape[1] - 1
        self._table[len(self._active)] = 0
        for at in range(len(self._active) - 1, -1, -1):
            i = self._active[at]
            row = self._table[at]
            row[:] = self._table[at + 1]
            weight = self._weights[i]
            most = counts[i] if weight == 0 else min(counts[i], room // weight)
            _add_copies(row, self._spare, weight, self._values[i], most)

    def most(self, room: int) -> int:
        """Return a value that no filling of a room exceeds; exact on the fine grid."""
        return int(self._table[0, room // self.grain])

    def best(self, room: int, over: int) -> Best:
        """Return the best filling of a room, if it is worth more than `over`.

        On the fine grid the answer is exact. On a coarse one the search may end early:
        then `most` is the table's, which is rigorous all the same.
        """
        most = self.most(room)
        if most <= over:
            return Best(most, ())
        if self.grain == 1:
            return Best(most, self._traces(room, over))
        best, nodes = over, 0
        fills: list[Fill] = []
        stack: list[tuple[int, int, int, Fill]] = [(0, room, 0, ())]
        last = len(self._active)
        while stack:
            at, left, value, taken = stack.pop()
            if value > best:
                best = value
                fills.append(taken)
                if best >= most:
                    break
            if at == last:
                continue
            nodes += 1
            if nodes > PRICING_NODES + last:
                return Best(most, tuple(fills[: -MOST_BEST - 1 : -1]))
            stack += self._children(at, left, value, taken, best)
        return Best(best, tuple(fills[: -MOST_BEST - 1 : -1]))

    def _traces(self, room: int, over: int) -> tuple[Fill, ...]:
        """Return good fillings read off the fine table, a best one first.

        Each next one is a best filling without the parts up to the longest of the one
        before, so that several different columns come of one table.
        """
        cell = self._table.item
        fills: list[Fill] = []
        start = 0
        while len(fills) < MOST_BEST and cell(start, room) > over:
            fill: list[tuple[int, int]] = []
            left, value, first = room, cell(start, room), start
            for at in range(start, len(self._active)):
                if not value:
                    break
                i, n = self._active[at], 0
                while cell(at + 1, left) != value:
                    n += 1
                    left -= self.core.weights[i]
                    value -= self._values[i]
                if n:
                    first = at if not fill else first
                    fill.append((i, n))
            fills.append(tuple(fill))
            start = first + 1
        return tuple(fills)

    def _children(
        self, at: int, left: int, value: int, taken: Fill, best: int
    ) -> list[tuple[int, int, int, Fill]]:
        """Return the ways to go on that may beat a value, the most promising last."""
        i = self._active[at]
        weight, worth = self.core.weights[i], self._values[i]
        cell = self._table.item
        open_ways = []
        for n in range(min(self._counts[i], left // weight) + 1):
            room = left - n * weight
            hope = value + n * worth + cell(at + 1, room // self.grain)
            if hope > best:
                fill = (*taken, (i, n)) if n else taken
                open_ways.append((hope, n, (at + 1, room, value + n * worth, fill)))
        open_ways.sort(key=lambda way: way[:2])
        return [way for _, _, way in open_ways]

    def thorough(self, rooms: Sequence[int], overs: Sequence[int]) -> list[Best]:
        """Return, for every room, the best filling on the finest grid that is held.

        Needs a `load` before; of use where the table is coarse. Slower than `best`, but
        up to `MOST_STEPS` exact; beyond that, fills are found on weights rounded up,
        and `most` on weights rounded down.

        Parameters
        ----------
        rooms
            In grid units.
        overs
            For each room, the value a filling must exceed to be returned.
        """
        room, weights = max(rooms), self.core.weights
        chunks = [
            (i, copies)
            for i in self._active
            for copies in _chunks(min(self._counts[i], room // weights[i]))
        ]
        grain = max(1, -(-room * len(chunks) // MOST_STEPS))
        line: Row = np.zeros(room // grain + 1, dtype=np.int64)
        spare: Row = np.empty_like(line)
        better = np.zeros(line.size, dtype=np.bool_)
        taken = []
        for i, copies in chunks:
            shift = -(-weights[i] // grain) * copies
            better[:shift] = False
            if shift < line.size:
                value = self._values[i] * copies
                np.add(line[:-shift], value, out=spare[shift:])
                np.greater(spare[shift:], line[shift:], out=better[shift:])
                np.copyto(line, spare, where=better)
            taken.append(np.packbits(better))
        found = []
        most = self._rounded_down(rooms, grain) if grain > 1 else None
        for at, (room, over) in enumerate(zip(rooms, overs, strict=True)):
            left = room // grain
            value = int(line[left])
            counts: dict[int, int] = {}
            for (i, copies), bits in zip(
                reversed(chunks), reversed(taken), strict=True
            ):
                if bits[left >> 3] >> (7 - (left & 7)) & 1:
                    counts[i] = counts.get(i, 0) + copies
                    left -= -(-weights[i] // grain) * copies
            fills = (tuple(sorted(counts.items())),) if value > over else ()
            found.append(Best(value if most is None else most[at], fills))
        return found

    def _rounded_down(self, rooms: Sequence[int], grain: int) -> list[int]:
        """Return, for every room, a value no filling exceeds, by a grid."""
        room = max(rooms)
        line: Row = np.zeros(room // grain + 1, dtype=np.int64)
        spare: Row = np.empty_like(line)
        for i in self._active:
            weight = self.core.weights[i]
            most = min(self._counts[i], room // weight)
            _add_copies(line, spare, weight // grain, self._values[i], most)
        return [int(line[room // grain]) for room in rooms]

    def every_fill(
        self, room: int, least: int, most_fills: int, most_nodes: int
    ) -> tuple[list[Fill], bool]:
        """Return every maximal filling worth at least `least`, and whether it is all.

        A filling is maximal when no further part fits, within the loaded counts.

        Parameters
        ----------
        room
            In grid units.
        least
            The value to reach; at most 0 for no condition.
        most_fills, most_nodes
            Where to give up; the second value is then false.
        """
        weights, counts = self.core.weights, self._counts
        # A row for every part that may be used: worthless ones fill up as well.
        kinds = [i for i, n in enumerate(counts) if n and weights[i] <= room]
        rows = _rows_of(kinds, self._active)
        tail = [0] * (len(kinds) + 1)
        for at in range(len(kinds) - 1, -1, -1):
            i = kinds[at]
            tail[at] = tail[at + 1] + weights[i] * counts[i]
        fills: list[Fill] = []
        cell = self._table.item
        nodes = 0
        # (next kind, room left, value still wanted, lightest part that could be added)
        stack: list[tuple[int, int, int, int, Fill]] = [(0, room, least, room + 1, ())]
        while stack:
            at, left, want, lightest, taken = stack.pop()
            nodes += 1
            if nodes > most_nodes:
                return fills, False
            if left - tail[at] >= lightest or want > cell(rows[at], left // self.grain):
                continue
            if at == len(kinds):
                fills.append(taken)
                if len(fills) > most_fills:
                    return fills, False
                continue
            i = kinds[at]
            weight = weights[i]
            most = min(counts[i], left // weight)
            for n in range(most + 1):
                free = lightest if n == counts[i] else min(lightest, weight)
                stack.append(
                    (
                        at + 1,
                        left - n * weight,
                        want - n * self._values[i],
                        free,
                        (*taken, (i, n)) if n else taken,
                    )
                )
        return fills, True


def _rows_of(kinds: list[int], active: list[int]) -> list[int]:
    """Return the table row that holds what each kind and those after it are worth."""
    return [*(bisect_left(active, i) for i in kinds), len(active)]


def _add_copies(row: Row, spare: Row, weight: int, value: int, count: int) -> None:
    """Add up to `count` more parts of a weight and value to a line of best values."""
    for copies in _chunks(count):
        shift = weight * copies
        if shift == 0:
            row += value * copies
        elif shift >= row.size:
            return
        else:
            np.add(row[:-shift], value * copies, out=spare[shift:])
            np.maximum(row[shift:], spare[shift:], out=row[shift:])


def _chunks(count: int) -> Iterator[int]:
    """Yield 1, 2, 4, ... and a rest that together allow every number up to a count."""
    chunk = 1
    while count > 0:
        yield min(chunk, count)
        count -= chunk
        chunk *= 2
