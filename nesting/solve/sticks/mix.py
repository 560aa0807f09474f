"""Which sticks to buy: the cheapest mix that no price of the parts forbids.

Problem: with several sizes the linear bound is loose, since it buys fractions of
sticks. Method: logic-based Benders decomposition (Hooker and Ottosson, Mathematical
Programming 96, 2003, 33-60). A master in whole numbers n_k of sticks keeps, for every
weighing v met,

    sum over k of f_k(v) n_k >= v.d       (f_k: the most a stick of size k holds of v)

which every plan obeys, whatever the costs. Its cheapest mix is handed to `place_all`:
either the parts fit, and the mix is optimal; or their prices give a row that the mix
breaks; or no answer is found in time, and the mix is set aside: no bound then goes
above what was known of its cost. Guarantee: the bound is rigorous, all rows being whole
numbers rounded on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from nesting.solve.sticks.bounds import may_save_sticks
from nesting.solve.sticks.columns import Weighing
from nesting.solve.sticks.core import weigh_plan
from nesting.solve.sticks.greedy import filled_plans, first_plan
from nesting.solve.sticks.place import place_all
from nesting.solve.sticks.search import Search
from nesting.solve.sticks.standing import UNITS_PER_EFFORT, Standing

if TYPE_CHECKING:
    from nesting.solve.sticks.core import Core
    from nesting.solve.sticks.standing import Meter

BY_MIX = "every cheaper mix of sizes ruled out"

MOST_MIXES = 60
"""Mixes that are looked into."""
MOST_ASIDE = 6
"""Mixes set aside without an answer before the search moves on."""
SAVING_ZEAL = 0.1
MOST_ASIDE_SAVING = 2
"""The same, and the share of the effort, where only sticks are to be saved."""
MOST_ROWS = 100
"""Rows that are minded at a time, the latest ones."""
LARGEST = 1_000_000_000
"""Right-hand sides are scaled down to about this."""
EFFORT = 1.0


@dataclass(slots=True)
class Mixes:
    """The master: which numbers of sticks are still possible."""

    core: Core
    rows: dict[tuple[tuple[int, ...], int], None] = field(default_factory=dict)
    """(coefficient by size, right-hand side)."""
    aside: list[tuple[int, ...]] = field(default_factory=list)
    """Mixes of which, and of whose parts, nothing more is to be looked into."""

    def add(self, weighing: Weighing) -> None:
        """Add the row of a weighing, rounded on the safe side."""
        wanted = sum(
            v * d for v, d in zip(weighing.values, self.core.demands, strict=True)
        )
        down = max(1, wanted // LARGEST)
        if wanted:
            row = tuple(-(-most // down) for most in weighing.most)
            self.rows[row, wanted // down] = None

    def breaks(self, mix: tuple[int, ...]) -> bool:
        """Return whether some row forbids a mix; such rows become the latest."""
        broken = [
            (row, wanted)
            for row, wanted in self.rows
            if sum(f * n for f, n in zip(row, mix, strict=True)) < wanted
        ]
        for key in broken[-MOST_ROWS:]:
            del self.rows[key]
            self.rows[key] = None
        return bool(broken)

    def cheapest(
        self, meter: Meter, *, least: int, most: int, seed: int, zeal: float = 1.0
    ) -> tuple[tuple[int, ...] | None, int | None]:
        """Return the cheapest mix at a cost between two bounds, and a bound on it.

        Returns
        -------
        tuple
            The mix, None where none was found; and a cost that no mix allowed goes
            below, None where it is certain that there is no mix at all.
        """
        from ortools.sat.python import cp_model

        model, core = cp_model.CpModel(), self.core
        mix = [model.new_int_var(0, size.limit, "") for size in core.sizes]
        for row, wanted in list(self.rows)[-MOST_ROWS:]:
            model.add(cp_model.LinearExpr.weighted_sum(mix, row) >= wanted)
        # Of some size there must be more than in each mix set aside.
        for other in self.aside:
            more = []
            for n, count, size in zip(mix, other, core.sizes, strict=True):
                if count < size.limit:
                    more.append(model.new_bool_var(""))
                    model.add(n >= count + 1).only_enforce_if(more[-1])
            model.add_bool_or(more)
        step = core.step
        costs = [size.cost // step for size in core.sizes]
        cost = cp_model.LinearExpr.weighted_sum(mix, costs)
        model.add(cost >= -(-least // step))
        model.add(cost <= most // step)
        model.minimize(cost)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = seed % (1 << 31)
        solver.parameters.max_deterministic_time = EFFORT * zeal
        solver.parameters.catch_sigint_signal = False
        seconds = meter.seconds_left()
        if seconds is not None:
            solver.parameters.max_time_in_seconds = max(0.01, seconds)
        status = solver.solve(model)
        meter.spend(20 + int(solver.deterministic_time * UNITS_PER_EFFORT))
        if status == cp_model.INFEASIBLE:
            return None, None
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None, least
        found = tuple(solver.value(n) for n in mix)
        if status == cp_model.OPTIMAL:
            return found, _cost(core, found)
        return found, least


def save_sticks(search: Search) -> None:
    """Look for fewer sticks at the same cost, where that is possible at all.

    The mixes are run through again, at costs that count a stick as the smallest part of
    a cent.
    """
    core, plan = search.core, search.standing.plan
    if not may_save_sticks(core, plan.cost, plan.sticks):
        return
    many = core.pieces + 1
    fine = core.priced(tuple(size.cost * many + 1 for size in core.sizes))
    standing = Standing(fine, weigh_plan(fine, list(plan.cuts)))
    standing.raise_bound(search.standing.bound * many, BY_MIX)
    aside = replace(search, core=fine, standing=standing, zeal=SAVING_ZEAL)
    try:
        settle_mix(aside, most_aside=MOST_ASIDE_SAVING)
    finally:
        search.offer(list(standing.plan.cuts))


def settle_mix(search: Search, most_aside: int = MOST_ASIDE) -> None:
    """Raise the bound mix by mix until one is cut, or too many stay without an answer.

    Parameters
    ----------
    search
        Its standing holds a full plan; its weighings give the first rows.
    most_aside
        How many mixes may stay without an answer before it gives up.
    """
    core, standing = search.core, search.standing
    mixes = Mixes(core)
    rooms = tuple(size.room for size in core.sizes)
    mixes.add(Weighing(scale=1, values=core.weights, most=rooms))
    used = 0
    lowest_aside: int | None = None
    for turn in range(MOST_MIXES):
        for weighing in search.weighings[used:]:
            mixes.add(weighing)
        used = len(search.weighings)
        most = standing.plan.cost - core.step
        mix, least = mixes.cheapest(
            search.meter,
            least=standing.bound,
            most=most,
            seed=search.seed + turn,
            zeal=search.zeal,
        )
        if least is None:
            least = standing.plan.cost
        standing.raise_bound(
            least if lowest_aside is None else min(least, lowest_aside), BY_MIX
        )
        if mix is None or standing.is_proven():
            return
        search.meter.check()
        settled = _try(search, mix)
        if standing.is_proven():
            return
        for weighing in search.weighings[used:]:
            mixes.add(weighing)
        used = len(search.weighings)
        if mixes.breaks(mix):
            continue
        mixes.aside.append(mix)
        if not settled:
            # With it goes all it contains, and what is cheaper than it has been ruled
            # out only below `least`: the master may have stopped short of the cheapest.
            lowest_aside = least if lowest_aside is None else min(least, lowest_aside)
            if len(mixes.aside) > most_aside:
                return


def _try(search: Search, mix: tuple[int, ...]) -> bool:
    """Try to cut every piece from a mix; return whether that was settled."""
    core = search.core
    sizes = tuple(
        replace(size, limit=n, endless=False)
        for size, n in zip(core.sizes, mix, strict=True)
    )
    given = replace(core, sizes=sizes)
    standing = Standing(given, first_plan(given))
    for plan in filled_plans(given):
        search.meter.check()
        standing.offer(plan)
        if standing.is_full():
            break
    sub = Search(
        core=given,
        pricer=search.pricer,
        meter=search.meter,
        standing=standing,
        seed=search.seed,
        rounds=1,
        dives=6,
        zeal=search.zeal,
        met=search.met,
    )
    try:
        settled = standing.is_full() or place_all(sub)
    finally:
        if standing.is_full():
            search.offer(list(standing.plan.cuts))
    search.met = sub.met
    search.weighings += sub.weighings
    return settled


def _cost(core: Core, mix: tuple[int, ...]) -> int:
    return sum(size.cost * n for size, n in zip(core.sizes, mix, strict=True))
