"""Which build of each need to cut: the choice that makes the whole cheapest.

Problem: a part may be made in several ways, of several materials, and what one way
costs depends on what else is cut from the same stock.

Method: each need starts with the build whose blanks take the least share of the
cheapest stock that holds them, or all with their first, or all with their second, if
that is cheaper. Then one need after another tries its other builds, the need with most
wood first; the groups that a change touches are solved again, with
little work, and a choice that is cheaper is kept, until no change is or the work is
used up. What a group costs is remembered by its demands. Guarantee: never worse than
the first choice by the same small searches, and a build whose blanks can be cut from
nothing is taken only where every other is as bad; no bound on the best choice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from time import monotonic

from nesting.model.blank import Blank, Build, Need
from nesting.model.problem import Budget, Problem
from nesting.model.stock import Stock
from nesting.model.terms import Form, Origin
from nesting.solve.groups import Group, group
from nesting.solve.solved import Solved

Solver = Callable[[Group, Problem, Budget], Solved]

_MOST_PASSES = 4
_TRIES = 150
"""Solves of a group that the work given is to do for."""
_LEAST_WORK = 500
_MOST_WORK = 1_500
"""Of one of them: enough to tell good from bad, little enough to try many."""
_SAVING = 0.98
"""What the build of an estimate is beaten by, of its cost, before it is left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One build for each need, and why."""

    problem: Problem
    """With the chosen build of each need alone."""
    notes: tuple[str, ...] = ()
    """A sentence for each need with a choice."""
    parts: frozenset[str] = frozenset()
    """The parts that had a choice."""
    work: int = 0


def has_choice(problem: Problem) -> bool:
    """Tell whether some need has several builds."""
    return any(len(need.builds) > 1 for need in problem.needs)


def choose_builds(problem: Problem, budget: Budget, solver: Solver) -> Choice:
    """Choose a build for each need.

    Parameters
    ----------
    problem
        Needs with one build or several; the usual one first.
    budget
        For the choice alone.
    solver
        Solves one group; it is called with a small share of the work.

    Returns
    -------
    Choice
        By its work the same each time, where the time does not run out before.
    """
    return _Chooser(problem, budget, solver).run()


@dataclass(frozen=True, slots=True, order=True)
class _Worth:
    """How bad a choice is: what finds no place, what it costs, how many blanks."""

    unplaced: int
    cost: int
    pieces: int


class _Chooser:
    def __init__(self, problem: Problem, budget: Budget, solver: Solver) -> None:
        self.problem = problem
        self.budget = budget
        self.solver = solver
        self.stock = {stock.id: stock for stock in problem.stock}
        self.volumes = {name: b.volume for name, b in problem.blanks.items()}
        self.is_priced = all(
            stock.price_cents is not None
            for stock in problem.stock
            if stock.origin is Origin.STORE
        )
        self.known: dict[tuple[object, ...], tuple[int, int]] = {}
        self.work = 0
        self.each = min(_MOST_WORK, max(_LEAST_WORK, budget.work // _TRIES))

    def run(self) -> Choice:
        needs = self.problem.needs
        chosen = [self._first(need) for need in needs]
        best = self._worth(chosen)
        open_ = sorted(
            (n for n, need in enumerate(needs) if len(need.builds) > 1),
            key=lambda n: (-self._wood(needs[n]), n),
        )
        for number in range(min(2, max(len(need.builds) for need in needs))):
            tried = [min(number, len(need.builds) - 1) for need in needs]
            worth = self._worth(tried)
            if worth < best:
                chosen, best = tried, worth
        others: dict[int, tuple[int, _Worth]] = {}
        for _ in range(_MOST_PASSES):
            before = best
            for number in open_:
                for build in range(len(needs[number].builds)):
                    if build == chosen[number] or self._is_over():
                        continue
                    tried = [*chosen]
                    tried[number] = build
                    worth = self._worth(tried)
                    if worth < best:
                        others[number] = chosen[number], best
                        chosen, best = tried, worth
                    elif number not in others or worth < others[number][1]:
                        others[number] = build, worth
            if best == before:
                break
        return Choice(
            problem=_with(self.problem, chosen),
            notes=tuple(
                self._note(needs[n], chosen[n], best, others.get(n)) for n in open_
            ),
            parts=frozenset(needs[n].part for n in open_),
            work=self.work,
        )

    def _is_over(self) -> bool:
        if self.work >= self.budget.work or self.budget.cancelled():
            return True
        deadline = self.budget.deadline
        return deadline is not None and monotonic() >= deadline

    def _wood(self, need: Need) -> int:
        return need.quantity * max(
            sum(take.count * take.blank.volume for take in build.takes)
            for build in need.builds
        )

    def _first(self, need: Need) -> int:
        """Return the build that looks cheapest; the earlier one where it is close."""
        guesses = [self._guess(build) for build in need.builds]
        best = 0
        for number, guess in enumerate(guesses):
            if guess < (guesses[best][0], guesses[best][1] * _SAVING):
                best = number
        return best

    def _guess(self, build: Build) -> tuple[int, float]:
        """Return how many of its blanks fit no stock, and what the others may cost."""
        missing, cost = 0, 0.0
        for take in build.takes:
            prices = [
                self._measure(stock) * take.blank.volume / _holds(stock)
                for stock in self.problem.stock
                if _fits(take.blank, stock)
            ]
            missing += 0 if prices else take.count
            cost += take.count * min(prices, default=0.0)
        return missing, cost

    def _measure(self, stock: Stock) -> int:
        """Return what a piece of stock counts: cents, or volume where one has no price.

        What is owned counts what the maker says, or nothing.
        """
        if stock.origin is not Origin.STORE:
            return stock.price_cents or 0 if self.is_priced else 0
        if self.is_priced:
            return stock.price_cents or 0
        return stock.length * stock.width * stock.thickness

    def _worth(self, chosen: Sequence[int]) -> _Worth:
        problem = _with(self.problem, chosen)
        unplaced = cost = 0
        for each in group(problem):
            missing, paid = self._solve(each, problem)
            unplaced += missing
            cost += paid
        pieces = sum(
            need.quantity * take.count
            for need in problem.needs
            for take in need.builds[0].takes
        )
        return _Worth(unplaced, cost, pieces)

    def _solve(self, each: Group, problem: Problem) -> tuple[int, int]:
        """Return the volume without a place and the cost of one group."""
        key = (
            each.material,
            each.section,
            each.sections,
            tuple((demand.blank.id, demand.quantity) for demand in each.demands),
        )
        if key not in self.known:
            left = replace(
                self.budget.quiet(),
                work=max(1, min(self.each, self.budget.work - self.work)),
            )
            solved = self.solver(each, replace(problem, prefer=None), left)
            self.work += max(1, solved.work)
            self.known[key] = (
                sum(m.quantity * self.volumes[m.blank] for m in solved.unplaced),
                sum(self._measure(self.stock[tree.stock]) for tree in solved.trees),
            )
        return self.known[key]

    def _note(
        self, need: Need, chosen: int, best: _Worth, other: tuple[int, _Worth] | None
    ) -> str:
        """Say in a sentence which build is taken, and what the next best would cost."""
        said = need.builds[chosen].id
        if other is None:
            return said
        _, _, name = need.builds[other[0]].id.rpartition(": ")
        worth = other[1]
        if worth.unplaced > best.unplaced:
            return f"{said}; {name} finds no place in what there is"
        more = worth.cost - best.cost
        if not self.is_priced or more < 0:
            return said
        if more == 0:
            return f"{said}; {name} would cost the same"
        return f"{said}; {name} would cost {more / 100:.2f} more"


def _with(problem: Problem, chosen: Sequence[int]) -> Problem:
    return replace(
        problem,
        needs=tuple(
            replace(need, builds=(need.builds[number],))
            for need, number in zip(problem.needs, chosen, strict=True)
        ),
    )


def _holds(stock: Stock) -> int:
    return stock.usable_length * stock.usable_width * stock.thickness


def _fits(blank: Blank, stock: Stock) -> bool:
    """Tell whether a blank might come out of a piece of stock, by its sizes."""
    sections = blank.own_sections
    if stock.material != blank.material or stock.section not in sections:
        return False
    if stock.limit == 0 or blank.thickness > stock.thickness:
        return False
    long, wide = stock.usable_length, stock.usable_width
    ways = [(blank.length, blank.width)]
    if stock.form is Form.SHEET:
        ways.append((blank.width, blank.length))
    return any(x <= long and y <= wide for x, y in ways)
