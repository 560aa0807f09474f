"""The solver's door: one problem in, one result out.

Each group of blanks and stock that share nothing with the others is solved apart,
sheets by the search over cutting trees, sticks and boards by patterns; the results are
put side by side.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.model.problem import Budget, Problem
from nesting.model.result import Bound, Chosen, Result
from nesting.model.terms import Form
from nesting.solve.blemished import has_blemish, solve_blemished
from nesting.solve.board_group import solve_board_group
from nesting.solve.choose import Choice, choose_builds, has_choice
from nesting.solve.cut_around import solve_cut_around
from nesting.solve.groups import Group, group
from nesting.solve.shares import share_of, what_ended
from nesting.solve.sheet_group import solve_sheet_group
from nesting.solve.solved import Solved
from nesting.solve.stick_group import solve_stick_group
from nesting.solve.ways_to_pieces import needs_cutting

CHOOSING = 0.3
"""The share of the budget that choosing among builds may take."""
NOTHING_TO_BUY = "nothing has to be bought"

_SOLVERS = {
    Form.SHEET: solve_sheet_group,
    Form.STICK: solve_stick_group,
    Form.BOARD: solve_board_group,
}


def solve(problem: Problem, budget: Budget) -> Result:
    """Lay every blank out on stock, as cheaply as can be found.

    Parameters
    ----------
    problem
        Needs with the builds to choose from, the stock and the saws.
    budget
        How long the search may go on. Its work is shared among the groups of sheets by
        the number of their blanks, and so is the time that is left.

    Returns
    -------
    Result
        With whatever could not be placed listed, never raised.
    """
    budget, choice = _choose(problem, budget)
    problem = choice.problem
    groups = group(problem)
    solved: list[Solved] = []
    weights = [_weight(each) for each in groups]
    for number, each in enumerate(groups):
        share = weights[number] / sum(weights[number:])
        slice_ = replace(
            share_of(budget, 1, share),
            work=max(1, budget.work * weights[number] // sum(weights)),
        )
        solved.append(_solve_group(each, problem, slice_))
    return Result(
        chosen=tuple(
            Chosen(need=n.id, build=n.builds[0].id, quantity=n.quantity)
            for n in problem.needs
        ),
        trees=tuple(tree for one in solved for tree in one.trees),
        unplaced=tuple(miss for one in solved for miss in one.unplaced),
        bounds=tuple(
            _bound(each, one, choice) for each, one in zip(groups, solved, strict=True)
        ),
        stopped_by=what_ended(one.stopped_by for one in solved),
        work=choice.work + sum(one.work for one in solved),
        notes=choice.notes + tuple(note for one in solved for note in one.notes),
    )


def _solve_group(each: Group, problem: Problem, budget: Budget) -> Solved:
    if any(has_blemish(stock) for stock in each.stock):
        return solve_blemished(each, problem, budget, _solve_marked)
    return _solve_marked(each, problem, budget)


def _solve_marked(each: Group, problem: Problem, budget: Budget) -> Solved:
    """Solve a group to whose blanks every zone of the stock is damage."""
    solver = _SOLVERS[each.form]
    if each.form is not Form.SHEET and any(
        needs_cutting(stock, problem) for stock in each.stock
    ):
        return solve_cut_around(each, problem, budget, solver)
    return solver(each, problem, budget)


def _choose(problem: Problem, budget: Budget) -> tuple[Budget, Choice]:
    """Choose the builds, if there is a choice, and return what is left to spend."""
    if not has_choice(problem):
        return budget, Choice(problem=problem)
    own = share_of(budget, CHOOSING, CHOOSING)
    choice = choose_builds(problem, own, _solve_group)
    left = replace(budget, work=max(1, budget.work - choice.work))
    return left, choice


def _weight(each: Group) -> int:
    quantity = sum(demand.quantity for demand in each.demands)
    return quantity if each.form is Form.STICK else 4 * quantity


def _bound(each: Group, one: Solved, choice: Choice) -> Bound:
    met = one.value == one.lower_bound and not one.unplaced
    basis = one.basis if one.value or not met else NOTHING_TO_BUY
    searched = basis.startswith("search")
    if met and one.value and one.certificate is None and not searched:
        basis = f"search: {basis}"
    chosen = choice.parts.intersection(d.blank.part for d in each.demands)
    if chosen and one.value:
        basis += ", for the builds chosen"
    return Bound(
        material=each.material,
        section=each.section,
        sections=each.sections,
        objective=each.objective,
        value=one.value,
        lower_bound=min(one.lower_bound, one.value)
        if one.unplaced
        else one.lower_bound,
        proven=met,
        basis=basis,
        certificate=one.certificate,
    )
