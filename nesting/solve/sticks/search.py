"""One stick problem being solved, and the steps that all its searches share."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

from nesting.solve.sticks.columns import Weighing, generate
from nesting.solve.sticks.core import weigh_plan
from nesting.solve.sticks.dive import dive
from nesting.solve.sticks.integer import Aim, Offer, choose
from nesting.solve.sticks.pick import pick

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from nesting.solve.sticks.columns import Root
    from nesting.solve.sticks.core import Core, Cut, Fill
    from nesting.solve.sticks.dive import Dive
    from nesting.solve.sticks.integer import Choice
    from nesting.solve.sticks.knapsack import Pricer
    from nesting.solve.sticks.master import Master
    from nesting.solve.sticks.standing import Meter, Standing

MOST_FILLS = 20_000
"""Patterns a complete search takes on."""
MOST_NODES = 200_000
"""Nodes spent on listing those of one size."""
ROUNDS = 4
"""Rounds of dives and choices; the effort doubles each time."""
DIVES = 20
DIVING = 5_000
"""The most dives of a round, and the work after which no more are begun, doubling."""
FINE_ROUNDS = 60
"""Rounds of pricing on a fine grid, where the table is coarse."""
FIRST_EFFORT = 0.25
COMPLETE_EFFORT = 1.0
"""The solver's effort of the first round: on columns met, on a complete list."""
MOST_LOOSE = 6
"""Sticks that may be left without a list of their fills."""
POOL = 4_000
"""Columns given to a choice that proves nothing."""
FEW = 90
"""So many pieces are left to branch and bound, in every second dive with one size."""
MOST_LAST = 1_500
LAST_NODES = 20
"""Patterns and nodes of that."""


def is_of_one_size(core: Core) -> bool:
    """Tell whether the cheapest plan is one of the fewest sticks, all alike."""
    return len(core.sizes) == 1 and core.sizes[0].endless and core.sizes[0].cost > 0


