"""Whole plans out of the linear master: round down, complete, fix one more, go on.

Problem: whole numbers of sticks near a fractional optimum. Method: a dive (sequential
rounding with column generation on what is left; see Waescher and Gau, OR Spektrum 18,
1996, 131-144, for the residual heuristics). After each fixing the pieces left are
completed by the fullest-stick and best-fit rules, so every step gives a plan.
Guarantee: none (heuristic).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nesting.solve.sticks.columns import generate
from nesting.solve.sticks.core import Cut
from nesting.solve.sticks.greedy import fill_fullest, fit_decreasing

if TYPE_CHECKING:
    import random
    from collections.abc import Callable
    from fractions import Fraction

    from nesting.solve.sticks.columns import Root
    from nesting.solve.sticks.core import Core
    from nesting.solve.sticks.knapsack import Pricer
    from nesting.solve.sticks.master import Master
    from nesting.solve.sticks.standing import Meter

NEARLY = 1e-6
"""How far below a whole number a fraction still counts as that number."""
SHRUNK = 0.9
"""With one size, what is left is completed anew when it is this part of before."""


@dataclass(slots=True)
class Dive:
    """One descent from the root: what is fixed, and what is left to do."""

    core: Core
    left: list[int]
    limits: list[int]
    fixed: list[Cut] = field(default_factory=list)
    cost: int = 0

    def fix(self, size: int, fill: tuple[tuple[int, int], ...], times: int) -> int:
        """Fix as many of these sticks as pieces and limits allow; return how many."""
        most = min(times, self.limits[size], *(self.left[i] // n for i, n in fill))
        if most > 0:
            self.fixed.append(Cut(size, fill, most))
            self.cost += most * self.core.sizes[size].cost
            self.limits[size] -= most
            for i, n in fill:
                self.left[i] -= n * most
        return most


def dive(
    core: Core,
    master: Master,
    pricer: Pricer,
    meter: Meter,
    *,
    uses: list[float],
    offer: Callable[[list[Cut]], bool],
    too_dear: Callable[[Fraction], bool],
    rng: random.Random | None = None,
    finish: Callable[[Dive, Root], bool] | None = None,
) -> None:
    """Round a fractional optimum to whole plans, offering each.

    Parameters
    ----------
    core, master, pricer, meter
        As for `generate`; the master is left reset to what the dive ended with.
    uses
        The root optimum, by the master's columns.
    offer
        Takes the cuts of a plan and says whether to stop for good.
    too_dear
        Says whether a plan of so high a cost is of no use.
    rng
        Varies which column is rounded up, where given.
    finish
        Where given, may make an end of it by itself, and tells whether it did.
    """
    state = Dive(core, list(core.demands), [size.limit for size in core.sizes])
    is_single = len(core.sizes) == 1
    due = float("inf")
    while True:
        is_moving = _round(state, master, uses, rng)
        wanted = sum(state.left)
        rests: list[list[Cut]] = []
        if not is_single or wanted <= due or not is_moving:
            rests = _completions(state, rng)
            due = int(SHRUNK * wanted)
        for rest in rests:
            meter.spend(1 + len(rest) * len(core.weights) // 100)
            if offer([*state.fixed, *rest]):
                return
        if not any(state.left) or not is_moving:
            return
        master.reset(state.left, state.limits)
        root = generate(
            core,
            master,
            pricer,
            meter,
            demands=state.left,
            limits=state.limits,
            step=core.step if is_single else None,
            rounds=200,
        )
        if root is None or too_dear(state.cost + root.bound):
            return
        if finish is not None and finish(state, root):
            return
        uses = root.relaxed.uses


def _round(
    state: Dive, master: Master, uses: list[float], rng: random.Random | None
) -> bool:
    """Fix the whole parts of the uses, or else one column of a large fraction.

    Returns
    -------
    bool
        Whether anything was fixed.
    """
    fixed = 0
    for j, use in enumerate(uses):
        if use >= 1 - NEARLY:
            fixed += max(0, state.fix(*master.columns[j], int(use + NEARLY)))
    if fixed:
        return True
    fractions = sorted((-use, j) for j, use in enumerate(uses) if use > NEARLY)
    if rng is not None and fractions:
        first = rng.randrange(min(3, len(fractions)))
        fractions[0], fractions[first] = fractions[first], fractions[0]
    return any(state.fix(*master.columns[j], 1) > 0 for _, j in fractions)


def _completions(state: Dive, rng: random.Random | None) -> list[list[Cut]]:
    """Return cuts for what is left, by several rules."""
    if not any(state.left):
        return [[]]
    rest = state.core.rest(state.left, state.limits)
    if not any(state.limits):
        return [[]]
    runs = [
        fill_fullest(rest, state.left, state.limits),
        fit_decreasing(rest, favourite=None, tightest=True),
    ]
    if rng is not None:
        runs.append(fill_fullest(rest, state.left, state.limits, rng=rng))
    if len(rest.sizes) > 1:
        runs += [
            fill_fullest(rest, state.left, state.limits, favourite=k)
            for k, limit in enumerate(state.limits)
            if limit
        ]
    return runs
