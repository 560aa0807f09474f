"""Column generation over cutting patterns, with a bound that is exact.

Problem: the linear master over *all* fills. Method: Gilmore and Gomory, Operations
Research 9 (1961) 849-859 and 11 (1963) 863-888: solve over the fills known, price the
parts by the duals, add the best fill of each size, until none pays. With one size the
duals are calmed on the way, by exchanges (`Master.exchange`) and by drawing them back
towards the best ones met (Wentges, International Transactions in Operational Research
4, 1997, 151-162); the last rounds do without. Guarantee: the bound. The duals are
rounded down to whole numbers v on a scale S, the best fill value f_k of each size is
computed exactly (or never too low), and for
theta = min(1, min over endless k of p_k S / f_k)

    bound = ( theta v.d - sum over limited k of limit_k max(0, theta f_k - p_k S) ) / S

is a Fraction that no plan covering the demands goes below, whatever the floats were
(linear duality; Farley, Operations Research 38, 1990, 922-923, for the factor).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.solve.sticks.core import Core, Fill
    from nesting.solve.sticks.knapsack import Pricer
    from nesting.solve.sticks.master import Master, Relaxed
    from nesting.solve.sticks.standing import Meter

MOST_SCALE = 1 << 34
WIDEST = 1 << 60
"""Sums of values stay below this, well inside 64 bits."""
FINE_UNITS = 500
"""Work units of pricing on a fine grid where the table is coarse."""
LEAN = 1e-7
"""The share of a price by which a fill must pay to be worth adding."""
CALM = 0.5
"""How far duals are drawn back towards those of the best bound so far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """Whole-number prices of the parts, and the most a stick can hold of them."""

    scale: int
    values: tuple[int, ...]
    most: tuple[int, ...]
    """Per size: no fill within the demands is worth more."""

    def bound(
        self, core: Core, demands: Sequence[int], limits: Sequence[int]
    ) -> Fraction:
        """Return a rigorous bound on the cost of covering demands under limits."""
        return max(Fraction(0), self.dual_value(core, demands, limits))

    def dual_value(
        self, core: Core, demands: Sequence[int], limits: Sequence[int]
    ) -> Fraction:
        """Return what the prices alone say of the cost; it may be below nothing.

        A plan's distance from *this*, not from the bound, is what its sticks and
        surplus pieces may add up to in reduced cost.
        """
        theta = self.factor(core)
        got = sum(v * d for v, d in zip(self.values, demands, strict=True)) * theta
        for size, most, limit in zip(core.sizes, self.most, limits, strict=True):
            if not size.endless:
                got -= limit * max(Fraction(0), theta * most - size.cost * self.scale)
        return Fraction(got) / self.scale

    def factor(self, core: Core) -> Fraction:
        """Return the factor that makes no fill of an endless size worth its price."""
        theta = Fraction(1)
        for size, most in zip(core.sizes, self.most, strict=True):
            if size.endless and most > size.cost * self.scale:
                theta = min(theta, Fraction(size.cost * self.scale, most))
        return theta


@dataclass(frozen=True, slots=True, kw_only=True)
class Root:
    """What column generation ended with."""

    relaxed: Relaxed
    bound: Fraction
    weighing: Weighing
    """The prices behind the bound."""
    is_complete: bool
    """Whether no fill pays any more; else it ended early, by the goal or the rounds."""


