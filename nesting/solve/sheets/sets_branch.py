"""Cover parts by few of the sets that a plan may hold: branch and bound, exact.

Every sheet of a plan with at most m sheets has one of the sets. A node is a linear
program over those that are left (Master; floats, advice only). Its duals, rounded down
to whole numbers v, close it: with f the most that a set left is worth, m sheets hold at
most m f, and no plan is left where v.d > m f. Else a set stays only if it is worth
v.d - (m - 1) f, for that much every sheet of a plan holds. Two parts are on one sheet
or not: of either kind of node, sets that say otherwise are left out (Ryan & Foster, in
Computer Scheduling of Public Transport, North-Holland 1981, 269-280).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.sets_master import Cover, Master, Verdict

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_SCALE: Final = 1 << 30
_ADDED = 60
_FLAT = 1e-7
_WHOLE = 1e-6
_TIGHT = 1e-6


class Branching:
    """A search under way for a cover by sets, or for the proof that there is none.

    Parameters
    ----------
    rows
        The counts of every set that a sheet of a plan may have: a row for each.
    wanted
        How many of each kind; 0 where it need not be covered.
    most_sheets
        A plan has at most so many.
    """

    def __init__(self, rows: Line, wanted: Sequence[int], most_sheets: int) -> None:
        import numpy as np

        self._rows = rows
        self._weights = rows.astype(np.float64)
        self._wanted = line_of(wanted)
        self._most = most_sheets
        self._stack = [(np.arange(len(rows)), np.arange(0))]
        self.cover = Cover(Verdict.OPEN, (), 0.0)
        self.is_stuck = False
        """Whether there is nothing left to branch on, and still no answer."""

    def run(self, most_nodes: int) -> Iterator[int]:
        """Search on, to the end or for so many nodes.

        Yields
        ------
        int
            The effort of a linear program, in iterations of the sheet search, about.
        """
        import numpy as np

        for _ in range(most_nodes):
            if not self._stack:
                self.cover = Cover(Verdict.NONE, (), 0.0)
                return
            left, known = self._stack.pop()
            master, used = self._master(known)
            while True:
                duals, _ = master.solve()
                yield 100 + master.size + len(left) // 20
                gains = self._weights[left] @ np.array(duals)
                best = np.argsort(-gains, kind="stable")[:_ADDED]
                added = [
                    number
                    for number in left[best[gains[best] > 1 + _FLAT]].tolist()
                    if master.add(tuple(self._rows[number].tolist()))
                ]
                used += added
                if not added:
                    break
            left = self._kept(left, duals)
            if not len(left):
                continue
            uses = np.array(master.uses()[len(self._wanted) :])
            known = np.array(used, dtype=np.int64)
            if np.all(np.abs(uses - np.round(uses)) < _WHOLE):
                if self._is_found(known, np.round(uses).astype(np.int64)):
                    return
                pair = None
            else:
                pair = self._pair(known, uses)
            if pair is None:
                self.is_stuck = True
                return
            one, two = (self._rows[:, kind] > 0 for kind in pair)
            apart, together = ~(one & two), one == two
            known = known[self._weights[known] @ np.array(duals) > 1 - _TIGHT]
            for allowed in (apart, together):
                self._stack.append((left[allowed[left]], known[allowed[known]]))

    def _master(self, known: Line) -> tuple[Master, list[int]]:
        master = Master(self._wanted.tolist(), alone=self._most + 1.0)
        used = [n for n in known.tolist() if master.add(tuple(self._rows[n].tolist()))]
        return master, used

    def _kept(self, left: Line, duals: Sequence[float]) -> Line:
        """Return the sets that a plan may still have; none where there is no plan."""
        if not len(left):
            return left
        values = line_of([int(dual * _SCALE) for dual in duals])
        worths = self._rows[left] @ values
        total, most = int(values @ self._wanted), int(worths.max())
        if total > self._most * most:
            return left[:0]
        kept: Line = left[worths >= total - (self._most - 1) * most]
        return kept

    def _is_found(self, known: Line, times: Line) -> bool:
        """Take over a cover, if it is one."""
        import numpy as np

        if int(times.sum()) > self._most:
            return False
        if np.any(times @ self._rows[known] < self._wanted):
            return False
        whole = np.zeros(len(self._rows), dtype=np.int64)
        whole[known] = times
        self.cover = Cover(Verdict.FOUND, tuple(whole.tolist()), 0.0)
        return True

    def _pair(self, known: Line, uses: NDArray[np.float64]) -> tuple[int, int] | None:
        """Return two kinds, one of each wanted, that are half together."""
        import numpy as np

        has = ((self._rows[known] > 0) & (self._wanted == 1)).astype(np.float64)
        together = has.T @ (has * uses[:, None])
        unclear = np.minimum(together % 1, 1 - together % 1)
        np.fill_diagonal(unclear, 0.0)
        place = int(unclear.argmax())
        one, two = divmod(place, len(self._wanted))
        return (one, two) if unclear[one, two] > _WHOLE else None
