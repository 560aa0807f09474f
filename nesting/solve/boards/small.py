"""Small jobs closed exactly: the cheapest boards, or that no cheaper ones will do.

The class of plans is that of `nesting.solve.boards.problem`. Plans are made with the
widest kerfs, bounds with the narrowest; where those differ, a job is settled only if
the two meet.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from nesting.model.terms import StoppedBy
from nesting.model.tree import Tree
from nesting.solve.boards.problem import BoardPart, BoardProblem
from nesting.solve.boards.small_cover import Found
from nesting.solve.boards.small_search import Search
from nesting.solve.boards.small_sets import (
    SMALL_KERNELS,
    Effort,
    StoppedError,
    never,
)
from nesting.solve.boards.tiny import tiny_problem
from nesting.solve.compile import mark_complete, may_compile

BASIS = "search: every set of parts of boards crosscut, ripped and crosscut was tried"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactBoards:
    """What a complete search found."""

    boards: tuple[tuple[str, Tree], ...] | None
    """The cheapest plan found that is cheaper than the goal, as in `BoardAnswer`."""
    cost: int | None
    """What it costs."""
    lower_bound: int
    """No plan costs less. Where there is none at all, it is the goal, or `known`."""
    is_settled: bool
    """Whether the plan is the best there is, or there is none below the goal."""
    basis: str
    """How the bound was found; empty if it is `known`."""
    stopped_by: StoppedBy
    effort: int


def exact_boards(
    problem: BoardProblem,
    *,
    known: int,
    goal: int | None,
    most_work: int,
    deadline: float | None = None,
    cancelled: Callable[[], bool] = never,
    plain: bool = False,
) -> ExactBoards:
    """Find the cheapest plan that holds every part, if it is cheaper than the goal.

    Parameters
    ----------
    problem
        A small one: sets of its parts, with the boards there are few of, have to fit
        into 62 bits, which 31 parts, all different, do.
    known
        No plan costs less.
    goal
        What a plan has to be cheaper than; None for any.
    most_work
        It gives up after so much, in thousands of steps of its kernels.
    deadline, cancelled
        Outer limits, looked at between slices of work.
    plain
        Whether to do without the compiler, which changes nothing but the time.
    """
    effort = Effort(most_work, deadline, cancelled)
    narrow = _limits(problem, known, goal, effort, plain, is_narrow=True)
    if not _differs(problem):
        return narrow
    bound = narrow.lower_bound
    if narrow.is_settled and narrow.boards is None:
        return narrow
    if narrow.stopped_by is not StoppedBy.PROOF:
        return replace(narrow, boards=None, cost=None)
    wide = _limits(problem, bound, goal, effort, plain, is_narrow=False)
    is_settled = wide.cost == bound
    stopped_by = wide.stopped_by
    if stopped_by is StoppedBy.PROOF and not is_settled:
        stopped_by = StoppedBy.WORK  # all of it, and yet between the kerfs it is open
    return replace(
        wide,
        lower_bound=bound,
        is_settled=is_settled,
        stopped_by=stopped_by,
        basis=narrow.basis,
    )


def _differs(problem: BoardProblem) -> bool:
    """Tell whether the widest kerfs allow less than the narrowest."""
    return (
        (problem.kerf_x, problem.kerf_y) != (problem.least_kerf_x, problem.least_kerf_y)
    ) or any(
        dict(part.layers) != dict(part.most_layers)
        for part in problem.parts
        if part.quantity
    )


def _limits(
    problem: BoardProblem,
    known: int,
    goal: int | None,
    effort: Effort,
    plain: bool,
    *,
    is_narrow: bool,
) -> ExactBoards:
    """Search with the narrowest kerfs, or with the widest."""
    kinds = [part for part in problem.parts if part.quantity]
    layers = [part.most_layers if is_narrow else part.layers for part in kinds]
    if is_narrow:
        problem = replace(
            problem, kerf_x=problem.least_kerf_x, kerf_y=problem.least_kerf_y
        )
    if not kinds:
        found = Found(cost=0, boards=()) if goal is None or goal > 0 else None
        return _settled(found, 0, "", effort)
    search = Search(
        problem,
        kinds,
        layers,
        known=known,
        goal=goal,
        effort=effort,
        plain=plain,
    )
    if not search.is_small:
        return _open(known, "", StoppedBy.WORK, effort)
    if not all(
        _fits_somewhere(problem, *each) for each in zip(kinds, layers, strict=True)
    ):
        return _settled(None, known if goal is None else goal, BASIS, effort)
    try:
        found = search.run()
    except StoppedError as error:
        basis = BASIS if search.bound > known else ""
        return _open(search.bound, basis, error.why, effort, search.best)
    except ArithmeticError:  # a linear program that was not solved: nothing is known
        return _open(known, "", StoppedBy.WORK, effort)
    bound = search.bound
    if found is None:
        bound = known if goal is None else goal
    return _settled(found, bound, BASIS if bound > known else "", effort)


def _fits_somewhere(
    problem: BoardProblem, part: BoardPart, layers: Mapping[str, int]
) -> bool:
    """Tell whether a board takes one part."""
    rough = problem.longest_rough
    for stock in problem.stock:
        if not layers.get(stock.section, 0) or stock.limit == 0:
            continue
        if part.length > stock.length or part.width > stock.width:
            continue
        if rough is None or part.length <= rough or part.width == stock.width:
            return True
    return False


def _settled(
    found: Found | None, bound: int, basis: str, effort: Effort
) -> ExactBoards:
    return ExactBoards(
        boards=None if found is None else found.boards,
        cost=None if found is None else found.cost,
        lower_bound=bound,
        is_settled=True,
        basis=basis,
        stopped_by=StoppedBy.PROOF,
        effort=effort.units,
    )


def _open(
    bound: int,
    basis: str,
    why: StoppedBy,
    effort: Effort,
    found: Found | None = None,
) -> ExactBoards:
    settled = _settled(found, bound, basis, effort)
    return replace(settled, is_settled=False, stopped_by=why)


def prepare_small() -> None:
    """Run every kernel for small jobs once, compiled if that is possible."""
    exact_boards(tiny_problem(), known=0, goal=None, most_work=1_000)
    if may_compile():
        mark_complete(SMALL_KERNELS)
