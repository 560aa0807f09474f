"""The door of the sheet search: a problem in, the cheapest sheets found out.

The search comes in legs. After the first tenth a share of the budget goes to the linear
bound over all patterns. The legs up to there keep the stage limit. If parts are left
over then, or the cost is above the bound, the next lifts the limit; its plan is taken
only if it places more or costs less. If parts are left over still, the last looks for
cheaper sheets that hold what has been placed. The first steps are done in plain Python:
many a small job never needs the compiler.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.compile import is_complete, may_compile
from nesting.solve.sheets.bounds import SheetBound, full_bound, quick_bound
from nesting.solve.sheets.confined import confined_bound
from nesting.solve.sheets.engine import KERNELS, Engine
from nesting.solve.sheets.forest import OUT, OUT_AREA, Forest
from nesting.solve.sheets.instance import Instance, instance_of
from nesting.solve.sheets.linear import linear_bound
from nesting.solve.sheets.meter import Meter
from nesting.solve.sheets.plant import trees_of, unplaced_of
from nesting.solve.sheets.problem import SheetAnswer, SheetProblem

_STARTS = 20
_PLAIN_STARTS = 40_000  # parts squared, times starts: so much is done in plain Python
_PLAIN_WORK = 100_000  # parts times iterations, likewise
_CHUNK = 100_000  # parts times iterations, between two looks at the clock
_PLAIN_CHUNK = 4_000
_COMPILING = 25.0  # seconds: with less time left, a cold cache is not filled
_BEFORE_BOUND = 0.1
_BOUND_SHARE = 0.2
_BOUND_SECONDS = 0.3  # of the time that is left
_FIRST_LEG = 0.6
_SECOND_LEG = 0.8


def solve_sheets(
    problem: SheetProblem, *, seed: int, budget: Budget, scope: str = ""
) -> SheetAnswer:
    """Lay parts out on sheets at the least cost that can be found.

    Parameters
    ----------
    problem
        Lengths in ticks, costs in any one integer measure.
    seed
        Two searches from one seed that end by their work are the same.
    budget
        Its work is counted in iterations. Where the compiled kernels are not in the
        cache and less than half a minute is left, the search goes on in plain Python:
        call `nesting.solve.warm.warm` before the clock starts.
    scope
        What the progress is said to be about.

    Returns
    -------
    SheetAnswer
        Parts that fit no stock are unplaced, and so is what limited stock does not
        hold: as little area as was found. The bound is on placing every part.
    """
    lifted = instance_of(replace(problem, stages=None))
    hopeless = {
        part.id: part.quantity
        for kind, part in enumerate(problem.parts)
        if not lifted.fits(kind)
    }
    search = _Search(_without(problem, hopeless), seed, Meter(budget, scope))
    try:
        stopped_by = search.run()
    except KeyboardInterrupt:
        stopped_by = StoppedBy.CANCELLED
    bound = search.bound
    if hopeless:
        bound = max(bound, quick_bound(problem), key=lambda each: each.value)
    sheets = trees_of(search.best.forest, search.best.instance)
    return SheetAnswer(
        sheets=sheets,
        unplaced=unplaced_of(problem, sheets),
        cost=search.best.cost,
        lower_bound=bound.value,
        basis=bound.basis,
        stopped_by=stopped_by,
        work=search.meter.work,
        duals=search.duals,
    )


def _without(problem: SheetProblem, missing: Mapping[str, int]) -> SheetProblem:
    """Return the problem with fewer parts; one that is not wanted keeps its place."""
    return replace(
        problem,
        parts=tuple(
            replace(part, quantity=part.quantity - missing.get(part.id, 0))
            for part in problem.parts
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A forest, and how good it is."""

    forest: Forest
    instance: Instance
    area_out: int
    cost: int

    @property
    def rank(self) -> tuple[int, int]:
        return self.area_out, self.cost


