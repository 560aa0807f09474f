"""Whole plans out of the linear program over patterns, and the bound along with them.

Problem: where few kinds of parts come often, the patterns of the linear program are
nearly the plan; whole numbers of sheets are wanted.

Method: a dive, as for sticks (Waescher & Gau, OR Spektrum 18 (1996) 131-144, for
residual heuristics): cut the whole parts of the optimum, look for patterns again for
what is left, cut one more, and so on. At several depths what is left is given to the
search of `engine`, which does better on a few sheets than any rounding. Later dives cut
a little less of what is whole, and choose by chance among the best fractions.

The optimum over these patterns is also a good start for the bound of `linear`: its
duals are priced there at once.

Guarantee: the bound is rigorous, as in `linear`. The plans keep the limits of parts and
stock, the stage limit and the reach of the saws; how good they are is not guaranteed.
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from nesting.model.tree import Tree
from nesting.solve.compile import is_complete, may_compile
from nesting.solve.kernel import draw, seeded
from nesting.solve.sheets.columns import Pattern, Pool, Program, Relaxation
from nesting.solve.sheets.engine import KERNELS
from nesting.solve.sheets.finish import finish
from nesting.solve.sheets.grid import Relaxed
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.linear import BASIS, CELLS, LinearRun
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.problem import SheetProblem

COLUMN_CELLS: Final = 150_000
"""Of the tables that columns come from, at most."""
_FINE_CELLS = 600_000
_FINEST_CELLS = 2_500_000
_FINEST_ROUNDS = 8
_NEARLY = 1e-6
_GAIN = 1e-4  # of the value: so near its bound an optimum is good enough
_ROUGH_GAIN = 0.01  # and so near for a first plan
_ROOT_ROUNDS = 400
_ROUNDS = 12
_DIVES = 100
_DEPTHS = (24.0, 12.0, 8.0, 6.0, 5.0, 4.0)  # sheets left: there the search is asked
_LATER = 2  # depths fewer after the first dive
_TRIED = 5  # patterns, when one is to be chosen
_SMALL = 0.1  # of a sheet: patterns less in use are not tried
_FIRST = 500_000  # parts times iterations of the search, more from dive to dive
_MOST = 5_000_000
_SLICE = 500_000  # parts times iterations
_PLAIN_SLICE = 4_000
_DOUBT = 0.005  # of the value: the linear program knows not every pattern
_COPIES = 3  # times copies of a kind, for as many parts on a sheet


@dataclass(frozen=True, slots=True)
class DivedPlan:
    """A plan that holds every part."""

    sheets: tuple[tuple[str, Tree], ...]
    """(stock id, tree over its usable area), in real sizes."""
    cost: int


@dataclass(slots=True)
class _State:
    """What is cut, and what is left to do."""

    left: list[int]
    limits: list[int]
    cut: list[Pattern] = field(default_factory=list)
    cost: int = 0

    def fix(self, pattern: Pattern, times: int, cost: int) -> int:
        """Cut so many sheets, or as many as parts and limits allow; return how many."""
        most = (self.left[i] // n for i, n in pattern.counts)
        times = min(times, self.limits[pattern.kind], *most)
        if times > 0:
            self.cut += [pattern] * times
            self.cost += times * cost
            self.limits[pattern.kind] -= times
            for i, n in pattern.counts:
                self.left[i] -= times * n
        return times


class ColumnPlans:
    """Plans and a bound by columns, found piece by piece beside another search.

    Parameters
    ----------
    problem
        Whose parts can all be cut from some sheet.
    seed
        The same seed and the same answers to `advance` give the same plans.
    """

    needs_plan = False

    def __init__(self, problem: SheetProblem, *, seed: int) -> None:
        self.problem = problem
        self.best: DivedPlan | None = None
        """The cheapest plan found that is cheaper than every goal named so far."""
        self.value = 0
        """A bound on the cost of placing every part; rigorous at any moment."""
        self.duals: tuple[int, ...] = ()
        """Whole numbers by part that the bound stands on, for a certificate."""
        self.basis = BASIS
        self.is_done = False
        self._instance = instance_of(problem)
        self._seed = seed
        self._rng = [seeded(seed, 7)]
        self._costs = [each.cost for each in problem.stock]
        self._step = math.gcd(*self._costs) or 1
        self._goal: int | None = None
        self._known = 0
        self._root: tuple[Pool, Relaxation] | None = None
        self._plans: Iterator[int] | None = self._dives() if self.worthwhile else None
        self._bound: Iterator[int] | None = self._bounding()
        self._spent = [0, 0]

    @property
    def worthwhile(self) -> bool:
        """Whether kinds come often enough for their patterns to be the plan.

        Without that, only the bound is worked at; so it is where parts lie in runs,
        which patterns know nothing of.
        """
        if self.problem.has_runs:
            return False
        parts = [part for part in self.problem.parts if part.quantity]
        count = sum(part.quantity for part in parts)
        area = sum(part.quantity * part.length * part.width for part in parts)
        sheet = max(
            (s.length * s.width for s in self.problem.stock if s.limit != 0), default=0
        )
        if not area or not sheet:
            return False
        on_a_sheet = count * min(1.0, sheet / area)
        return _COPIES * count >= on_a_sheet * len(parts)

    def advance(self, *, known: int = 0, goal: int | None = None) -> int:
        """Do a piece of work; return its effort, in iterations of the search, about.

        Parameters
        ----------
        known
            A bound that is known otherwise.
        goal
            What a plan that holds every part costs; None where there is none yet.
        """
        self._known = max(known, self._known)
        if goal is not None and (self._goal is None or goal < self._goal):
            self._goal = goal
        effort = 0
        while not effort and not self.is_done:
            effort = self._next()
            is_idle = self._plans is None and self._bound is None
            is_best = self._goal is not None and self._floor >= self._goal
            self.is_done = is_idle or is_best
        return effort

    @property
    def _floor(self) -> int:
        return max(self._known, self.value)

    def _next(self) -> int:
        """Go on with whatever has had less work, the plans' optimum first."""
        turn = 0 if self._plans is not None else 1
        if self._plans is not None and self._bound is not None and self._root:
            turn = int(self._spent[1] < self._spent[0])
        steps = (self._plans, self._bound)[turn]
        effort = None if steps is None else next(steps, None)
        if effort is not None:
            self._spent[turn] += effort
            return effort
        if turn == 0:
            self._plans = None
        else:
            self._bound = None
        return 0

    # --- the bound -------------------------------------------------------------------

    def _bounding(self) -> Iterator[int]:
        """Raise the bound; on a finer grid if the plans' optimum stays above it."""
        problem = self.problem.apart()
        problem = replace(
            problem, stock=tuple(s for s in problem.stock if s.limit != 0)
        )
        for cells, rounds in ((CELLS, _ROOT_ROUNDS), (_FINEST_CELLS, _FINEST_ROUNDS)):
            grid = Relaxed(problem, most_cells=cells)
            if not grid.parts:
                return
            run = LinearRun(problem, grid, self._floor)
            yield from self._raising(run, rounds)
            if self._root is None or grid.is_exact:
                return
            if self._rounded_up(self._root[1].value) <= self._floor:
                return

    def _raising(self, run: LinearRun, rounds: int) -> Iterator[int]:
        if self._root is not None:
            pool, optimum = self._root
            parts = zip(self.problem.parts, optimum.duals, strict=True)
            stock = self.problem.stock
            run.begin_at(
                {part.id: dual for part, dual in parts},
                ((stock[each.kind].id, each.cut) for each in pool.patterns),
            )
        done, before = False, 0
        while not done and rounds:
            run.known = max(run.known, self._known)
            steps = run.steps()
            while True:
                try:
                    next(steps)
                except StopIteration as end:
                    done = bool(end.value) or run.is_hopeless
                    break
                yield run.work - before
                before = run.work
            self._take(run, run.value)
            rounds -= 1
            if self._goal is not None and run.value >= self._goal:
                break
        self._take(run, run.whole_value())
        yield max(1, run.work - before)

    def _take(self, run: LinearRun, value: int) -> None:
        if value > self.value or not self.duals:
            self.value = max(self.value, value)
            self.duals = run.duals()

    def _rounded_up(self, value: float) -> int:
        return math.ceil(value / self._step - _NEARLY) * self._step

    # --- the plans -------------------------------------------------------------------

    def _dives(self) -> Iterator[int]:
        pool = Pool(self._instance, most_cells=COLUMN_CELLS)
        parts = [part.quantity for part in self.problem.parts]
        limits = [*self._instance.stocks[2]]
        whole = _State(parts, limits)
        rough = yield from self._optimum(pool, whole, _ROOT_ROUNDS, _ROUGH_GAIN)
        if rough.missed <= _NEARLY * rough.value:
            state = _State([*parts], [*limits])
            self._fix_whole(pool, state, rough, 0)
            yield from self._finish(pool, state, 0)
        optimum = yield from self._optimum(pool, whole, _ROOT_ROUNDS)
        self._root = (pool, optimum)
        if optimum.missed > _NEARLY * optimum.value:
            return
        for number in range(_DIVES):
            if not self._may_pay(optimum.value):
                return
            if pool.is_thin and not self._may_pay(optimum.value, doubt=0):
                pool.refine(_FINE_CELLS)
                optimum = yield from self._optimum(pool, whole, _ROOT_ROUNDS)
            state = _State([*parts], [*limits])
            yield from self._dive(pool, state, optimum, number)
            program = self._program(pool, whole)
            optimum = program.solve()  # with what the dives have found
            yield program.effort

    def _may_pay(self, value: float, doubt: float = _DOUBT) -> bool:
        """Tell whether an optimum leaves hope for a cheaper plan."""
        missing = doubt * value
        if len(self._costs) == 1 and doubt:
            missing = max(missing, self._step / 2)
        return self._goal is None or value <= self._goal - self._step + missing

    def _program(self, pool: Pool, state: _State) -> Program:
        most = [
            None if each.limit is None else state.limits[kind]
            for kind, each in enumerate(self.problem.stock)
        ]
        return Program(pool, state.left, most)

    def _optimum(
        self, pool: Pool, state: _State, rounds: int, gain: float = _GAIN
    ) -> Generator[int, None, Relaxation]:
        """Generate columns for what is left, until few are missing."""
        program = self._program(pool, state)
        optimum = program.solve()
        best: tuple[float, ...] = ()
        bound = 0.0
        for _ in range(rounds):
            added = 0
            tries = [optimum.duals]
            if best:
                pairs = zip(best, optimum.duals, strict=True)
                tries.insert(0, tuple((a + b) / 2 for a, b in pairs))
            for duals in tries:
                added, rate, effort = pool.look(
                    duals, optimum.rents, state.left, state.limits
                )
                yield effort
                worth = sum(w * n for w, n in zip(duals, state.left, strict=True))
                rents = zip(optimum.rents, state.limits, strict=True)
                least = worth / max(1.0, rate) - sum(rent * n for rent, n in rents)
                if least > bound:
                    bound = least
                    best = duals
                if added:
                    break
            if not added:
                break
            optimum = program.solve()
            yield program.effort
            if not optimum.missed and optimum.value <= bound * (1 + gain):
                break
        return optimum

    def _dive(
        self, pool: Pool, state: _State, optimum: Relaxation, number: int
    ) -> Iterator[int]:
        """Go down from an optimum, and let the search finish at several depths."""
        depths = _DEPTHS[_LATER:] if number else _DEPTHS
        while True:
            self._fix_whole(pool, state, optimum, number)
            if not any(state.left):
                yield from self._finish(pool, state, number)
                return
            optimum = yield from self._optimum(pool, state, _ROUNDS)
            if optimum.missed > _NEARLY * optimum.value:
                return
            sheets = sum(use for _, use in optimum.uses)
            if depths and sheets <= depths[0]:
                depths = tuple(depth for depth in depths if depth < sheets)
                yield from self._finish(pool, state, number)
            if not self._may_pay(state.cost + optimum.value):
                return
            if not (yield from self._fix_one(pool, state, optimum, number)):
                return

    def _fix_whole(
        self, pool: Pool, state: _State, optimum: Relaxation, number: int
    ) -> None:
        """Cut what the optimum cuts whole sheets of; later dives at times one less."""
        fresh = not state.cut
        for at, use in optimum.uses:
            times = int(use + _NEARLY)
            if number and fresh and times and draw(self._rng) % 3 == 0:
                times -= 1
            if times:
                pattern = pool.patterns[at]
                state.fix(pattern, times, self._costs[pattern.kind])

    def _fix_one(
        self, pool: Pool, state: _State, optimum: Relaxation, number: int
    ) -> Generator[int, None, bool]:
        """Cut one sheet by the pattern that costs least later on; false if none fits.

        Of a few in use, by what the linear program says of the rest; later dives take
        the second best at times.
        """
        tried: list[tuple[float, int]] = []
        effort = 1
        for use, at in sorted((-use, at) for at, use in optimum.uses):
            if len(tried) == _TRIED or (tried and -use < _SMALL):
                break
            after = _State([*state.left], [*state.limits])
            pattern = pool.patterns[at]
            if after.fix(pattern, 1, 0):
                program = self._program(pool, after)
                tried.append((self._costs[pattern.kind] + program.solve().value, at))
                effort += program.effort
        yield effort
        if not tried:
            return False
        tried.sort()
        second = number > 0 and len(tried) > 1 and draw(self._rng) % 3 == 0
        pattern = pool.patterns[tried[int(second)][1]]
        state.fix(pattern, 1, self._costs[pattern.kind])
        return True

    def _finish(self, pool: Pool, state: _State, number: int) -> Iterator[int]:
        """Give what is left to the search."""
        if not any(state.left):
            self._offer(pool, state, (), 0)
            return
        rest = replace(
            self.problem.wanting(state.left),
            stock=tuple(
                each if each.limit is None else replace(each, limit=most)
                for each, most in zip(self.problem.stock, state.limits, strict=True)
            ),
        )
        aim = self._floor if self._goal is None else self._goal - self._step
        compiled = may_compile() and is_complete(KERNELS)
        count = sum(state.left)
        engine = yield from finish(
            rest,
            seed=draw(self._rng),
            bound=max(0, aim - state.cost),
            iterations=min(_MOST, _FIRST * (1 + number)) // count,
            at_once=(_SLICE if compiled else _PLAIN_SLICE) // count,
            compiled=compiled,
        )
        if not engine.unplaced:
            sheets = trees_of(engine.best, engine.instance)
            self._offer(pool, state, sheets, engine.cost)

    def _offer(
        self, pool: Pool, state: _State, rest: Sequence[tuple[str, Tree]], cost: int
    ) -> None:
        total = state.cost + cost
        if self._goal is not None and total >= self._goal:
            return
        self._goal = total
        cut = tuple(
            (self.problem.stock[pattern.kind].id, pool.tree(pattern))
            for pattern in state.cut
        )
        self.best = DivedPlan((*cut, *rest), total)
