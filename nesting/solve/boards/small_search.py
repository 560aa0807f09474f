"""The cheapest plan for one kerf.

The search looks below g, and raises g step by step, which costs little, for the effort
grows steeply with it. Where it gets too much, or where few mixes of boards cost less
than g, it takes the mixes one by one: to hold everything with given boards is a search
of the same kind, with prices of its own, and other mixes that those prices show to be
too small need no search (logic-based Benders decomposition: Hooker & Ottosson,
Mathematical Programming 96 (2003) 33-60).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from nesting.solve.boards.problem import BoardPart, BoardProblem
from nesting.solve.boards.small_cover import Covering, Found
from nesting.solve.boards.small_mixes import Mixes
from nesting.solve.boards.small_prices import Pricing, limit_of
from nesting.solve.boards.small_sections import families
from nesting.solve.boards.small_sets import (
    MOST_BITS,
    Effort,
    Packing,
    Room,
    RoomError,
    fields,
)

_MOST_COST = 1 << 48
_STEP: Final = 5
"""How far g rises in thousandths of the bound: first, and later by a part more."""
_MARGINS: Final = (60, 120, 250)
"""How far above the bound the sections are looked for that C is made of, likewise."""
_GROWTH: Final = 1.6
"""Of the steps, where g rises once; about."""
_LITTLE: Final = 60_000_000
"""Steps too few to look for mixes."""


class Search:
    """A search for the cheapest plan; `bound` rises as it goes.

    Parameters
    ----------
    problem
        Whose `kerf_x` and `kerf_y` count.
    kinds
        Its parts with a quantity, each of which fits somewhere.
    layers
        For each of them, by section, how many slices.
    known
        No plan costs less.
    goal
        What a plan has to be cheaper than; None for any.
    effort
        Counts the work.
    plain
        Whether to do without the compiler.
    """

    def __init__(
        self,
        problem: BoardProblem,
        kinds: Sequence[BoardPart],
        layers: Sequence[Mapping[str, int]],
        *,
        known: int,
        goal: int | None,
        effort: Effort,
        plain: bool,
    ) -> None:
        order = sorted(
            range(len(kinds)),
            key=lambda i: (-kinds[i].length * kinds[i].width, kinds[i].id),
        )
        self._problem = problem
        self._kinds = [kinds[i] for i in order]
        self._layers = [layers[i] for i in order]
        self._packing = Packing([kind.quantity for kind in self._kinds])
        self._room = Room(plain)
        self._effort = effort
        parts = sum(self._packing.wanted)
        dearest = max((stock.cost for stock in problem.stock), default=0)
        self._top = parts * dearest + 1
        if goal is not None:
            self._top = min(goal, self._top)
        self.bound = known
        self._parts = parts
        self._dearest = dearest
        self.best: Found | None = None
        """The cheapest plan found so far."""

    @property
    def bits(self) -> int:
        """How long sets get, with the boards there are few of."""
        few = [limit_of(stock, self._parts) or 0 for stock in self._problem.stock]
        return self._packing.bits + fields([limit for limit in few if limit]).bits

    @property
    def is_small(self) -> bool:
        """Whether sets, and costs in small shares, fit into numbers."""
        return self.bits <= MOST_BITS and self._dearest * self._parts < _MOST_COST

    def run(self) -> Found | None:
        """Find the cheapest plan below the goal; None if there is none.

        Raises
        ------
        StoppedError
            If it takes too much; `bound` holds nevertheless.
        """
        if self.bound >= self._top:
            return None
        groups = families(
            self._problem,
            self._kinds,
            self._packing,
            self._layers,
            self._room,
            self._effort,
        )
        if not groups:
            self.bound = self._top
            return None
        kerf = self._problem.kerf_x
        pricing = Pricing(groups, self._packing, kerf, self._effort)
        prices = pricing.of_costs(self._top)
        everything = (self._packing, kerf, self._room, self._effort)
        covering = Covering(groups, prices, *everything)
        mixes = Mixes(groups, prices, pricing, *everything)
        self._raise(covering, mixes)
        return self.best

    def _raise(self, covering: Covering, mixes: Mixes) -> None:
        """Look below rising costs until a plan is found or the goal is met."""
        above, due = 0, 0.0
        margins = [*_MARGINS]
        start = max(covering.linear_cost, self.bound)
        whole = max(covering.worth // covering.one, start, 1)
        while self.bound < self._top:
            above += max(_STEP, above // 6)
            goal = min(self._top, start + max(1, whole * above // 1000))
            while goal > covering.is_cut_to:
                most = self._top
                if margins:
                    most = min(most, start + 1 + whole * margins.pop(0) // 1000)
                covering.fill(most)
                self.bound = max(self.bound, min(covering.least_cost, self._top))
            if goal <= self.bound:
                continue
            if due > _LITTLE and mixes.are_few(self.bound, goal, due):
                self._try_mixes(mixes, goal)
                due *= _GROWTH
                continue
            before = self._effort.steps
            try:
                self._keep(covering.below(goal))
            except RoomError:
                if not mixes.are_few(self.bound, goal, None):
                    raise
                self._try_mixes(mixes, goal)
            self.bound = max(self.bound, min(goal, self._top))
            due = _GROWTH * (self._effort.steps - before)

    def _try_mixes(self, mixes: Mixes, goal: int) -> None:
        """Try every mix that costs less than something, the cheapest first."""
        for cost, found in mixes.tried(self.bound, goal):
            self.bound = max(self.bound, min(cost, self._top))
            self._keep(found)
            if self.bound >= self._top:
                return
        self.bound = max(self.bound, min(goal, self._top))

    def _keep(self, found: Found | None) -> None:
        if found is not None and found.cost < self._top:
            self.best, self._top = found, found.cost
