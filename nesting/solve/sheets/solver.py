"""The door of the sheet search: a problem in, the cheapest sheets found out.

Two lanes of work run side by side (`lanes`). One searches. The other, once the first
plans are there, raises the lower bound (`tasks`); when nothing is left to do there it
searches too, from another seed. After every epoch each search goes on from the best
forest of both.

The search comes in legs. The first keeps the stage limit. If parts are left over then,
or the cost is above the bound, the next lifts the limit; its plan is taken only if it
places more or costs less. If parts are left over still, the third looks for cheaper
sheets that hold what has been placed. The last keeps the cost and looks for what is
left over and how one cuts (`polish`), if anything but the cost matters. The first
steps are done in plain Python: many a small job never needs the compiler.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.model.tree import Tree
from nesting.solve.compile import pays_to_compile
from nesting.solve.lanes import Lanes
from nesting.solve.meter import Meter
from nesting.solve.sheets.bounds import SheetBound, full_bound, quick_bound
from nesting.solve.sheets.confined import confined_bound
from nesting.solve.sheets.dive import DivedPlan
from nesting.solve.sheets.engine import KERNELS, Engine
from nesting.solve.sheets.forest import OUT, OUT_AREA, Forest
from nesting.solve.sheets.instance import Instance, instance_of
from nesting.solve.sheets.plant import trees_of, unplaced_of
from nesting.solve.sheets.problem import SheetAnswer, SheetProblem
from nesting.solve.sheets.replant import forest_of, keeps_rules
from nesting.solve.sheets.sets_seen import Notes
from nesting.solve.sheets.tasks import Task, notes_for, takes_long, tasks_for
from nesting.solve.sheets.team import MANY_PARTS, Team

_STARTS = 20
_PLAIN_STARTS = 4_000  # parts squared, times starts: so much is done in plain Python
_PLAIN_WORK = 10_000  # parts times iterations, likewise
_CHUNK = 100_000  # parts times iterations, between two looks at the clock
_PLAIN_CHUNK = 4_000
_MOST_CHUNKS = 16  # in one epoch, while the other lane is at a long piece of work
_PATCH = 20_000  # iterations on a few sheets of many
_ASIDE = 4  # epochs of patches, in one of which the other lane does its own work
_ALONE = 1_000_000  # parts times iterations before the other lane has other work
_SHARED = 30_000_000  # likewise, before it has nothing but that work
_FIRST_LEG = 0.5
_SECOND_LEG = 0.7
_BEFORE_POLISH = 0.85
_POLISH = 20_000  # iterations for each part
_MOST_POLISH = 1_250_000
_IDLE = 150_000  # iterations of each search without gain before polishing ends
_PLAIN_POLISH = 2_000  # and without the compiler


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
    with Lanes() as lanes:
        search = _Search(_without(problem, hopeless), seed, Meter(budget, scope), lanes)
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
    return problem.wanting(
        part.quantity - missing.get(part.id, 0) for part in problem.parts
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

    def __init__(
        self, problem: SheetProblem, seed: int, meter: Meter, lanes: Lanes
    ) -> None:
        self.problem = problem
        self.seed = seed
        self.meter = meter
        self.lanes = lanes
        self.bound = quick_bound(problem)
        self.duals: tuple[int, ...] = ()
        self.tasks: list[Task] | None = None
        self.notes: Notes | None = None
        """Of the first search, for the tasks."""
        self.aside: Forest | None = None
        """A forest that the other lane has found, until the searches have it."""
        self.seen: DivedPlan | None = None
        """The last plan that the other lane has told of."""
        self.chunk = 0
        self.epochs = 0
        self.team = Team(instance_of(problem), seed=seed, bound=self.bound.value)
        self.best = _found(self.team.best, 0)

    def run(self) -> StoppedBy:
        """Search to the end of the budget or to the proof; then polish."""
        polishes = self.problem.goal is not None and self.team.instance.count > 0
        end = _BEFORE_POLISH if polishes else 1.0
        self._begin()
        if not self.team.proven and not takes_long(self.problem):
            self._raise(full_bound(self.problem))
            self._raise(confined_bound(self.problem))
            self.team.raise_bound(self.bound.value)
        if self.problem.stages is None:
            stopped = self._leg(_SECOND_LEG)
        else:
            stopped = self._leg(_FIRST_LEG)
            if not self.team.proven:
                self._lift()
                stopped = self._leg(_SECOND_LEG if self.best.area_out else end)
        if self.best.area_out and self.meter.stopped(end) is None:
            self._cheapen(end)
        if not self.team.proven:
            stopped = self._leg(end)
        if self.team.proven:
            stopped = StoppedBy.PROOF
        if polishes and not self.best.area_out and stopped is not StoppedBy.CANCELLED:
            polished = self._polish()
            stopped = stopped if polished is StoppedBy.PROOF else polished
        return stopped

    def _raise(self, bound: SheetBound) -> None:
        """Take note of a better bound; the searches hear of it between epochs."""
        if bound.value > self.bound.value:
            self.bound = bound

    def _begin(self) -> None:
        """Make the first plans, most of them without the compiler."""
        engine = self.team.first
        count = max(1, engine.instance.count)
        for number in range(_STARTS):
            if number and engine.proven:
                break
            if number and number * count * count >= _PLAIN_STARTS:
                self._compile()
            engine.start()
            self._note(0)
            if self.meter.stopped():
                break

    def _compile(self) -> None:
        """Go on compiled where it pays to wait for the compiler."""
        if not self.team.is_compiled and pays_to_compile(
            KERNELS, self.meter.seconds_left()
        ):
            self.team.compile()

    def _leg(self, share: float, missing: int = 0) -> StoppedBy:
        """Search on until a share of the budget is used up, or the proof is there."""
        team = self.team
        while not team.proven:
            stopped = self.meter.stopped(share)
            if stopped is not None:
                return stopped
            self._epoch(share, missing)
            self._note(missing)
            self.meter.report(
                value=self.best.cost,
                lower_bound=self.bound.value,
                unplaced=self.best.forest[4][OUT],
            )
        return StoppedBy.PROOF

    def _epoch(self, share: float, missing: int) -> None:
        """Give both lanes their piece of work."""
        team = self.team
        count = max(1, team.instance.count)
        if team.done * count >= _PLAIN_WORK:
            self._compile()
        least = max(1, (_CHUNK if team.is_compiled else _PLAIN_CHUNK) // count)
        chunk = self.meter.chunk(max(least, self.chunk), share)
        effort = 0
        self.epochs += 1
        alone = _ALONE if team.is_compiled else _PLAIN_WORK
        is_early = team.done * count < alone
        is_for_patches = team.is_patched and self.epochs % _ASIDE > 0
        other = None if is_early or is_for_patches else self._other_work(missing)
        before = team.done
        both = other is None or (count <= MANY_PARTS and before * count < _SHARED)
        team.begin(2 if both else 1)
        if team.is_patching:
            chunk = self.meter.chunk(_PATCH, share)
        is_lifted = team.instance.problem.stages != self.problem.stages
        team.notes = self.notes if self.tasks and not is_lifted else None
        if self.notes is not None:
            self.notes.settle()
        searched = 0 if not both else chunk if other is None else chunk // 2

        def aside() -> None:
            nonlocal effort
            work = other
            while work is not None and effort < chunk - searched:
                effort += work()
                late = self.meter.stopped() is not None
                work = None if late else self._other_work(missing)
            if searched:
                team.work(1, searched)

        try:
            self.lanes.run(
                partial(team.work, 0, chunk), aside, at_once=team.is_compiled
            )
        finally:
            self.meter.work += team.done - before + effort
        team.raise_bound(self.bound.value)
        team.end()
        if self.aside is not None:
            team.share(self.aside)
            self.aside = None
        self.chunk = min(effort, _MOST_CHUNKS * least)

    def _note(self, missing: int) -> None:
        found = _found(self.team.best, missing)
        if found.rank < self.best.rank:
            self.best = found

    def _other_work(self, missing: int) -> Callable[[], int] | None:
        """Return what the other lane has to do but search, if anything."""
        if missing:
            return None
        if self.tasks is None:
            self.notes = notes_for(self.problem)
            self.tasks = tasks_for(self.problem, notes=self.notes, seed=self.seed)
        while self.tasks and self.tasks[0].is_done:
            del self.tasks[0]
        if not self.tasks or (self.tasks[0].needs_plan and self.best.area_out):
            return None
        return self._advance

    def _advance(self) -> int:
        """Do one piece of the first task, and take note of what it says."""
        task = (self.tasks or [])[0]
        goal = None if self.best.area_out else self.best.cost
        try:
            effort = task.advance(known=self.bound.value, goal=goal)
        except ArithmeticError:  # a linear program that was not solved: advice only
            del (self.tasks or [])[0]
            return 1
        if task.value > self.bound.value:
            self._raise(SheetBound(value=task.value, basis=task.basis))
            self.duals = task.duals
        found = task.best
        if found is not None and found is not self.seen:
            self.seen = found
            if goal is None or found.cost < goal:
                self._take_aside(found.sheets)
        return effort

    def _take_aside(self, sheets: Sequence[tuple[str, Tree]]) -> None:
        """Keep a plan for the searches, if it can be cut by their rules."""
        try:
            forest = forest_of(sheets, self.team.instance)
        except ValueError:  # the bounds cut with the narrowest kerf
            return
        if keeps_rules(forest, self.team.instance):
            self.aside = forest

    def _lift(self) -> None:
        """Go on from the best plan without the stage limit."""
        compiled = self.team.is_compiled
        self.seen = None
        self.team = Team(
            instance_of(replace(self.problem, stages=None)),
            seed=self.seed + 1,
            bound=self.bound.value,
            start=self.best.forest,
        )
        if compiled:
            self.team.compile()

    def _cheapen(self, share: float) -> None:
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
        kept, self.team = (
            self.team,
            Team(
                instance_of(rest),
                seed=self.seed + 2,
                bound=bound.value,
                start=(nodes, rests, roots, [], placed),
            ),
        )
        if kept.first.is_compiled:
            self.team.compile()
        self._leg(share, found.area_out)
        self.team = kept

    def _polish(self) -> StoppedBy:
        """Look for what is left over and how one cuts, at the cost that is found."""
        goal = self.problem.goal
        if goal is None:
            return StoppedBy.PROOF
        team = Team(
            self.best.instance,
            seed=self.seed + 2,
            bound=self.bound.value,
            start=self.best.forest,
        )
        count = max(1, team.instance.count)
        most = min(_MOST_POLISH, _POLISH * count)
        if self.meter.chunk(most, 1.0) * count >= _PLAIN_WORK:
            self._compile()
        compiled = self.team.is_compiled
        if compiled:
            team.compile()
        else:
            most = _PLAIN_POLISH
        for engine in (team.first, team.second):
            engine.aim_at(goal.numbers)
        chunk = max(1, (_CHUNK if compiled else _PLAIN_CHUNK) // count)
        end = self.meter.work + most
        while self.meter.work < end and min(e.idle for e in team.engines) < _IDLE:
            stopped = self.meter.stopped()
            if stopped is not None:
                return stopped
            before = team.done
            each = min(chunk, -(-(end - self.meter.work) // 2))
            try:
                self.lanes.run(
                    partial(team.first.polish, each),
                    partial(team.second.polish, each),
                    at_once=compiled,
                )
            finally:
                self.meter.work += team.done - before
                better = min(team.engines, key=lambda one: (one.cost, one.polished))
                self.best = _found(better, 0)
            self.meter.report(
                value=self.best.cost, lower_bound=self.bound.value, unplaced=0
            )
        return StoppedBy.PROOF


def _found(engine: Engine, missing: int) -> _Found:
    return _Found(
        forest=engine.best,
        instance=engine.instance,
        area_out=engine.area_out + missing,
        cost=engine.cost,
    )
