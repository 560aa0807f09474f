"""Whole sticks chosen among given fills, by a constraint solver that can prove.

Problem: min sum c_j x_j, x whole, with sum_j a_ij x_j >= d_i and the limits. Method:
CP-SAT with one worker, a fixed seed and deterministic time, so that two runs are the
same. Guarantee: with `is_final` the answer is right for the fills given (and so for the
problem, where they are all that a better plan could use); else only the plan counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from nesting.solve.sticks.core import Cut
from nesting.solve.sticks.standing import UNITS_PER_EFFORT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ortools.sat.python import cp_model

    from nesting.solve.sticks.core import Core, Fill
    from nesting.solve.sticks.standing import Meter


class Aim(Enum):
    """What a choice makes least."""

    COST = "cost"
    """The cost of the sticks."""
    STICKS = "sticks"
    """The number of sticks."""
    ANY = "any"
    """Nothing: the first choice will do."""
    LOSS = "loss"
    """The length of what is not placed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What there is to choose from."""

    columns: Sequence[tuple[int, Fill]]
    """(size, fill) pairs, each once."""
    loose: tuple[tuple[int, int], ...] = ()
    """(size, how many) sticks that may be filled in any way, besides the columns."""
    surplus: tuple[int, ...] | None = None
    """How many pieces too many of each part a plan can make, if known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What the solver said."""

    cuts: list[Cut] | None
    """The best choice found; None where none was."""
    is_final: bool
    """Whether there is no better choice (with cuts), or none at all (without)."""


def choose(
    core: Core,
    offer: Offer,
    meter: Meter,
    *,
    aim: Aim,
    effort: float,
    seed: int,
    most_cost: int | None = None,
    least_cost: int = 0,
    most_loss: int = 0,
) -> Choice:
    """Return the best choice of whole sticks among those offered.

    Parameters
    ----------
    core, offer
        The problem, and the sticks to choose from.
    meter
        Pays for the work, gives the outer limit.
    aim
        What to make least.
    effort
        Deterministic time, about seconds.
    seed
        Of the solver.
    most_cost, least_cost
        Bounds on the cost, if any is known or wanted.
    most_loss
        The length that may be left out, in ticks; free where that is the aim.
    """
    from ortools.sat.python import cp_model

    model = _Model(cp_model.CpModel(), core, offer)
    loss = model.cover(may_miss=aim is Aim.LOSS or most_loss > 0)
    model.limit()
    step = core.step
    cost = model.cost(step)
    if aim is not Aim.LOSS:
        model.bare.add(loss <= most_loss)
    if most_cost is not None:
        model.bare.add(cost <= most_cost // step)
    if least_cost and not most_loss:
        model.bare.add(cost >= -(-least_cost // step))
    if aim is Aim.COST:
        model.bare.minimize(cost)
    elif aim is Aim.STICKS:
        model.bare.minimize(model.sticks())
    elif aim is Aim.LOSS:
        model.bare.minimize(loss)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed % (1 << 31)
    solver.parameters.max_deterministic_time = min(
        effort, meter.left() / UNITS_PER_EFFORT
    )
    solver.parameters.catch_sigint_signal = False
    seconds = meter.seconds_left()
    if seconds is not None:
        solver.parameters.max_time_in_seconds = max(0.01, seconds)
    status = solver.solve(model.bare)
    meter.spend(1 + int(solver.deterministic_time * UNITS_PER_EFFORT))
    if status == cp_model.INFEASIBLE:
        return Choice(cuts=None, is_final=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Choice(cuts=None, is_final=False)
    return Choice(cuts=model.cuts(solver), is_final=status == cp_model.OPTIMAL)


class _Model:
    """The variables and the families of constraints."""

    def __init__(self, bare: cp_model.CpModel, core: Core, offer: Offer) -> None:
        self.bare = bare
        self.core = core
        self.offer = offer
        self.uses = [
            bare.new_int_var(
                0,
                min(
                    core.sizes[k].limit, max(-(-core.demands[i] // n) for i, n in fill)
                ),
                "",
            )
            for k, fill in offer.columns
        ]
        self.taken: list[tuple[int, cp_model.IntVar]] = []
        self.inside: list[list[cp_model.IntVar]] = []
        for k, copies in offer.loose:
            for copy in range(copies):
                self._add_loose(k, is_first=not copy)

    def _add_loose(self, k: int, *, is_first: bool) -> None:
        """Add a stick that takes any pieces its room allows."""
        room, core = self.core.sizes[k].room, self.core
        taken = self.bare.new_bool_var("")
        inside = [
            self.bare.new_int_var(0, min(demand, room // weight), "")
            for weight, demand in zip(core.weights, core.demands, strict=True)
        ]
        weight = sum(w * n for w, n in zip(core.weights, inside, strict=True))
        self.bare.add(weight <= room * taken)
        if not is_first:
            # Equal sticks are used in order, the fuller first.
            before = sum(
                w * n for w, n in zip(core.weights, self.inside[-1], strict=True)
            )
            self.bare.add(before >= weight)
        self.taken.append((k, taken))
        self.inside.append(inside)

    def cover(self, *, may_miss: bool) -> cp_model.LinearExprT:
        """Have every piece made, or else missed; return the length that is missed."""
        made: list[list[cp_model.LinearExprT]] = [[] for _ in self.core.demands]
        for use, (_, fill) in zip(self.uses, self.offer.columns, strict=True):
            for i, n in fill:
                made[i].append(n * use)
        for inside in self.inside:
            for i, count in enumerate(inside):
                made[i].append(count)
        missed = []
        for i, demand in enumerate(self.core.demands):
            if may_miss:
                miss = self.bare.new_int_var(0, demand, "")
                made[i].append(miss)
                missed.append(self.core.lengths[i] * miss)
            self.bare.add(sum(made[i]) >= demand)
            if self.offer.surplus is not None:
                self.bare.add(sum(made[i]) <= demand + self.offer.surplus[i])
        return sum(missed)

    def limit(self) -> None:
        """Allow no more sticks of a size than can be had."""
        for k, size in enumerate(self.core.sizes):
            if not size.endless:
                self.bare.add(
                    sum(use for of, use in self._sticks() if of == k) <= size.limit
                )

    def cost(self, step: int) -> cp_model.LinearExprT:
        """Return what the sticks cost, in steps."""
        return sum(self.core.sizes[k].cost // step * use for k, use in self._sticks())

    def sticks(self) -> cp_model.LinearExprT:
        """Return how many sticks are used."""
        return sum(use for _, use in self._sticks())

    def _sticks(self) -> list[tuple[int, cp_model.IntVar]]:
        sizes = [k for k, _ in self.offer.columns]
        return [*zip(sizes, self.uses, strict=True), *self.taken]

    def cuts(self, solver: cp_model.CpSolver) -> list[Cut]:
        """Return the sticks that were chosen."""
        cuts = [
            Cut(k, fill, times)
            for use, (k, fill) in zip(self.uses, self.offer.columns, strict=True)
            if (times := solver.value(use))
        ]
        for (k, _), inside in zip(self.taken, self.inside, strict=True):
            fill = tuple(
                (i, n) for i, use in enumerate(inside) if (n := solver.value(use))
            )
            if fill:
                cuts.append(Cut(k, fill, 1))
        return cuts