class _Search:
    """One call of `solve_sheets`, without the parts that fit nowhere."""

    def __init__(self, problem: SheetProblem, seed: int, meter: Meter) -> None:
        self.problem = problem
        self.seed = seed
        self.meter = meter
        self.bound = quick_bound(problem)
        self.duals: tuple[int, ...] = ()
        self.first = Engine(instance_of(problem), seed=seed, bound=self.bound.value)
        self.best = _found(self.first, 0)

    def run(self) -> StoppedBy:
        """Search to the end of the budget or to the proof."""
        engine = self.first
        self._begin(engine)
        if not engine.proven:
            self._raise(engine, full_bound(self.problem))
            self._raise(engine, confined_bound(self.problem))
        self._leg(engine, _BEFORE_BOUND)
        if not engine.proven and not engine.unplaced:
            self._bound_by_patterns(engine)
        if self.problem.stages is None:
            stopped = self._leg(engine, _SECOND_LEG)
        else:
            stopped = self._leg(engine, _FIRST_LEG)
            if not engine.proven:
                engine = self._lift()
                stopped = self._leg(engine, _SECOND_LEG if engine.unplaced else 1.0)
        if self.best.area_out:
            self._cheapen()
        if not engine.proven:
            stopped = self._leg(engine, 1.0)
        return StoppedBy.PROOF if engine.proven else stopped

    def _raise(self, engine: Engine, bound: SheetBound) -> None:
        if bound.value > self.bound.value:
            self.bound = bound
            engine.raise_bound(bound.value)

    def _bound_by_patterns(self, engine: Engine) -> None:
        """Spend a share of the budget on the linear program over all patterns."""
        budget, left = self.meter.budget, self.meter.seconds_left()
        bound = linear_bound(
            self.problem,
            most_work=int(_BOUND_SHARE * budget.work),
            deadline=(
                None if left is None else time.monotonic() + _BOUND_SECONDS * left
            ),
            cancelled=budget.cancelled,
            known=self.bound.value,
            goal=self.best.cost,
        )
        self.meter.work += bound.work
        self.duals = bound.duals
        self._raise(engine, SheetBound(value=bound.value, basis=bound.basis))

    def _begin(self, engine: Engine) -> None:
        """Make the first plans, most of them without the compiler."""
        count = max(1, engine.instance.count)
        for number in range(_STARTS):
            if number and engine.proven:
                break
            if number and number * count * count >= _PLAIN_STARTS:
                self._compile(engine)
            engine.start()
            self._note(engine, 0)
            if self.meter.stopped():
                break

    def _compile(self, engine: Engine) -> None:
        """Go on compiled where it pays to wait for the compiler."""
        if engine.is_compiled or not may_compile():
            return
        left = self.meter.seconds_left()
        if left is None or left > _COMPILING or is_complete(KERNELS):
            engine.compile()

    def _leg(self, engine: Engine, share: float, missing: int = 0) -> StoppedBy:
        """Search on until a share of the budget is used up, or the proof is there."""
        count = max(1, engine.instance.count)
        while not engine.proven:
            stopped = self.meter.stopped(share)
            if stopped is not None:
                return stopped
            if engine.done * count >= _PLAIN_WORK:
                self._compile(engine)
            chunk = (_CHUNK if engine.is_compiled else _PLAIN_CHUNK) // count
            before = engine.done
            try:
                engine.search(self.meter.chunk(chunk, share))
            finally:
                self.meter.work += engine.done - before
            self._note(engine, missing)
            self.meter.report(
                value=self.best.cost,
                lower_bound=self.bound.value,
                unplaced=engine.unplaced,
            )
        return StoppedBy.PROOF

    def _note(self, engine: Engine, missing: int) -> None:
        found = _found(engine, missing)
        if found.rank < self.best.rank:
            self.best = found

    def _lift(self) -> Engine:
        """Return a search from the best plan without the stage limit."""
        return Engine(
            instance_of(replace(self.problem, stages=None)),
            seed=self.seed + 1,
            bound=self.bound.value,
            start=self.best.forest,
        )

    def _cheapen(self) -> None:
        """Look for cheaper sheets that hold the parts that have been placed."""
        found = self.best
        out = Counter(found.forest[3])
        parts = found.instance.problem.parts
        missing = {parts[kind].id: count for kind, count in out.items()}
        rest = _without(found.instance.problem, missing)
        bound = full_bound(rest)
        if found.cost <= bound.value:
            return
        nodes, rests, roots, _, tally = found.forest
        placed = [*tally]
        placed[OUT] = placed[OUT_AREA] = 0
        engine = Engine(
            instance_of(rest),
            seed=self.seed + 2,
            bound=bound.value,
            start=(nodes, rests, roots, [], placed),
        )
        self._leg(engine, 1.0, found.area_out)


def _found(engine: Engine, missing: int) -> _Found:
    return _Found(
        forest=engine.best,
        instance=engine.instance,
        area_out=engine.area_out + missing,
        cost=engine.cost,
    )
