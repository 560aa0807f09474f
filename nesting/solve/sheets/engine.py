"""A search under way: its memory, and the kernels that work on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from nesting.model.stock import Edges
from nesting.solve.compile import compiled, mark_complete
from nesting.solve.kernel import seeded
from nesting.solve.sheets import forest as forests
from nesting.solve.sheets import polish as polishes
from nesting.solve.sheets import search as searches
from nesting.solve.sheets.forest import COST, HIGH, OUT, OUT_AREA, RESTS, ROOTS, Forest
from nesting.solve.sheets.instance import (
    Instance,
    empty_forest,
    instance_of,
    scratch_for,
)
from nesting.solve.sheets.jot import NO_NOTES, Notebook
from nesting.solve.sheets.problem import (
    SheetGoal,
    SheetPart,
    SheetProblem,
    SheetStock,
)

KERNELS: Final = (
    "nesting.solve.kernel",
    "nesting.solve.sheets.forest",
    "nesting.solve.sheets.cuts",
    "nesting.solve.sheets.blocks",
    "nesting.solve.sheets.jot",
    "nesting.solve.sheets.moves",
    "nesting.solve.sheets.search",
    "nesting.solve.sheets.polish",
)
"""Modules of kernels, callees before callers."""

_PLAIN: Final[Mapping[str, Any]] = {
    "copy": forests.copy,
    "start": searches.start,
    "begin": searches.begin,
    "search": searches.search,
    "settle": polishes.settle,
    "polish": polishes.polish,
}
_FINEST = 1_024
_LARGEST = 2**61


class Engine:
    """One search from one seed: lists at first, arrays once it is compiled.

    Both do the same to the last bit, so it does not matter when the change is made.
    """

    def __init__(
        self,
        instance: Instance,
        *,
        seed: int,
        bound: int,
        stream: int = 0,
        start: Forest | None = None,
    ) -> None:
        self.instance = instance
        count = len(instance.problem.stock)
        self._kernels = _PLAIN
        self._empty = _all_out(instance)
        self._best = _all_out(instance) if start is None else _roomy(start, instance)
        self._work = empty_forest(instance.count, count)
        self._present = empty_forest(instance.count, count)
        self._elite = empty_forest(instance.count, count)
        self._given: tuple[Any, ...] = (
            tuple(list(each) for each in instance.kinds),
            instance.stocks,
            instance.rules,
            scratch_for(instance),
        )
        self._state = [0] * polishes.POLISH_STATE_SIZE
        self._state[searches.BOUND] = bound
        self._state[searches.SCALE] = max(
            1, min(_FINEST, _LARGEST // max(1, instance.area))
        )
        self._state[searches.LENGTH] = searches.SHORT
        self._state[searches.MOST] = (
            searches.LIMITLESS if self._best[4][OUT] else self._best[4][COST] - 1
        )
        self._history = [0] * searches.LONG
        self._rng = [seeded(seed, stream)]
        self._stream = stream
        self._no_notes: Any = NO_NOTES
        self._goal: Any = None
        self._begun = False
        self._kept = 0
        self.best = _trimmed(self._best)
        """The best forest, as lists; no interruption can tear it."""

    @property
    def done(self) -> int:
        """Iterations so far."""
        return int(self._state[searches.DONE])

    @property
    def unplaced(self) -> int:
        """How many parts of the best forest are out."""
        return self.best[4][OUT]

    @property
    def area_out(self) -> int:
        """The area of the parts that are out of the best forest, in square ticks."""
        return self.best[4][OUT_AREA]

    @property
    def cost(self) -> int:
        """The cost of the best forest."""
        return self.best[4][COST]

    @property
    def rank(self) -> tuple[int, int]:
        """How good the best forest is: area out, then cost; less is better."""
        return self.area_out, self.cost

    @property
    def proven(self) -> bool:
        """Whether the best forest holds every part at the cost of the bound."""
        return not self.unplaced and self.cost <= self._state[searches.BOUND]

    @property
    def is_compiled(self) -> bool:
        """Whether the compiled kernels are in use."""
        return self._kernels is not _PLAIN

    def raise_bound(self, bound: int) -> None:
        """Take note of a better bound."""
        self._state[searches.BOUND] = max(int(self._state[searches.BOUND]), bound)

    def compile(self) -> None:
        """Go on with the compiled kernels, unless a number might pass 63 bits."""
        largest = max(self.instance.stocks[0], default=0)
        if 4_096 * largest**2 > _LARGEST or 4 * self.instance.area > _LARGEST:
            return
        kernels = compiled(KERNELS)
        for name in ("_empty", "_best", "_work", "_present", "_elite"):
            setattr(self, name, _narrow(getattr(self, name)))
        for name in (
            "_given",
            "_state",
            "_history",
            "_rng",
            "_no_notes",
            "_goal",
        ):
            setattr(self, name, _arrays(getattr(self, name)))
        self._kernels = kernels

    def start(self) -> None:
        """Place every part greedily, from nothing."""
        self._kernels["copy"](self._empty, self._work)
        self._kernels["start"](
            self._work, self._best, *self._given, self._state, self._rng
        )
        self._keep()

    def search(self, iterations: int, *, notes: Notebook | None = None) -> None:
        """Search on for so many iterations, or until the bound is met.

        Sheets on the way may be noted.
        """
        forests = (self._present, self._work, self._best, self._elite)
        own = (*forests, *self._given)
        memory = (self._state, self._history, self._rng)
        if not self._begun:
            self._kernels["begin"](*own, *memory)
            if self._stream == 1:  # the second search looks elsewhere from the start
                self._state[searches.IDLE] = searches.AT_ONCE
            self._begun = True
        notebook = self._no_notes if notes is None else notes
        self._kernels["search"](*own, *memory, notebook, iterations)
        self._keep()

    def adopt(self, forest: Forest) -> None:
        """Go on from a better forest that another search has found."""
        for target, source in zip(self._best, forest, strict=True):
            target[: len(source)] = source
        if not forest[4][OUT]:
            self._state[searches.MOST] = forest[4][COST] - 1
        self._state[searches.LENGTH] = searches.SHORT
        self._begun = False
        self.best = _trimmed(forest)

    def aim_at(self, goal: Sequence[int], *, enough: int = 0) -> None:
        """Look for what is left and how one cuts from now on: see `polish`.

        Up to a cost of `enough` nothing is said for cheaper sheets.
        """
        self._goal = list(goal)
        self._state[polishes.ENOUGH] = enough
        if self.is_compiled:
            self._goal = _arrays(self._goal)
        self._begun = False

    def polish(self, iterations: int) -> None:
        """Search on so for so many iterations."""
        forests = (self._present, self._work, self._best)
        rules, scratch = self._given[2:]
        if not self._begun:
            self._kernels["settle"](
                *forests, rules, scratch, self._state, self._history, self._goal
            )
            self._begun = True
        self._kernels["polish"](
            *forests,
            *self._given,
            self._state,
            self._history,
            self._rng,
            self._goal,
            iterations,
        )
        self._keep()

    @property
    def idle(self) -> int:
        """Iterations since anything better was found."""
        return int(self._state[searches.IDLE])

    @property
    def polished(self) -> int:
        """What `polish` minimises, of the best forest; comparable for one goal only."""
        return int(self._state[polishes.LEAST])

    def _keep(self) -> None:
        found = int(self._state[searches.FOUND])
        if found != self._kept:
            self.best = _trimmed(self._best)
            self._kept = found


def begun(
    problem: SheetProblem, *, seed: int, bound: int, starts: int, compiled: bool
) -> Engine:
    """Return a search that has placed everything greedily some times."""
    engine = Engine(instance_of(problem), seed=seed, bound=bound)
    if compiled:
        engine.compile()
    for _ in range(starts):
        if not engine.proven:
            engine.start()
    return engine


def prepare() -> None:
    """Compile every kernel for good, by a search that takes no time."""
    problem = SheetProblem(
        parts=(
            SheetPart(id="a", length=4, width=3, quantity=3, grain_bound=False),
            SheetPart(id="b", length=5, width=4, quantity=2, grain_bound=True),
        ),
        stock=(
            SheetStock(
                id="s",
                length=9,
                width=7,
                cost=1,
                limit=None,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=0,
        kerf_y=0,
        least_kerf_x=0,
        least_kerf_y=0,
    )
    engine = Engine(instance_of(problem), seed=0, bound=0)
    engine.compile()
    engine.start()
    engine.search(10)
    engine.aim_at(SheetGoal(keeps=((1, 1),), setting=1, cut=1).numbers)
    engine.polish(10)
    mark_complete(KERNELS)


def _all_out(instance: Instance) -> Forest:
    forest = empty_forest(instance.count, len(instance.problem.stock))
    kinds = [
        kind
        for kind, part in enumerate(instance.problem.parts)
        for _ in range(part.quantity)
    ]
    forest[3][: len(kinds)] = kinds
    forest[4][OUT] = len(kinds)
    forest[4][OUT_AREA] = instance.area
    return forest


def _trimmed(forest: Forest) -> Forest:
    """Copy the used part of a forest into lists."""
    nodes, rests, roots, out, tally = forest
    ends = (tally[HIGH], tally[RESTS], tally[ROOTS], tally[OUT], len(tally))
    used = (
        [int(number) for number in each[:end]]
        for each, end in zip((nodes, rests, roots, out, tally), ends, strict=True)
    )
    return next(used), next(used), next(used), next(used), next(used)


def _roomy(forest: Forest, instance: Instance) -> Forest:
    """Copy a forest to where it has room to grow."""
    roomy = empty_forest(instance.count, len(instance.problem.stock))
    for target, source in zip(roomy, forest, strict=True):
        target[: len(source)] = source
    return roomy


def _narrow(forest: Forest) -> Any:
    """Turn a forest into arrays, of 32 bits but for the tally, which holds areas.

    No length that `Engine.compile` lets pass needs more; half the memory is copied in
    three quarters of the time.
    """
    import numpy as np

    *lists, tally = forest
    return (*(np.array(each, dtype=np.int32) for each in lists), _arrays(tally))


def _arrays(lists: Any) -> Any:
    """Turn lists, in tuples or not, into arrays of int64."""
    import numpy as np

    if lists is None:
        return None
    if isinstance(lists, tuple):
        return tuple(_arrays(each) for each in lists)
    return np.array(lists if lists else [0], dtype=np.int64)
