"""Cover parts by few of the sets that a plan may hold: branch and bound, exact.

Every sheet of a plan with at most m sheets has one of the sets. A node is a linear
program over those that are left (`sets_program`; floats, advice only). What its parts
are worth, rounded down to whole numbers v, closes it: with f the most that a set left
is worth, m sheets hold at most m f, and no plan is left where v.d > m f. Else a set
stays only if it is worth v.d - (m - 1) f, for that much every sheet of a plan holds.
Two parts are on one sheet or not: of either kind of node, sets that say otherwise are
left out (Ryan & Foster, in Computer Scheduling of Public Transport, North-Holland 1981,
269-280). Who looks for a cover begins again after a while, with large parts in another
order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final

from nesting.solve.kernel import MODULUS, Ints, draw
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.sets_master import Cover, Verdict
from nesting.solve.sheets.sets_program import Program

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from nesting.solve.sheets.points import Line

_SCALE: Final = 1 << 30
_WHOLE = 1e-6
_LEAST_FACTOR = 0.5  # of a size by chance, and at most 1 more


class Branching:
    """A search under way for a cover by sets, or for the proof that there is none.

    Parameters
    ----------
    rows
        The counts of every set that a sheet of a plan may have: a row for each, with
        at least one part.
    wanted
        How many of each kind; 0 where it need not be covered.
    most_sheets
        A plan has at most so many.
    sizes
        Of the kinds: large ones are decided on first. All alike where there are none.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        rows: NDArray[Any],
        wanted: Sequence[int],
        most_sheets: int,
        *,
        sizes: Sequence[float] | None = None,
        plain: bool = False,
    ) -> None:
        import numpy as np

        self._rows = rows
        self._has = np.ascontiguousarray(rows.T > 0)
        self._wanted = line_of(wanted)
        self._most = most_sheets
        self._given = np.array([1.0] * len(wanted) if sizes is None else sizes)
        self._sizes = self._given
        self._program = Program(rows, wanted, alone=most_sheets + 1.0, plain=plain)
        self._stack = [(np.arange(len(rows)), self._program.first)]
        self._root = self._stack[0]
        self.cover = Cover(Verdict.OPEN, (), 0.0)
        self.is_stuck = False
        """Whether there is nothing left to branch on, and still no answer."""
        self.is_short = False
        """Whether even parts of sets do not give all that is wanted."""

    def restart(self, rng: Ints) -> None:
        """Begin anew, with large kinds in another order: sizes count by chance."""
        import numpy as np

        factors = [_LEAST_FACTOR + draw(rng) / MODULUS for _ in self._wanted]
        self._sizes = self._given * np.array(factors)
        self._program.shake(rng)
        self._stack = [self._root]

    def run(self, most_nodes: int) -> Iterator[int]:
        """Search on, to the end or for so many nodes.

        Yields
        ------
        int
            The effort of a slice, in iterations of the sheet search, about.
        """
        import numpy as np

        for _ in range(most_nodes):
            if not self._stack:
                self.cover = Cover(Verdict.NONE, (), 0.0)
                return
            is_root = len(self._stack) == 1 and self._stack[0] is self._root
            left, basis = self._stack.pop()
            try:
                yield from self._program.solve(left, basis)
            except ArithmeticError:
                self.is_stuck = True
                return
            left = self._kept(left)
            if not len(left):
                self.is_short |= is_root
                continue
            known, uses = self._program.uses()
            if np.all(np.abs(uses - np.round(uses)) < _WHOLE):
                if self._is_found(known, np.round(uses).astype(np.int64)):
                    return
                pair = None
            else:
                pair = self._pair(known, uses)
            if pair is None:
                self.is_stuck = True
                return
            one, two = (self._has[kind, left] for kind in pair)
            basis = self._program.basis
            if is_root:
                self._root = left, basis
            for allowed in (~(one & two), one == two):
                self._stack.append((left[allowed], basis))

    def _kept(self, left: Line) -> Line:
        """Return the sets that a plan may still have; none where there is no plan."""
        import numpy as np

        if not len(left):
            return left
        values = (self._program.worths() * _SCALE).astype(np.int64)
        worths = self._program.weigh(left, values)
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
        unclear *= self._sizes[:, None] + self._sizes[None, :]
        np.fill_diagonal(unclear, 0.0)
        place = int(unclear.argmax())
        one, two = divmod(place, len(self._wanted))
        share = together[one, two] % 1
        return (one, two) if min(share, 1 - share) > _WHOLE else None