@dataclass(slots=True)
class Search:
    """A problem with its tools; `standing` holds what is known at any moment."""

    core: Core
    pricer: Pricer
    meter: Meter
    standing: Standing
    seed: int
    rounds: int = ROUNDS
    dives: int = DIVES
    """The most dives of a round."""
    zeal: float = 1.0
    """What every effort of the solver is multiplied by."""
    met: list[tuple[int, Fill]] = field(default_factory=list)
    """Columns that earlier searches came upon."""
    weighings: list[Weighing] = field(default_factory=list)
    """Prices of the parts that were met, with what the sticks hold of them."""

    def offer(self, cuts: list[Cut]) -> None:
        """Take the cuts as a plan if it is the best so far."""
        self.standing.offer(weigh_plan(self.core, cuts))

    def relax(
        self,
        priced: Core,
        master: Master,
        goal: int | None = None,
        step: int | None = None,
    ) -> Root | None:
        """Return the linear optimum over all patterns, with its bound.

        Parameters
        ----------
        priced
            The search's core, perhaps with other costs.
        master
            Its linear program; grows.
        goal
            A bound above this is enough to stop for; None for the optimum.
        step
            Where given, so is a bound that rounding up to its multiples closes.
        """
        limits = [size.limit for size in priced.sizes]
        master.reset(priced.demands, limits)
        root = generate(
            priced,
            master,
            self.pricer,
            self.meter,
            demands=priced.demands,
            limits=limits,
            goal=None if goal is None else Fraction(goal),
            step=step,
            fine_rounds=FINE_ROUNDS,
            exchange=True,
            keep=self.weighings,
        )
        self.met = master.columns
        return root

    def dive(
        self,
        priced: Core,
        master: Master,
        root: Root,
        turn: int,
        *,
        enough: Callable[[], bool],
        too_dear: Callable[[Fraction], bool],
        most: int | None = None,
    ) -> None:
        """Make the dives of a round, the very first of all without chance.

        Parameters
        ----------
        priced, master, root
            The problem as it was relaxed.
        turn
            Counts the rounds.
        enough
            Says whether to stop for good.
        too_dear
            Says whether a plan of so high a cost is of no use.
        most
            The most dives, where not the search's own number.
        """

        def offer(cuts: list[Cut]) -> bool:
            self.offer(cuts)
            return enough()

        def finish(state: Dive, root: Root) -> bool:
            if sum(state.left) > FEW:
                return False
            rest = priced.rest(state.left, state.limits)
            most_cost = self.standing.plan.cost - self.core.step - state.cost
            useful = self.list_better(rest, root.weighing, most_cost, MOST_LAST)
            if useful is None or useful.loose:
                return False
            cuts = self.pick(
                rest, useful.columns, most_cost, nodes=LAST_NODES, turn=turn
            )
            if cuts is not None:
                offer([*state.fixed, *cuts])
            return True

        is_one = is_of_one_size(priced)
        rng = random.Random(f"{self.seed} {turn}")
        start = self.meter.work
        for again in range(most or self.dives):
            dive(
                priced,
                master,
                self.pricer,
                self.meter,
                uses=root.relaxed.uses,
                offer=offer,
                too_dear=too_dear,
                rng=rng if turn or again else None,
                finish=finish if is_one and again % 2 else None,
            )
            self.meter.check()
            if enough() or self.meter.work > start + DIVING * 2**turn:
                return

    def choose(self, aim: Aim, offer: Offer, effort: float, turn: int) -> Choice:
        """Choose a better plan among what is offered, and take it."""
        plan, core = self.standing.plan, self.core
        most_cost, least_cost, most_loss = None, 0, 0
        if aim is Aim.STICKS:
            most_cost, most_loss = plan.cost, plan.lost
        elif aim is Aim.COST:
            most_cost, most_loss = plan.cost, plan.lost
            if not plan.lost:
                most_cost, least_cost = plan.cost - core.step, self.standing.bound
        choice = choose(
            core,
            offer,
            self.meter,
            aim=aim,
            effort=effort * self.zeal,
            seed=self.seed + turn,
            most_cost=most_cost,
            least_cost=least_cost,
            most_loss=most_loss,
        )
        if choice.cuts is not None:
            self.offer(choice.cuts)
        self.meter.check()
        return choice

    def pick(
        self,
        core: Core,
        columns: Sequence[tuple[int, Fill]],
        most_cost: int,
        *,
        nodes: int,
        turn: int,
    ) -> list[Cut] | None:
        """Return cuts of the patterns given at no more than a cost, if any are found.

        The core is of one size.
        """
        cuts = pick(
            core,
            columns,
            self.meter,
            sticks=most_cost // core.sizes[0].cost,
            nodes=nodes,
            seed=self.seed + turn,
        )
        self.meter.check()
        return cuts

    def list_better(
        self,
        priced: Core,
        weighing: Weighing,
        most_cost: int,
        most_fills: int = MOST_FILLS,
    ) -> Offer | None:
        """Return every stick that a plan of at most a cost may use.

        A plan costs the dual value, plus its fills' reduced costs, plus the worth of
        pieces made too many; so no fill in it, and no surplus, has more than what lies
        between (Nemhauser and Wolsey, Integer and Combinatorial Optimization,
        Wiley 1988, II.5). None where there are more of them than `most_fills`.
        """
        limits = [size.limit for size in priced.sizes]
        gap = most_cost - weighing.dual_value(priced, priced.demands, limits)
        gap = max(Fraction(0), gap) * weighing.scale
        theta = weighing.factor(priced)
        self.pricer.load(weighing.values, priced.demands)
        least: list[int | None] = []
        copies = []
        for size, most in zip(priced.sizes, weighing.most, strict=True):
            price = Fraction(size.cost * weighing.scale)
            if not size.endless:
                price = max(price, theta * most)
            need = price - gap
            if need <= 0:
                least.append(0)
            else:
                least.append(ceil(need / theta) if theta else None)
            can_pay = most_cost // size.cost if size.cost else size.limit
            copies.append(min(size.limit, can_pay))
        surplus = tuple(
            min(demand * self.core.pieces, int(gap / (theta * value)))
            if theta and value
            else demand * self.core.pieces
            for demand, value in zip(priced.demands, weighing.values, strict=True)
        )
        return self._list(least, copies, surplus, most_fills)

    def list_all(self) -> Offer | None:
        """Return every maximal fill of every size; None where they are too many."""
        self.pricer.load([0] * len(self.core.weights), self.core.demands)
        copies = [size.limit for size in self.core.sizes]
        return self._list([0] * len(self.core.sizes), copies, None, MOST_FILLS)

    def _list(
        self,
        least: list[int | None],
        copies: list[int],
        surplus: tuple[int, ...] | None,
        most_fills: int,
    ) -> Offer | None:
        """Return the maximal fills worth at least so much by size; None: leave it out.

        A size with too many fills is offered loose where it has few copies.
        """
        found: list[tuple[int, Fill]] = []
        loose: list[tuple[int, int]] = []
        for k, (size, worth) in enumerate(zip(self.core.sizes, least, strict=True)):
            if worth is None:
                continue
            fills, is_all = self.pricer.every_fill(
                size.room, worth, most_fills - len(found), MOST_NODES
            )
            self.meter.spend(1 + len(fills) // 10)
            self.meter.check()
            if is_all:
                found += [(k, fill) for fill in fills if fill]
            else:
                loose.append((k, copies[k]))
        if sum(n for _, n in loose) > MOST_LOOSE:
            return None
        return Offer(columns=found, loose=tuple(loose), surplus=surplus)