def generate(
    core: Core,
    master: Master,
    pricer: Pricer,
    meter: Meter,
    *,
    demands: Sequence[int],
    limits: Sequence[int],
    goal: Fraction | None = None,
    step: int | None = None,
    rounds: int = 5_000,
    fine_rounds: int = 0,
    exchange: bool = False,
    keep: list[Weighing] | None = None,
) -> Root | None:
    """Add columns to a master until none pays, and return its optimum and the bound.

    Parameters
    ----------
    core, master, pricer
        The problem, its linear program set to the demands and limits, and its knapsack.
    meter
        Pays for the work; raises `Stopped` between rounds.
    demands, limits
        What is still wanted, and how many sticks of each size are left.
    goal
        A bound above this is enough to stop for.
    step
        Where given, it is also enough that the bound, rounded up to a multiple of this,
        reaches the master's value: it can rise no further.
    rounds
        The most rounds of pricing.
    fine_rounds
        Where the knapsack's table is coarse: how many rounds may price on a fine grid.
    exchange
        Whether to begin with exchanges of pieces, where there is one endless size: it
        pays where the columns are still few.
    keep
        Where given, every weighing met is appended.

    Returns
    -------
    Root | None
        None where the master has no solution.
    """
    best: Root | None = None
    is_calm = len(core.sizes) == 1 and core.sizes[0].endless
    is_exchanging = is_calm and exchange
    master.exchange(may=is_exchanging)
    centre: Sequence[float] | None = None
    for _ in range(rounds):
        meter.check()
        relaxed = master.solve()
        if relaxed is None:
            return None
        asked = relaxed if centre is None else _drawn_back(relaxed, centre)
        met, new = _weigh(core, pricer, asked, demands, limits)
        meter.spend(pricer.effort + len(master.columns) // 100)
        if keep is not None:
            keep.append(met)
        bound, weighing = met.bound(core, demands, limits), met
        if best is not None and best.bound > bound:
            bound, weighing = best.bound, best.weighing
        elif is_calm:
            centre = asked.duals
        if asked is not relaxed:
            new = [column for column in new if _pays(core, relaxed, column)]
        added = master.add(new)
        if not added and asked is not relaxed:
            # Next the duals as they are; what those drawn back proved is kept.
            if best is not None:
                best = replace(best, bound=bound, weighing=weighing)
            centre = None
            continue
        if not added and pricer.grain > 1 and fine_rounds:
            fine_rounds -= 1
            # The search under the coarse table gave up: price again, on a fine grid.
            met, new = _weigh_finely(core, pricer, relaxed, met, limits)
            if keep is not None:
                keep.append(met)
            meter.spend(FINE_UNITS)
            fine = met.bound(core, demands, limits)
            if fine > bound:
                bound, weighing = fine, met
            added = master.add(new)
        best = Root(
            relaxed=relaxed, bound=bound, weighing=weighing, is_complete=not added
        )
        if goal is not None and bound > goal:
            break
        is_enough = step is not None and ceil(bound / step) * step >= relaxed.value
        if added and not is_enough:
            continue
        if not is_exchanging:
            break
        master.exchange(may=False)
        is_exchanging = False
    return best


def _drawn_back(relaxed: Relaxed, centre: Sequence[float]) -> Relaxed:
    """Return an optimum whose duals are drawn back towards those of the best bound."""
    duals = [
        CALM * old + (1 - CALM) * new
        for old, new in zip(centre, relaxed.duals, strict=True)
    ]
    return replace(relaxed, duals=duals)


def _pays(core: Core, relaxed: Relaxed, column: tuple[int, Fill]) -> bool:
    """Return whether a column is worth more than it costs, by the duals as they are."""
    size, fill = column
    price = core.sizes[size].cost + relaxed.rents[size]
    return sum(relaxed.duals[i] * n for i, n in fill) > price * (1 + LEAN)


def _weigh(
    core: Core,
    pricer: Pricer,
    relaxed: Relaxed,
    demands: Sequence[int],
    limits: Sequence[int],
) -> tuple[Weighing, list[tuple[int, Fill]]]:
    """Return the duals as whole numbers, and the fills that pay under them."""
    # Sums of values must stay small: no room holds more than so many pieces.
    most_pieces = max(size.room for size in core.sizes) // core.weights[-1] + 1
    top = max(1e-9, *relaxed.duals, *relaxed.rents, *(s.cost for s in core.sizes))
    scale = max(1, min(MOST_SCALE, int(WIDEST / (top * most_pieces))))
    values = [int(dual * scale) for dual in relaxed.duals]
    pricer.load(values, demands)
    new: list[tuple[int, Fill]] = []
    most = []
    for k, size in enumerate(core.sizes):
        price = size.cost * scale + int(relaxed.rents[k] * scale)
        found = pricer.best(size.room, price + int(price * LEAN))
        most.append(found.most)
        if limits[k]:
            new += [(k, fill) for fill in found.fills]
    return Weighing(scale=scale, values=tuple(values), most=tuple(most)), new


def _weigh_finely(
    core: Core,
    pricer: Pricer,
    relaxed: Relaxed,
    met: Weighing,
    limits: Sequence[int],
) -> tuple[Weighing, list[tuple[int, Fill]]]:
    """Return a weighing again, and the fills that pay, as exactly as can be."""
    overs = []
    for size, rent in zip(core.sizes, relaxed.rents, strict=True):
        price = size.cost * met.scale + int(rent * met.scale)
        overs.append(price + int(price * LEAN))
    found = pricer.thorough([size.room for size in core.sizes], overs)
    new = [
        (k, fill) for k, best in enumerate(found) if limits[k] for fill in best.fills
    ]
    most = tuple(min(a, b.most) for a, b in zip(met.most, found, strict=True))
    return replace(met, most=most), new
