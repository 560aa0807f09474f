"""Plans of nearly full sticks, from a linear program over fills drawn by chance.

Problem: a plan of as few sticks as the bound says, where many pieces of many lengths
leave next to no waste. Column generation then takes long, and its columns are few.

Method: some thousand nearly full fills are drawn by chance from what is left: a long
piece first, then others that fit, then the longest that still does. The linear program
over them, its costs shaken a little, has a vertex of few columns; those of at least
`_ENOUGH` are fixed, new fills are drawn for the rest, and so on; what is left in the
end goes by best fit. Guarantee: none (heuristic); what it returns is exact.
"""

from __future__ import annotations

import random
from bisect import bisect_right
from collections import Counter
from typing import TYPE_CHECKING, Final

from nesting.solve.sticks.core import Cut
from nesting.solve.sticks.greedy import fit_decreasing
from nesting.solve.sticks.vertex import vertex

if TYPE_CHECKING:
    from nesting.solve.sticks.core import Core, Fill
    from nesting.solve.sticks.standing import Meter

_FEWEST_PIECES: Final = 250
_FEWEST_CELLS: Final = 10_000_000
"""Of the knapsack's table. With fewer of both, column generation is as quick."""
_FILLS: Final = 3_000
_FEW_FILLS: Final = 1_500
_FEW_PIECES: Final = 250
_DRAWS: Final = 4
"""For each fill that is wanted, so many are drawn at most."""
_LEAST: Final = 8
"""So few pieces go by best fit."""
_SLACK: Final = 3
"""A fill may waste so many times its share of what may be wasted in all."""
_LEAST_SLACK: Final = 500
"""And this part of a stick in any case."""
_ENOUGH: Final = 0.6
_GREEDY: Final = 0.35
_LONGEST_FIRST: Final = 0.5
_SHAKE: Final = 0.002
_MISSED: Final = 1.5


def pays_to_sample(core: Core) -> bool:
    """Tell whether column generation would take long: for many pieces of many lengths.

    Parameters
    ----------
    core
        Of one size.
    """
    lengths = len(core.weights)
    cells = core.sizes[0].room * lengths
    return 4 * lengths > core.pieces and (
        core.pieces >= _FEWEST_PIECES or cells >= _FEWEST_CELLS
    )


def sampled_plan(core: Core, goal: int, meter: Meter, rng: random.Random) -> list[Cut]:
    """Return the cuts of a plan that was meant to need `goal` sticks.

    Parameters
    ----------
    core
        Of one endless size.
    goal
        Sticks; what they may waste in all follows from it.
    meter
        It is charged for draws and linear programs; `Stopped` passes through.
    rng
        The only source of chance.
    """
    return _Sampler(core, goal, meter, rng).run()


class _Sampler:
    def __init__(self, core: Core, goal: int, meter: Meter, rng: random.Random) -> None:
        self.core = core
        self.room = core.sizes[0].room
        self.left = list(core.demands)
        self.goal = goal
        self.spare = goal * self.room - core.total
        """What may still be wasted."""
        self.meter = meter
        self.rng = rng
        self.fixed: list[Cut] = []
        self.used = 0

    def run(self) -> list[Cut]:
        while sum(self.left) >= _LEAST and self._round():
            self.meter.check()
        if not any(self.left):
            return self.fixed
        rest = self.core.rest(self.left, [max(1, sum(self.left))])
        return [*self.fixed, *fit_decreasing(rest, favourite=None, tightest=True)]

    def _round(self) -> bool:
        """Fix what a vertex says; tell whether anything was."""
        fills = self._draw()
        if not fills:
            return False
        uses = self._relaxed(fills)
        self.meter.spend(200 + len(fills) // 4)
        order = sorted(zip(uses, fills, strict=True), reverse=True)
        fixed = False
        for use, fill in order:
            if use <= 0 or (use < _ENOUGH and fixed):
                break
            times = min(max(1, int(use + 1e-6)), *(self.left[i] // n for i, n in fill))
            if times > 0:
                self._fix(fill, times)
                fixed = True
        return fixed

    def _fix(self, fill: Fill, times: int) -> None:
        self.fixed.append(Cut(0, fill, times))
        self.used += times
        weight = sum(self.core.weights[i] * n for i, n in fill)
        self.spare -= times * (self.room - weight)
        for i, n in fill:
            self.left[i] -= n * times

    def _draw(self) -> list[Fill]:
        """Return different fills with little waste."""
        there = [i for i in reversed(range(len(self.left))) if self.left[i]]
        weights = [self.core.weights[i] for i in there]
        wanted = _FILLS if sum(self.left) > _FEW_PIECES else _FEW_FILLS
        share = max(0, self.spare) // max(1, self.goal - self.used)
        slack = max(_SLACK * share, self.room // _LEAST_SLACK)
        found: dict[Fill, None] = {}
        for _ in range(wanted * _DRAWS):
            if len(found) >= wanted:
                break
            counts, rest = self._one(there, weights)
            if rest <= slack:
                found[tuple(sorted(counts.items()))] = None
        return list(found)

    def _one(self, there: list[int], weights: list[int]) -> tuple[Counter[int], int]:
        """Return one fill, and what it leaves; `weights` rise, at places `there`."""
        chance = self.rng.random
        if chance() < _LONGEST_FIRST:
            first = len(there) - 1 - int(chance() ** 2 * len(there))
        else:
            first = self.rng.randrange(len(there))
        counts = Counter({there[first]: 1})
        room = self.room - weights[first]
        while room >= weights[0]:
            fits = bisect_right(weights, room)
            at = fits - 1
            if 2 * weights[0] <= room and chance() >= _GREEDY:
                at = self.rng.randrange(fits)
            while at >= 0 and counts[there[at]] >= self.left[there[at]]:
                at -= 1
            if at < 0:
                break
            counts[there[at]] += 1
            room -= weights[at]
        return counts, room

    def _relaxed(self, fills: list[Fill]) -> list[float]:
        """Return a vertex: how often each fill is taken, in fractions."""
        left = {i: count for i, count in enumerate(self.left) if count}
        weights, room = self.core.weights, self.room
        return vertex(
            left,
            fills,
            [1 + _SHAKE * self.rng.random() for _ in fills],
            {i: _MISSED * weights[i] / room for i in left},
        )
