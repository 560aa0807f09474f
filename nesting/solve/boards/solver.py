"""The door of the board search: a problem in, the cheapest boards found out.

First the habits of the shop (`naive`), then boards filled one after the other
(`greedy`), then a search that takes boards apart (`search`). Beside it a second lane
bounds the cost by a linear program (`linear`), whose prices guide the search, and
closes small jobs exactly (`small`); after that it searches, too. The lanes share the
best plan after every epoch of counted work.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.model.tree import Leaf, Tree
from nesting.solve.boards.beside import search_beside
from nesting.solve.boards.edges import keeps_none
from nesting.solve.boards.engine import BOARD_KERNELS, BoardEngine
from nesting.solve.boards.instance import board_instance_of
from nesting.solve.boards.linear import board_bound
from nesting.solve.boards.naive import HabitPlan, habit_plan
from nesting.solve.boards.problem import BoardAnswer, BoardProblem
from nesting.solve.boards.rests import largest_rest
from nesting.solve.boards.small import exact_boards
from nesting.solve.boards.trees import streams_of, trees_of
from nesting.solve.boards.volume import BASIS, volume_bound
from nesting.solve.compile import pays_to_compile
from nesting.solve.lanes import Lanes
from nesting.solve.meter import Meter

_STEPS = 80_000  # of the tables, that are one piece of work
_EPOCH = 100_000_000  # steps of one lane between two looks at the clock
_PLAIN_EPOCH = 400_000
_BOUND_STEP = 25_000_000  # steps beside a round of it
_BOUND_WORK = 60_000  # pieces, at most, for the linear program
_BOUND_SHARE = 0.5  # of the budget
_EXACT_PARTS = 31  # with more, sets of parts do not fit into a number
_EXACT_STEP = 4_000_000
_EXACT_WORK = 400  # in its own measure, that are one piece of work here
_MOST_EXACT = 50_000
_EXACT_SHARE = 0.9
_PLAIN_PARTS = 12  # with no more, the first plan is made without the compiler
_STARTS = 4
_PRICED_STARTS = 20  # of each lane
_POLISH = 120_000_000  # steps of one lane, looking for larger rests without gain
_PLAIN_POLISH = 200_000
_POLISH_SHARE = 4  # what is looked at between two looks, of these


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A plan and how good it is."""

    boards: tuple[tuple[str, Tree], ...]
    out: int
    cost: int
    rest: int
    """The area of the largest rest worth keeping."""

    @property
    def rank(self) -> tuple[int, int, int, int]:
        return self.out, self.cost, len(self.boards), -self.rest


def solve_boards(
    problem: BoardProblem, *, seed: int, budget: Budget, scope: str = ""
) -> BoardAnswer:
    """Cut parts from boards at the least cost that can be found.

    Parameters
    ----------
    problem
        Lengths in ticks, costs in any one integer measure.
    seed
        Two searches from one seed that end by their work are the same.
    budget
        Its work is counted in some ten thousands of steps of the tables. Where the
        compiled kernels are not in the cache and less than half a minute is left, the
        search goes on in plain Python.
    scope
        What the progress is said to be about.

    Returns
    -------
    BoardAnswer
        Never worse than the habits of the shop. Parts that fit no board are unplaced,
        and so is what limited stock does not hold. The bound is on placing every part.
    """
    meter = Meter(budget, scope)
    with Lanes() as lanes:
        search = _Search(problem, seed, meter, lanes)
        try:
            stopped_by = search.run()
            search.polish()
        except KeyboardInterrupt:
            stopped_by = StoppedBy.CANCELLED
    best = search.best
    return BoardAnswer(
        boards=best.boards,
        unplaced=unplaced_of(problem, best.boards),
        cost=best.cost,
        lower_bound=search.bound,
        basis=search.basis,
        stopped_by=stopped_by,
        work=meter.work,
        vectors=search.vectors,
    )


