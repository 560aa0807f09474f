"""Plans without any waste where every stick holds just three pieces.

Problem: sort 3 n pieces of weight n R into n threes of weight R each (3-partition).
Rounding the linear program over all fills gets stuck here: any three that do not fill
their stick cost a whole stick in the end, and nearly every vertex looks alike.

Method: only fills of exactly R are columns. The linear program over them with costs
drawn by chance has a vertex with few columns, most of them whole; those of at least
`_ENOUGH` are fixed, the program is made anew for what is left, and the last pieces are
sorted by a depth-first search, the longest piece first. Where that fails, some threes
are taken apart again. Guarantee: none (heuristic); what it returns is exact.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, TypeAlias

from nesting.solve.sticks.core import Cut
from nesting.solve.sticks.vertex import vertex

if TYPE_CHECKING:
    from nesting.solve.sticks.core import Core
    from nesting.solve.sticks.standing import Meter

Three: TypeAlias = tuple[int, int, int]
"""Places of weights, longest first."""

MOST_WEIGHTS: Final = 1_000
"""Different weights of which threes are listed."""
_COLUMNS: Final = 4_000
_LAST: Final = 75
"""So many pieces are left to the depth-first search."""
_NODES: Final = 60_000
_RESTART: Final = 3_000
_NODES_PER_WORK: Final = 40
_TRIES: Final = 12
_TAKEN_APART: Final = 30
_ENOUGH: Final = 0.6


def may_be_threes(core: Core) -> bool:
    """Tell whether only a plan of full sticks of three pieces has no waste."""
    if len(core.sizes) != 1 or len(core.weights) > MOST_WEIGHTS:
        return False
    room, pieces = core.sizes[0].room, core.pieces
    return (
        pieces % 3 == 0 and core.sizes[0].endless and core.total == room * (pieces // 3)
    )


def full_threes(core: Core, meter: Meter, seed: int) -> list[Cut] | None:
    """Return the cuts of a plan without waste; None where none was found.

    Parameters
    ----------
    core
        Of which `may_be_threes` is true.
    meter
        It is charged for linear programs and for nodes; `Stopped` passes through.
    seed
        Varies what is left to chance.
    """
    return _Sorter(core, meter, seed).sort()


class _Sorter:
    def __init__(self, core: Core, meter: Meter, seed: int) -> None:
        self.weights = core.weights
        self.room = core.sizes[0].room
        self.places = {weight: i for i, weight in enumerate(core.weights)}
        self.left = list(core.demands)
        self.fixed: list[Three] = []
        self.meter = meter
        self.rng = random.Random(f"{seed} threes")

    def sort(self) -> list[Cut] | None:
        for _ in range(_TRIES):
            while sum(self.left) > _LAST:
                if not self._round():
                    break
            else:
                last = self._search()
                if last is not None:
                    return [
                        Cut(0, tuple(sorted(Counter(three).items())), 1)
                        for three in (*self.fixed, *last)
                    ]
            self.meter.check()
            self._take_apart()
        return None

    def _take(self, three: Three, sign: int) -> None:
        for i in three:
            self.left[i] -= sign

    def _fits(self, three: Three) -> bool:
        return all(self.left[i] >= n for i, n in Counter(three).items())

    def _take_apart(self) -> None:
        for _ in range(min(len(self.fixed), _TAKEN_APART)):
            self._take(self.fixed.pop(self.rng.randrange(len(self.fixed))), -1)

    def _threes(self) -> list[Three]:
        """List the threes that fill a stick with what is left."""
        there = [i for i, count in enumerate(self.left) if count]
        found = []
        for at, i in enumerate(there):
            for j in there[at:]:
                k = self.places.get(self.room - self.weights[i] - self.weights[j])
                if k is not None and k >= j and self._fits((i, j, k)):
                    found.append((i, j, k))
        return found

    def _round(self) -> bool:
        """Fix the threes of a vertex that are whole, or nearly; tell whether any."""
        columns = self._threes()
        if len(columns) > _COLUMNS:
            columns = self.rng.sample(columns, _COLUMNS)
        uses = self._relaxed(columns)
        self.meter.spend(50 + len(columns) // 20)
        before = len(self.fixed)
        for use, three in sorted(zip(uses, columns, strict=True), reverse=True):
            if use < _ENOUGH and len(self.fixed) > before:
                break
            for _ in range(max(1, int(use + 1e-6))):
                if use > 0 and self._fits(three) and sum(self.left) > _LAST - 9:
                    self._take(three, 1)
                    self.fixed.append(three)
        return len(self.fixed) > before

    def _relaxed(self, columns: list[Three]) -> list[float]:
        """Return a vertex: how often each three is taken, in fractions."""
        left = {i: count for i, count in enumerate(self.left) if count}
        return vertex(
            left,
            [tuple(Counter(three).items()) for three in columns],
            [0.01 * self.rng.random() for _ in columns],
            dict.fromkeys(left, 10.0),
        )

    def _search(self) -> list[Three] | None:
        """Sort what is left, depth first and with restarts; undo what fails."""
        nodes = 0
        while nodes < _NODES:
            noise = [self.rng.random() for _ in self.weights]
            trail: list[tuple[Iterator[Three], Three]] = []
            options = iter(self._options(noise))
            for _ in range(_RESTART):
                nodes += 1
                three = next(options, None)
                if three is not None:
                    self._take(three, 1)
                    trail.append((options, three))
                    if not any(self.left):
                        self.meter.spend(nodes // _NODES_PER_WORK)
                        return [each for _, each in trail]
                    options = iter(self._options(noise))
                elif trail:
                    options, three = trail.pop()
                    self._take(three, -1)
                else:
                    self.meter.spend(nodes // _NODES_PER_WORK)
                    return None
            for _, three in trail:
                self._take(three, -1)
        self.meter.spend(nodes // _NODES_PER_WORK)
        return None

    def _options(self, noise: list[float]) -> list[Three]:
        """Return the threes of the longest piece left, in an order by chance."""
        first = next(i for i, count in enumerate(self.left) if count)
        found = []
        for j in range(first, len(self.left)):
            if self.left[j]:
                rest = self.room - self.weights[first] - self.weights[j]
                k = self.places.get(rest)
                if k is not None and k >= j and self._fits((first, j, k)):
                    found.append((first, j, k))
        found.sort(key=lambda three: (noise[three[1]], three))
        return found
