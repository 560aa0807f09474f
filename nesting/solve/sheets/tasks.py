"""What there is to do beside the search: bounds, and plans found on the way to them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Final, Protocol

from nesting.solve.compile import is_complete, may_compile
from nesting.solve.sheets.bounds import SheetBound, full_bound
from nesting.solve.sheets.confined import confined_bound
from nesting.solve.sheets.dive import ColumnPlans, DivedPlan
from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.problem import SheetProblem, Sheets
from nesting.solve.sheets.replant import forest_of
from nesting.solve.sheets.sets import SetBound
from nesting.solve.sheets.sets_hunt import may_hunt
from nesting.solve.sheets.sets_seen import Notes
from nesting.solve.sheets.sets_states import SET_KERNELS

_MOST_PARTS: Final = 150  # for the bound by sets
_FILL: Final = 100_000  # iterations
_FILL_SLICE: Final = 2_000
_A_MOMENT: Final = 200
_EFFORT: Final = 20


class Task(Protocol):
    """Work that is done in pieces, each of a counted effort."""

    @property
    def needs_plan(self) -> bool:
        """Whether it asks about plans that are cheaper than one with every part."""

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to do."""

    @property
    def value(self) -> int:
        """A bound on the cost of placing every part; rigorous at any moment."""

    @property
    def basis(self) -> str:
        """How the bound was found, in words for the maker."""

    @property
    def duals(self) -> tuple[int, ...]:
        """Whole numbers by part that the bound stands on; none if it does not."""

    @property
    def best(self) -> DivedPlan | None:
        """The cheapest plan it has found that is cheaper than any goal named."""

    def advance(self, *, known: int = 0, goal: int | None = None) -> int:
        """Do a piece; return its effort in iterations of the search, about."""


class _Once:
    """A bound that is found in one piece."""

    needs_plan = False
    duals: tuple[int, ...] = ()
    best: DivedPlan | None = None

    def __init__(
        self,
        find: Callable[[SheetProblem], SheetBound],
        problem: SheetProblem,
        effort: int,
    ) -> None:
        self._find = find
        self._problem = problem
        self._effort = effort
        self.is_done = False
        self.value = 0
        self.basis = ""

    def advance(self, *, known: int = 0, goal: int | None = None) -> int:
        """Find the bound, whatever is known."""
        bound = self._find(self._problem)
        self.value, self.basis = bound.value, bound.basis
        self.is_done = True
        return self._effort


class _Sets:
    """The bound by sets of parts, begun again when a cheaper plan turns up.

    Where it comes upon sheets that leave few parts out, a search tries to place those.
    """

    needs_plan = True
    duals: tuple[int, ...] = ()

    def __init__(
        self,
        problem: SheetProblem,
        columns: ColumnPlans,
        *,
        notes: Notes | None,
        seed: int,
    ) -> None:
        self._problem = problem
        self._seed = seed
        self._columns = columns
        self._run: SetBound | None = None
        self._goal: int | None = None
        self._hint: Sheets | None = None
        self._filling: Engine | None = None
        self._notes = notes
        self.is_done = False
        self.value = 0
        self.basis = ""
        self.best: DivedPlan | None = None

    def advance(self, *, known: int = 0, goal: int | None = None) -> int:
        """Go on with the question whether there is a plan cheaper than the goal."""
        if goal is None or known >= goal:
            self.is_done = True
            return 1
        if self._filling is not None:
            return self._fill(self._filling)
        if self._run is None or goal != self._goal:
            self._goal = goal
            heaviest = float(max(self._columns.duals, default=0) or 1)
            self._run = SetBound(
                self._problem,
                known=known,
                goal=goal,
                duals={
                    part.id: dual / heaviest
                    for part, dual in zip(
                        self._problem.apart().parts, self._columns.duals, strict=False
                    )
                },
                notes=self._notes,
                seed=self._seed,
            )
        effort = self._run.advance()
        self.value, self.basis = self._run.value, self._run.basis
        if self._run.plan is not None:
            self._offer(self._run.plan)
        elif self._run.hint is not None and self._run.hint is not self._hint:
            self._hint = self._run.hint
            self._filling = self._planted(self._hint)
        self.is_done = self._run.is_done and self._filling is None
        return max(1, effort)

    def _offer(self, sheets: Sheets) -> None:
        prices = {stock.id: stock.cost for stock in self._problem.stock}
        cost = sum(prices[stock] for stock, _ in sheets)
        if self.best is None or cost < self.best.cost:
            self.best = DivedPlan(sheets=sheets, cost=cost)

    def _planted(self, sheets: Sheets) -> Engine | None:
        """Return a search that begins at sheets which leave some parts out."""
        counts = Counter(stock for stock, _ in sheets)
        stock = (
            replace(each, limit=counts[each.id])
            for each in self._problem.stock
            if counts[each.id]
        )
        instance = instance_of(replace(self._problem, stock=tuple(stock)))
        try:
            start = forest_of(sheets, instance)
        except ValueError:  # these were cut with the narrowest kerf
            return None
        engine = Engine(instance, seed=self._seed, bound=0, start=start)
        engine.compile()
        return engine

    def _fill(self, engine: Engine) -> int:
        """Search on for a place for what is out; give up after a while."""
        engine.search(_FILL_SLICE)
        if not engine.unplaced:
            self._offer(trees_of(engine.best, engine.instance))
        if not engine.unplaced or engine.done >= _FILL:
            self._filling = None
        return _FILL_SLICE


def takes_long(problem: SheetProblem) -> bool:
    """Tell whether the bounds by dual feasible functions take more than a moment."""
    return len(problem.parts) * len(problem.stock) > _A_MOMENT


def _are_sets_tried(problem: SheetProblem) -> bool:
    """Tell whether sets are looked at: plainly, or for many parts, it takes long."""
    few = sum(part.quantity for part in problem.parts) <= _MOST_PARTS
    return few and may_compile() and is_complete(SET_KERNELS)


def notes_for(problem: SheetProblem) -> Notes | None:
    """Return what the search may take notes in for the tasks, if they want any."""
    is_wanted = _are_sets_tried(problem) and may_hunt(problem)
    return Notes(problem) if is_wanted else None


def tasks_for(
    problem: SheetProblem, *, notes: Notes | None = None, seed: int
) -> list[Task]:
    """Return what there is to do, in this order."""
    tasks: list[Task] = []
    if takes_long(problem):
        effort = _EFFORT * len(problem.parts) * len(problem.stock)
        tasks = [
            _Once(confined_bound, problem, effort),
            _Once(full_bound, problem, effort),
        ]
    columns = ColumnPlans(problem, seed=seed)
    tasks.append(columns)
    if _are_sets_tried(problem):
        tasks.append(_Sets(problem, columns, notes=notes, seed=seed))
    return tasks
