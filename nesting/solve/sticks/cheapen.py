"""The cheapest plan that places every piece: bounds, dives, choices, complete search.

Problem: least cost of sticks that hold every piece. Method, until value and bound meet:
the linear bound over all patterns; dives from it; CP-SAT over the patterns met; and,
where few enough patterns can take part in a better plan, CP-SAT over *all* of those,
which proves the optimum. With one size, branch and bound looks for a plan among them
first, after a single dive already: it finds what CP-SAT, or more dives, take long for;
each round begins anew by another seed. Guarantee: the
bound holds at every moment, and the plan keeps rooms and limits; nothing is said of how
near they come.
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
    is_of_one_size,
)

if TYPE_CHECKING:
    from fractions import Fraction

    from nesting.solve.sticks.search import Search

BY_PATTERNS = "linear program over cutting patterns"
BY_SEARCH = "complete search"

SHORT_EFFORT = 0.1
"""CP-SAT's effort on a complete list in the short round that comes first."""
PICKING_NODES = 150
MORE_NODES = 3
MOST_OFTEN = 3
"""Nodes of branch and bound on a complete list; how many times more in every round, and
in how many rounds."""
MOST_PICKED = 3_000
"""Patterns that branch and bound takes on."""


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
    is_one = is_of_one_size(core)
    better: Offer | None = None
    listed = standing.plan.cost
    is_pickable = False
    rounds = search.rounds + int(is_one)
    for turn in range(rounds):
        if standing.is_proven():
            return
        is_short = is_one and not turn
        power = 2 ** max(0, turn - is_one)
        search.dive(
            core,
            master,
            root,
            turn,
            enough=standing.is_proven,
            too_dear=too_dear,
            most=1 if is_short or is_pickable else None,
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
            is_pickable = (
                is_one and not better.loose and len(better.columns) <= MOST_PICKED
            )
            if is_pickable:
                cuts = search.pick(
                    core,
                    better.columns,
                    most_cost,
                    nodes=PICKING_NODES * MORE_NODES ** min(turn, MOST_OFTEN),
                    turn=turn,
                )
                if cuts is not None:
                    search.offer(cuts)
                    continue
            effort = SHORT_EFFORT if is_short else COMPLETE_EFFORT * power
            if search.choose(Aim.COST, better, effort, turn).is_final:
                standing.raise_bound(standing.plan.cost, BY_SEARCH)
                return
        if not is_short:
            some = Offer(columns=master.columns[-POOL:])
            search.choose(Aim.COST, some, FIRST_EFFORT * power, turn)
        standing.tell((turn + 1) / rounds)
