"""A linear program over very many sets of parts, solved again and again.

Least number of sheets, in fractions, that cover the parts by some of the sets: which of
them may be used changes from one time to the next, and the basis it ended with is where
the next time begins. A set in it that may not be used any more costs more than its
parts alone, so it goes soon. What is wanted is more by tiny amounts, not all alike, so
that hardly ever two columns are used up at once (Charnes, Econometrica 20 (1952)
160-170). Floats, advice only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from nesting.solve.compile import compiled, may_compile
from nesting.solve.kernel import MODULUS, Ints, draw, seeded
from nesting.solve.sheets import simplex
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.sets_states import SET_KERNELS
from nesting.solve.sheets.simplex import (
    ANEW,
    AT,
    CHANGES,
    FAILED,
    GOING,
    LOOKED,
    SINCE,
    STATE_SIZE,
    WAITING,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from nesting.solve.sheets.points import Line

_WAITING = 50  # sets, at most
_MORE = 1e-4  # is wanted of a kind, at most
_SLICE = 500  # changes of the basis between two looks around
_MOST = 100  # slices
_SUMS_PER_UNIT = 10_000  # of a change of the basis, k^2 + 40 k with k kinds
_LOOKED_PER_UNIT = 350  # sets
_UNITS = 100  # beside all that


class Program:
    """The program over the sets of a table.

    Parameters
    ----------
    rows
        The counts of every set: a row for each, with at least one part.
    wanted
        How many of each kind; 0 where it need not be covered.
    alone
        What a part costs on a sheet of its own; sets cost 1.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """

    def __init__(
        self,
        rows: NDArray[Any],
        wanted: Sequence[int],
        *,
        alone: float,
        plain: bool = False,
    ) -> None:
        import numpy as np

        kinds, self._count = len(wanted), len(rows)
        of, kind = np.nonzero(rows)
        repeated = np.repeat(kind, rows[of, kind])
        ends = np.cumsum(rows.sum(axis=1, dtype=np.int64))
        self._sets = np.append(0, ends), repeated.astype(np.int64)
        self._alone = alone
        self._banned = 1 + alone * rows.sum(axis=1)
        self._needed = np.array(wanted, dtype=np.float64)
        self._wanted = self._needed
        self._costs = np.zeros(self._count + 2 * kinds)
        self._costs[self._count : self._count + kinds] = alone
        first = [i if each else kinds + i for i, each in enumerate(wanted)]
        self.first: Line = self._count + line_of(first)
        """A basis to begin from: every part alone."""
        self._inside = np.zeros(self._count + 2 * kinds, dtype=np.int64)
        self._floats = tuple(np.zeros(kinds) for _ in range(3))
        self._inverse = np.zeros(kinds * kinds)
        self._work = np.zeros(kinds * kinds)
        self._waiting = np.zeros(_WAITING, dtype=np.int64)
        self._state = np.zeros(STATE_SIZE, dtype=np.int64)
        made: Any = vars(simplex)
        if may_compile() and not plain:
            made = compiled(SET_KERNELS)
        self._kernels = made
        self.basis: Line = self.first
        """That it ended with."""
        self.shake([seeded(kinds, 19)])

    def shake(self, rng: Ints) -> None:
        """Draw anew how much more is wanted.

        A basis from before lacks tiny amounts then, and is hardly ever given up for
        that: for other worths, begin from the first one.
        """
        import numpy as np

        more = [1 + _MORE * draw(rng) / MODULUS for _ in self._needed]
        self._wanted = self._needed * np.array(more)

    def solve(self, left: Line, basis: Line) -> Iterator[int]:
        """Find the best that some of the sets can do.

        Parameters
        ----------
        left
            Their numbers.
        basis
            To begin from; it may have others in it.

        Yields
        ------
        int
            The effort of a slice, in iterations of the sheet search, about.

        Raises
        ------
        ArithmeticError
            Where floats are not good enough.
        """
        amounts, worths, entry = self._floats
        self.basis = basis.copy()
        self._inside[:] = 0
        self._inside[self.basis] = 1
        self._costs[: self._count] = self._banned
        self._costs[left] = 1.0
        state = self._state
        state[SINCE], state[WAITING], state[AT] = ANEW, 0, 0
        yield _UNITS
        for _ in range(_MOST):
            state[CHANGES], state[LOOKED] = _SLICE, 0
            verdict = self._kernels["improve"](
                self._sets,
                left,
                (self._costs, self._wanted),
                (self.basis, self._inside, amounts, worths),
                (self._inverse, self._work, entry, self._waiting),
                state,
            )
            changes, kinds = _SLICE - int(state[CHANGES]), len(entry)
            sums = changes * kinds * (kinds + 40)
            yield sums // _SUMS_PER_UNIT + int(state[LOOKED]) // _LOOKED_PER_UNIT
            if verdict != GOING:
                break
        if verdict in (GOING, FAILED):
            raise ArithmeticError("the simplex method found no optimum")

    def worths(self) -> NDArray[np.float64]:
        """Return what parts of the kinds are worth at the optimum, in sheets."""
        import numpy as np

        return np.clip(self._floats[1], 0.0, self._alone)

    def weigh(self, left: Line, worths: Line) -> Line:
        """Return what some of the sets are worth, in whole numbers."""
        import numpy as np

        sums = np.zeros(len(left), dtype=np.int64)
        self._kernels["weigh"](self._sets, left, worths, sums)
        return sums

    def uses(self) -> tuple[Line, NDArray[np.float64]]:
        """Return the sets in the optimum, by number, and how often each is taken."""
        import numpy as np

        kinds = len(self._needed)
        is_set = self.basis < self._count
        amounts = self._needed @ self._inverse.reshape(kinds, kinds)
        return self.basis[is_set], np.maximum(0.0, amounts[is_set])
