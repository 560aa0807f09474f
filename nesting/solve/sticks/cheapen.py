"""The cheapest plan that places every piece: bounds, dives, choices, complete search.

Problem: least cost of sticks that hold every piece. Method, until value and bound meet:
the linear bound over all patterns; dives from it; CP-SAT over the patterns met; and,
where few enough patterns can take part in a better plan, CP-SAT over *all* of those,
which proves the optimum. Guarantee: the bound holds at every moment, and the plan keeps
rooms and limits; nothing is said of how near they come.
"""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from nesting.solve.sticks.integer import Aim, Offer
from nesting.solve.sticks.master import Master
from nesting.solve.sticks.mix import settle_mix
from nesting.solve.sticks.search import (
    COMPLETE_EFFORT,
    FIRST_EFFORT,
    POOL,
)

if TYPE_CHECKING:
    from fractions import Fraction

    from nesting.solve.sticks.search import Search

BY_PATTERNS = "linear program over cutting patterns"
BY_SEARCH = "complete search"


def cheapen(search: Search) -> None:
    """Lower the cost of a plan that places every piece, and raise the bound.

    Parameters
    ----------
    search
        Its standing holds such a plan, and is changed.
    """
    core, standing = search.core, search.standing

    def too_dear(cost: Fraction) -> bool:
        return ceil(cost / core.step) * core.step >= standing.plan.cost

    master = Master(core)
    master.add((cut.size, cut.fill) for cut in standing.plan.cuts)
    master.add(search.met)
    # With one size nothing but the bound, rounded up, is wanted of the first round.
    step = core.step if len(core.sizes) == 1 else None
    root = search.relax(core, master, standing.plan.cost - core.step, step)
    if root is None:
        return
    standing.raise_bound(root.bound, BY_PATTERNS)
    standing.tell(0.2)
    if len(core.sizes) > 1 and not standing.is_proven():
        search.dive(
            core,
            master,
            root,
            0,
            enough=standing.is_proven,
            too_dear=too_dear,
            most=1,
        )
        if not standing.is_proven():
            settle_mix(search)
    better: Offer | None = None
    listed = standing.plan.cost
    for turn in range(search.rounds):
        if standing.is_proven():
            return
        search.dive(
            core, master, root, turn, enough=standing.is_proven, too_dear=too_dear
        )
        if standing.is_proven():
            return
        most_cost = standing.plan.cost - core.step
        if better is None and most_cost < listed:
            listed = most_cost
            root = search.relax(core, master) or root
            standing.raise_bound(root.bound, BY_PATTERNS)
            better = search.list_better(core, root.weighing, most_cost)
        if better is not None:
            effort = COMPLETE_EFFORT * 2**turn
            if search.choose(Aim.COST, better, effort, turn).is_final:
                standing.raise_bound(standing.plan.cost, BY_SEARCH)
                return
        some = Offer(columns=master.columns[-POOL:])
        search.choose(Aim.COST, some, FIRST_EFFORT * 2**turn, turn)
        standing.tell((turn + 1) / search.rounds)
