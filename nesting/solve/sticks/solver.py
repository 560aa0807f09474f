"""The door of the stick solver: from a problem to an answer.

Quick plans and quick bounds first; the search only where they do not meet. Plans are
made with the widest kerf, the bound with the narrowest: where the two differ, the
problem is solved once more with the narrow one, for its bound alone.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nesting.model.terms import StoppedBy
from nesting.solve.sticks.bounds import cover_cost, may_save_sticks, sticks_needed
from nesting.solve.sticks.core import (
    name_missing,
    name_patterns,
    name_weights,
    reduce_problem,
    weigh_plan,
)
from nesting.solve.sticks.greedy import filled_plans, first_plan
from nesting.solve.sticks.problem import StickAnswer
from nesting.solve.sticks.sampled import pays_to_sample, sampled_plan
from nesting.solve.sticks.standing import Meter, Standing, Stopped
from nesting.solve.sticks.threes import full_threes, may_be_threes

if TYPE_CHECKING:
    from nesting.model.problem import Budget
    from nesting.solve.sticks.columns import Weighing
    from nesting.solve.sticks.core import Core, Plan, Reduction
    from nesting.solve.sticks.problem import StickProblem

BY_LENGTH = "total length"
BY_SHARES = "dual feasible functions"
SAMPLED_PLANS = 2
"""Plans of fills drawn by chance that are tried before columns are generated."""
MOST_WEIGHINGS = 100
"""Of the latest that are kept for a certificate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a solve with one kerf came to."""

    reduction: Reduction
    plan: Plan
    bound: int
    basis: str
    stopped_by: StoppedBy
    weighings: tuple[Weighing, ...] = ()
    """The prices that linear programs came by, the best and the latest first."""


def solve_sticks(
    problem: StickProblem, *, seed: int, budget: Budget, scope: str = ""
) -> StickAnswer:
    """Return the cheapest plan found for the sticks, and how good it can be at best.

    Parameters
    ----------
    problem
        Parts and stock of one section; lengths in ticks.
    seed
        Varies what is left to chance; equal seeds give equal answers.
    budget
        The leave. Its work counts tenths of a millisecond, roughly; its deadline and
        its wish to cancel are looked at between iterations. Ctrl-C ends the search too,
        and the best plan so far is returned.
    scope
        The name under which progress is told.

    Returns
    -------
    StickAnswer
        Patterns that keep every limit. What is `unplaced` is too long for any stick, or
        what the limits leave no room for: then the greatest length found is placed. The
        bound is about the parts that fit some stick.
    """
    meter = Meter(budget)
    main = bounding = _solve(
        problem, seed=seed, budget=budget, meter=meter, scope=scope
    )
    bound, basis = main.bound, main.basis
    stopped_by, work = main.stopped_by, 0
    if problem.least_kerf < problem.kerf:
        narrow = replace(problem, kerf=problem.least_kerf)
        quiet = budget.quiet()
        if stopped_by is StoppedBy.CANCELLED:
            work, meter = meter.work, Meter(replace(budget, work=0))
        other = _solve(narrow, seed=seed, budget=quiet, meter=meter, scope=scope)
        bounding = other
        bound, basis = other.bound, f"{other.basis}, at the narrowest kerf"
        if stopped_by is StoppedBy.PROOF and bound < main.plan.cost:
            stopped_by = (
                StoppedBy.WORK
                if other.stopped_by is StoppedBy.PROOF
                else other.stopped_by
            )
    return StickAnswer(
        patterns=name_patterns(main.reduction, main.plan),
        unplaced=name_missing(main.reduction, main.plan),
        cost=main.plan.cost,
        lower_bound=bound,
        basis=basis,
        stopped_by=stopped_by,
        work=work + meter.work,
        duals=name_weights(
            bounding.reduction, [each.values for each in bounding.weighings], problem
        ),
    )


def _solve(
    problem: StickProblem, *, seed: int, budget: Budget, meter: Meter, scope: str
) -> Outcome:
    """Return what comes of a problem whose bound may assume its own kerf."""
    reduction = reduce_problem(problem)
    core = reduction.core
    if not core.pieces:
        nothing = weigh_plan(core, [])
        return Outcome(
            reduction=reduction,
            plan=nothing,
            bound=0,
            basis="there is nothing to cut",
            stopped_by=StoppedBy.PROOF,
        )
    standing = Standing(core, first_plan(core), scope=scope, progress=budget.progress)
    standing.tell(0.0)
    stopped_by = StoppedBy.WORK
    weighings: list[Weighing] = []
    try:
        if _search(standing, meter, seed, weighings):
            stopped_by = StoppedBy.PROOF
    except Stopped as stop:
        stopped_by = stop.reason
    except KeyboardInterrupt:
        stopped_by = StoppedBy.CANCELLED
    if standing.is_proven():
        stopped_by = StoppedBy.PROOF
    standing.tell(1.0)
    return Outcome(
        reduction=reduction,
        plan=standing.plan,
        bound=standing.bound,
        basis=standing.basis,
        stopped_by=stopped_by,
        weighings=_best_of(core, weighings),
    )


def _is_settled(standing: Standing) -> bool:
    """Tell whether nothing costs less, nor as little with fewer sticks."""
    plan = standing.plan
    return standing.is_proven() and not may_save_sticks(
        standing.core, plan.cost, plan.sticks
    )


def _may_be_sampled(standing: Standing) -> bool:
    """Tell whether nearly full sticks drawn by chance may meet the bound soonest."""
    core = standing.core
    return (
        len(core.sizes) == 1
        and core.sizes[0].endless
        and core.sizes[0].cost > 0
        and pays_to_sample(core)
        and standing.is_full()
        and not standing.is_proven()
    )


def _best_of(core: Core, weighings: list[Weighing]) -> tuple[Weighing, ...]:
    """Return the weighing that proves most by itself, and the latest before others."""
    limits = [size.limit for size in core.sizes]
    latest = weighings[: -MOST_WEIGHINGS - 1 : -1]
    best = max(
        weighings,
        key=lambda each: each.bound(core, core.demands, limits),
        default=None,
    )
    return () if best is None else (best, *latest)


def _search(
    standing: Standing, meter: Meter, seed: int, weighings: list[Weighing]
) -> bool:
    """Improve plan and bound until done; say whether nothing better exists.

    Every weighing that a linear program comes by is added to `weighings`.
    """
    core = standing.core
    covered = cover_cost(core)
    if covered is None:
        standing.basis = "the sticks to be had are not as long together as the parts"
    else:
        standing.raise_bound(covered, BY_LENGTH)
        if len(core.sizes) == 1 and not standing.is_proven():
            needed = sticks_needed(core, standing.plan.sticks) * core.sizes[0].cost
            standing.raise_bound(needed, BY_SHARES)
    meter.check()
    if _is_settled(standing):
        return True
    for plan in filled_plans(core):
        standing.offer(plan)
        meter.spend(1 + core.pieces // 10)
        meter.check()
    if _is_settled(standing):
        return True
    if may_be_threes(core) and not standing.is_proven():
        threes = full_threes(core, meter, seed)
        if threes is not None:
            standing.offer(weigh_plan(core, threes))
            if standing.is_proven():
                return True
    if _may_be_sampled(standing):
        rng = random.Random(f"{seed} sampled")
        goal = -(-standing.bound // core.sizes[0].cost)
        for _ in range(SAMPLED_PLANS):
            before = standing.plan.sticks
            standing.offer(weigh_plan(core, sampled_plan(core, goal, meter, rng)))
            if standing.is_proven():
                return True
            if standing.plan.sticks <= goal + 1 < before:
                break  # perhaps it is the bound that is not good enough yet
    # Only what is not settled yet needs the numeric libraries.
    from nesting.solve.sticks.cheapen import cheapen
    from nesting.solve.sticks.knapsack import Pricer
    from nesting.solve.sticks.mix import save_sticks
    from nesting.solve.sticks.place import place_all, place_most
    from nesting.solve.sticks.search import Search

    search = Search(
        core=core,
        pricer=Pricer(core),
        meter=meter,
        standing=standing,
        seed=seed,
        weighings=weighings,
    )
    if not standing.is_full():
        place_all(search)
    if not standing.is_full():
        is_most = place_most(search)
        if is_most:
            standing.basis += "; by complete search no more can be placed"
        return is_most
    if not standing.is_proven():
        cheapen(search)
    save_sticks(search)
    return standing.is_proven()
