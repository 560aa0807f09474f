"""The sheets of one material laid out again, by another taste than the first time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.model.problem import Budget, Problem
from nesting.model.result import CutStock
from nesting.model.terms import Form, Prefer
from nesting.solve.groups import group
from nesting.solve.meter import Meter
from nesting.solve.reach import ways_to_cut
from nesting.solve.runs import cut_up, rows_of
from nesting.solve.sheet_group import sheet_question
from nesting.solve.sheet_ways import needs_cutting
from nesting.solve.sheets.ease import sheets_again

_HARD = 10
"""How much more settings and cuts count where a sheet is spent on them."""
_SIMPLE = (3, 2)
"""Stages of sheets that are simple to cut: strips, parts, and what is cut off them."""
_EACH = 2
"""Searches under each limit of stages."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """Other sheets for the same blanks."""

    trees: tuple[CutStock, ...]
    value: int
    """Their cost, in the objective of the material's bound."""


def lay_out_again(
    problem: Problem,
    used: Sequence[str],
    *,
    prefer: Prefer,
    one_more: bool,
    budget: Budget,
) -> list[Again]:
    """Lay out the sheets of one material again, for as much or for one sheet more.

    Parameters
    ----------
    problem
        Of one material, its needs with one build each.
    used
        The ids of the stock that a plan takes, one for each piece.
    prefer
        What matters; fewer sheets do not.
    one_more
        Whether it may cost as much more as the dearest of the sheets used.
    budget
        The search ends by itself; one that the budget cuts short gives nothing.

    Returns
    -------
    list of Again
        A few to choose from, the likeliest first: how often something is set is known
        only when the cuts are in order. None where nothing was found, or where the
        sheets are damaged or cut at the store.
    """
    (each,) = group(problem)
    if each.form is not Form.SHEET or any(
        needs_cutting(stock, problem.haul_sheet) for stock in each.stock
    ):
        return []
    thickness = max(demand.blank.thickness for demand in each.demands)
    ways = ways_to_cut(problem.saws, Form.SHEET, thickness)
    question = sheet_question(each, replace(problem, prefer=prefer), ways)
    goal = question.goal
    if goal is not None and one_more:
        goal = replace(goal, setting=_HARD * goal.setting, cut=_HARD * goal.cut)
    costs = {stock.id: each.cost(stock) for stock in each.stock}
    taken = [costs[name] for name in used]
    most = problem.stages
    limits: tuple[int | None, ...] = (most, most)
    if prefer is Prefer.SETTINGS:
        limits = tuple(s for s in _SIMPLE if most is None or s < most) or limits
        if not one_more:
            limits = (most, limits[0])
        limits *= _EACH
    found = sheets_again(
        replace(question, goal=goal),
        enough=sum(taken) + (max(taken) if one_more else 0),
        stages=limits,
        seed=problem.seed,
        meter=Meter(budget, each.name),
    )
    rows = {row.name: row for row in rows_of(each)}
    return [
        Again(
            trees=tuple(
                CutStock(stock=stock, tree=cut_up(tree, rows)) for stock, tree in sheets
            ),
            value=cost,
        )
        for sheets, cost in found
    ]
