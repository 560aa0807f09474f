"""Other sheets of the same parts, where something matters more than the least cost.

Problem: of all forests that hold every part at a cost of at most `enough`, the one with
the least of what `polish` weighs: distances to set, cuts, what the rests are good for.

Method: from nothing, one search under each of a few stage limits, since sheets of few
stages have few distances. Each looks for any forest that is cheap enough, and then
polishes it up to that cost. Two searches run side by side (`lanes`).

Guarantee: counted work, so the same every time; none that the best is found.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Final

from nesting.model.terms import StoppedBy
from nesting.solve.compile import pays_to_compile
from nesting.solve.lanes import Lanes
from nesting.solve.meter import Meter
from nesting.solve.sheets.engine import KERNELS, Engine
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.problem import SheetProblem, Sheets

_STARTS: Final = 10
_CHUNK: Final = 100_000  # parts times iterations, between two looks at the clock
_SEARCH: Final = 3_000  # iterations for each part, to find what is cheap enough
_POLISH: Final = 4_000  # and to better it
_PLAINLY: Final = 500  # without the compiler it does so many times less


def sheets_again(
    problem: SheetProblem,
    *,
    enough: int,
    stages: Iterable[int | None],
    seed: int,
    meter: Meter,
) -> list[tuple[Sheets, int]]:
    """Lay parts out anew, at a cost of at most `enough`, by what the goal weighs.

    Parameters
    ----------
    problem
        With a goal.
    enough
        A cost at which plans are known, in the problem's own measure.
    stages
        Limits to try, none of them above the problem's own.
    seed
        Of the first search; the others take those that follow.
    meter
        Counts the work, of which each search gets an equal share, and no more than it
        has a use for.

    Returns
    -------
    list of tuple
        Of each search the sheets, such as `solve_sheets` gives, and their cost; the
        best by the goal first. Nothing of one that finds no forest cheap enough, and
        nothing at all where the search was stopped before its work was done.
    """
    goal = problem.goal
    if goal is None:
        message = "without a goal there is nothing to look for"
        raise ValueError(message)
    limits = tuple(stages)
    share = (meter.budget.work - meter.work) // len(limits)
    tries = [
        _Try(replace(problem, stages=limit), enough, seed + number, share)
        for number, limit in enumerate(limits)
    ]
    if pays_to_compile(KERNELS, meter.seconds_left()):
        for each in tries:
            each.engine.compile()
    with Lanes() as lanes:
        for number in range(0, len(tries), 2):
            if not _run(tries[number : number + 2], lanes, meter):
                return []
    done = [each for each in tries if each.is_polishing]
    engines = sorted((each.engine for each in done), key=lambda each: each.polished)
    found = {trees_of(each.best, each.instance): each.cost for each in engines}
    return [*found.items()]


def _run(tries: Sequence[_Try], lanes: Lanes, meter: Meter) -> bool:
    """Bring one or two searches to their ends; tell whether they came there."""
    chunk = max(1, _CHUNK // max(1, tries[0].engine.instance.count))
    while not all(each.is_done for each in tries):
        if meter.stopped() in (StoppedBy.CLOCK, StoppedBy.CANCELLED):
            return False
        before = sum(each.engine.done for each in tries)
        lanes.run(
            partial(tries[0].work, chunk),
            partial(tries[-1].work, chunk if len(tries) > 1 else 0),
            at_once=tries[0].engine.is_compiled,
        )
        meter.work += sum(each.engine.done for each in tries) - before
    return True


class _Try:
    """One search under one limit of stages."""

    def __init__(
        self, problem: SheetProblem, enough: int, seed: int, work: int
    ) -> None:
        self.engine = Engine(instance_of(problem), seed=seed, bound=enough)
        self.is_polishing = False
        self._goal = problem.goal
        self._enough = enough
        self._work = work
        self._begun = 0

    @property
    def is_done(self) -> bool:
        """Whether it has done what it is to do."""
        engine = self.engine
        most = _POLISH if self.is_polishing else _SEARCH
        most *= max(1, engine.instance.count)
        if not engine.is_compiled:
            most //= _PLAINLY
        return engine.done >= min(self._work, self._begun + most)

    def work(self, iterations: int) -> None:
        """Search on for so many iterations at most."""
        engine = self.engine
        if not iterations or self.is_done:
            return
        if self.is_polishing:
            engine.polish(iterations)
            return
        if not engine.done:
            for _ in range(_STARTS):
                engine.start()
        if not engine.proven:
            engine.search(iterations)
        if engine.proven and self._goal is not None:
            self.is_polishing = True
            self._begun = engine.done
            engine.aim_at(self._goal.numbers, enough=self._enough)