def unplaced_of(
    problem: BoardProblem, boards: tuple[tuple[str, Tree], ...]
) -> tuple[tuple[str, int], ...]:
    """Return (part id, how many) of what boards do not hold, in the parts' order."""
    held: Counter[str] = Counter()
    for _, tree in boards:
        _count(tree, held)
    return tuple(
        (part.id, part.quantity - held[part.id])
        for part in problem.parts
        if part.quantity > held[part.id]
    )


def _count(tree: Tree, held: Counter[str]) -> None:
    if isinstance(tree, Leaf):
        held[tree.blank] += 1
        return
    for child in tree.children:
        _count(child, held)


class _Search:
    """One call of `solve_boards`."""

    def __init__(
        self, problem: BoardProblem, seed: int, meter: Meter, lanes: Lanes
    ) -> None:
        self.problem = problem
        self.meter = meter
        self.lanes = lanes
        self.bound = volume_bound(problem)
        self.basis = BASIS
        self.prices: list[int] = []
        self.vectors: tuple[tuple[int, ...], ...] = ()
        self.closed: _Found | None = None
        self.polishes = False
        self._weights = {
            part.id: part.length * part.width * part.weight for part in problem.parts
        }
        self._costs = {each.id: each.cost for each in problem.stock}
        habit: HabitPlan = habit_plan(problem)
        self.best = self._found(habit.boards)
        self.instance = board_instance_of(problem)
        self.engines = [
            BoardEngine(self.instance, seed=seed, stream=lane) for lane in range(2)
        ]
        self._rank = self.engines[0].rank

    def _found(self, boards: tuple[tuple[str, Tree], ...]) -> _Found:
        out = sum(
            self._weights[name] * count
            for name, count in unplaced_of(self.problem, boards)
        )
        cost = sum(self._costs[name] for name, _ in boards)
        rest = largest_rest(boards, self.problem)
        return _Found(boards=boards, out=out, cost=cost, rest=rest)

    @property
    def proven(self) -> bool:
        """Whether everything is placed at the cost of the bound."""
        return self.best.out == 0 and self.best.cost <= self.bound

    def run(self) -> StoppedBy:
        """Search to the end of the budget, or to the proof."""
        if self.instance.count == 0:
            return StoppedBy.PROOF
        self._report()
        for number in range(_STARTS):
            if self.proven or (number and self.meter.stopped()):
                break
            if number or self.instance.count > _PLAIN_PARTS:
                self._compile()
            for engine in self.engines[: 1 if number == 0 else 2]:
                engine.start()
            self.meter.work += 1
            self._note()
        self._share()
        if not self.proven and self.meter.stopped() is None:
            self._beside(self._raise_bound, _BOUND_STEP, _BOUND_SHARE)
            self._start_priced()
        if (
            not self.proven
            and self.instance.count <= _EXACT_PARTS
            and self.meter.stopped() is None
        ):
            self._beside(self._close, _EXACT_STEP, _EXACT_SHARE)
            if self.closed is not None and self.closed.rank < self.best.rank:
                self.best = self.closed
        while not self.proven:
            stopped = self.meter.stopped()
            if stopped is not None:
                return stopped
            self._epoch()
            self._note()
            self._report()
        return StoppedBy.PROOF

    def _report(self) -> None:
        out = unplaced_of(self.problem, self.best.boards)
        self.meter.report(
            value=self.best.cost,
            lower_bound=self.bound,
            unplaced=sum(count for _, count in out),
        )

    def _compile(self) -> None:
        """Go on compiled where it pays to wait for the compiler."""
        if not self.engines[0].is_compiled and pays_to_compile(
            BOARD_KERNELS, self.meter.seconds_left()
        ):
            for engine in self.engines:
                engine.compile()

    def _beside(
        self, task: Callable[[Callable[[], bool]], None], steps: int, share: float
    ) -> None:
        """Do a task in one lane, with compiled kernels a search in the other."""
        engine = self.engines[0]

        def step() -> None:
            engine.search(steps)

        def late() -> bool:
            return self.meter.stopped(share) is not None

        if engine.is_compiled:
            search_beside(self.lanes, task, step, late)
        else:
            task(late)
        self._note()
        self._share()
        self._report()

    def _raise_bound(self, late: Callable[[], bool]) -> None:
        """Bound the cost by the linear program, and value parts by its prices."""
        most = self.meter.chunk(_BOUND_WORK, _BOUND_SHARE)
        try:
            found = board_bound(
                self.problem,
                most_work=most,
                cancelled=late,
                known=self.bound,
                goal=None if self.best.out else self.best.cost,
                plain=not self.engines[0].is_compiled,
            )
        except ArithmeticError:  # a linear program that was not solved: advice only
            return
        self.meter.work += found.work
        self.vectors = found.vectors
        if found.value > self.bound:
            self.bound = found.value
            self.basis = found.basis
        prices = dict(
            zip((part.id for part in self.problem.parts), found.prices, strict=True)
        )
        self.prices = [round(1_000 * prices[part.id]) for part in self.instance.parts]

    def _close(self, late: Callable[[], bool]) -> None:
        """Look for the best plan of a small job, or for the proof that it is found."""
        most = self.meter.chunk(_MOST_EXACT, _EXACT_SHARE)
        found = exact_boards(
            self.problem,
            known=self.bound,
            goal=None if self.best.out else self.best.cost,
            most_work=most * _EXACT_WORK,
            cancelled=late,
            plain=not self.engines[0].is_compiled,
        )
        self.meter.work += found.effort // _EXACT_WORK
        if found.lower_bound > self.bound:
            self.bound = found.lower_bound
            self.basis = found.basis or self.basis
        if found.boards is not None and keeps_none(found.boards, self.problem):
            self.closed = self._found(found.boards)

    def _start_priced(self) -> None:
        """Begin anew a few times in both lanes, parts valued by what they cost."""

        def work(engine: BoardEngine) -> None:
            engine.price(self.prices)
            for _ in range(_PRICED_STARTS):
                if self.meter.stopped() is None:
                    engine.start()

        first, second = self.engines
        self.lanes.run(
            lambda: work(first), lambda: work(second), at_once=first.is_compiled
        )
        self.meter.work += _PRICED_STARTS
        self._note()
        self._share()

    def polish(self) -> None:
        """Go on for a while for larger rests, at the cost that is proved the least.

        A search that ended otherwise has looked for them all along.
        """
        if not self.proven or self.problem.keeps is None or not self.instance.count:
            return
        known = streams_of(self.best.boards, self.instance)
        if known is None:
            return
        self.polishes = True
        for engine in self.engines:
            engine.take(known)
            engine.raise_bound(-1)
        self._rank = self.engines[0].rank
        steps = _POLISH if self.engines[0].is_compiled else _PLAIN_POLISH
        idle = 0
        while idle < _POLISH_SHARE and self.meter.stopped() is None:
            before = self.best.rank
            self._epoch(steps // _POLISH_SHARE)
            self._note()
            idle = idle + 1 if self.best.rank == before else 0

    def _epoch(self, steps: int = 0) -> None:
        """Let both lanes search, then share the better plan."""
        compiled = self.engines[0].is_compiled
        steps = steps or (_EPOCH if compiled else _PLAIN_EPOCH)
        most = max(1, steps // _STEPS)
        steps = self.meter.chunk(most, 1.0) * _STEPS
        done = [0, 0]

        def work(lane: int) -> None:
            done[lane] = self.engines[lane].search(steps)

        self.lanes.run(lambda: work(0), lambda: work(1), at_once=compiled)
        self.meter.work += max(1, sum(done) // (2 * _STEPS))
        self._share()

    def _share(self) -> None:
        """Let both engines go on from the better plan, and know the bound."""
        first, second = self.engines
        for engine in self.engines:
            engine.raise_bound(-1 if self.polishes else self.bound)
        if first.rank < second.rank:
            second.adopt(first)
        elif second.rank < first.rank:
            first.adopt(second)

    def _note(self) -> None:
        """Take note of a better plan."""
        engine = min(self.engines, key=lambda each: each.rank)
        if engine.rank < self._rank:
            self._rank = engine.rank
            found = self._found(trees_of(engine.boards, self.instance))
            if found.rank < self.best.rank:
                self.best = found
