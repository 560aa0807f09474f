"""First plans in milliseconds: first fit, best fit, and the fullest stick at a time.

Problem: cover the demands d by fills of sizes with rooms C_k, costs p_k and limits.
Method: first-fit and best-fit decreasing; and stick by stick the fill of largest weight
that holds the longest part left (the minimum-bin-slack rule of Gupta and Ho, Production
Planning & Control 10, 1999, 598-603, with the subset sums exact), on the size with the
least cost per weight filled. Guarantee: none (heuristic); limits are kept, and pieces
for which nothing is left are missing from the plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.solve.sticks.core import (
    Cut,
    Fill,
    add_copies,
    highest_sum,
    weigh_plan,
)

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator

    from nesting.solve.sticks.core import Core, Plan

FEW = 2
"""Sticks of a size that make no plan of their own."""
MOST_BITS = 200_000
"""Length of a list of sums; beyond that its grid is made coarser."""


def first_plan(core: Core) -> Plan:
    """Return the best of the first-fit and best-fit plans, in a millisecond or so."""
    favourites: list[int | None] = list(range(len(core.sizes)))
    if not _is_plain(core):
        favourites.append(None)
    plans = [
        weigh_plan(core, fit_decreasing(core, favourite=k, tightest=tightest))
        for k in favourites
        for tightest in (False, True)
    ]
    return min(plans, key=lambda plan: plan.rank)


def fit_decreasing(core: Core, *, favourite: int | None, tightest: bool) -> list[Cut]:
    """Return cuts that take the pieces longest first, each into a stick begun already.

    Parameters
    ----------
    core
        The problem.
    favourite
        The size to begin while it lasts and is long enough; None to lay out all limited
        sticks before the first piece is placed.
    tightest
        Whether a piece goes into the begun stick with least room (best fit) or into the
        one begun first (first fit).
    """
    left = [size.limit for size in core.sizes]
    order = sorted(range(len(core.sizes)), key=lambda k: _unit_cost(core, k))
    if favourite is not None:
        order.remove(favourite)
        order.insert(0, favourite)
    begun: list[tuple[int, int, dict[int, int]]] = []  # (room left, size, counts)
    if favourite is None:
        for k in sorted(order, key=lambda k: core.sizes[k].room):
            size = core.sizes[k]
            if not size.endless:
                begun += [(size.room, k, {}) for _ in range(size.limit)]
                left[k] = 0
    for i, (weight, demand) in enumerate(zip(core.weights, core.demands, strict=True)):
        todo = demand
        if tightest:
            begun.sort(key=lambda stick: stick[0])
        for at, (room, k, counts) in enumerate(begun):
            if not todo:
                break
            if room >= weight:
                n = min(todo, room // weight)
                counts[i] = n
                begun[at] = (room - n * weight, k, counts)
                todo -= n
        while todo:
            fitting = [k for k in order if left[k] and core.sizes[k].room >= weight]
            if not fitting:
                break
            k = fitting[0]
            n = min(todo, core.sizes[k].room // weight)
            begun.append((core.sizes[k].room - n * weight, k, {i: n}))
            left[k] -= 1
            todo -= n
    return [Cut(k, tuple(counts.items()), 1) for _, k, counts in begun if counts]


def _is_plain(core: Core) -> bool:
    """Tell whether there is no choice of sizes, so that preferences are all alike."""
    return len(core.sizes) == 1 and core.sizes[0].endless


def _unit_cost(core: Core, k: int) -> tuple[float, int]:
    size = core.sizes[k]
    return size.cost / size.room, -size.room


class Filler:
    """Fills sticks one by one as full as the pieces left allow."""

    def __init__(self, core: Core, demands: list[int], limits: list[int]) -> None:
        self.core = core
        self.left = list(demands)
        self.limits = list(limits)
        longest = max(size.room for size in core.sizes)
        self._grain = 1 + longest // MOST_BITS
        """Grid units in one bit of a list of sums; parts are rounded up to it."""
        self._weights = [-(-weight // self._grain) for weight in core.weights]

    def fullest(
        self, favourite: int | None, rng: random.Random | None
    ) -> list[tuple[int, Fill, int]]:
        """Return (size, fill, weight) of the fullest stick of every size to be had.

        Each holds the longest part left that the size can take. A favourite that takes
        the longest part of all goes alone. With a generator the choice among equal sums
        varies.
        """
        core = self.core
        open_sizes = [k for k, n in enumerate(self.limits) if n]
        if favourite in open_sizes:
            longest = next((i for i, n in enumerate(self.left) if n), 0)
            if core.weights[longest] <= core.sizes[favourite].room:
                open_sizes = [favourite]
        active = [i for i, n in enumerate(self.left) if n]
        if not open_sizes or not active:
            return []
        most = max(core.sizes[k].room for k in open_sizes) // self._grain
        mask = (1 << most + 1) - 1
        tails = [1]
        for i in reversed(active):
            weight = self._weights[i]
            count = min(self.left[i], most // weight)
            tails.append(add_copies(tails[-1], weight, count, mask))
        tails.reverse()
        found = []
        for k in open_sizes:
            fill = self._trace(core.sizes[k].room, active, tails, rng)
            if fill:
                weight = sum(core.weights[i] * n for i, n in fill)
                found.append((k, fill, weight))
        return found

    def _trace(
        self,
        room: int,
        active: list[int],
        tails: list[int],
        rng: random.Random | None,
    ) -> Fill:
        """Return the fullest fill of a room that holds the longest part that fits."""
        start = 0
        while start < len(active) and self.core.weights[active[start]] > room:
            start += 1
        if start == len(active):
            return ()
        weights, longest = self._weights, active[start]
        free = room // self._grain - weights[longest]
        if free < 0:
            return ((longest, 1),)
        # The longest part is set apart: its other copies are added as one more row.
        others = min(self.left[longest] - 1, free // weights[longest])
        rest = add_copies(
            tails[start + 1], weights[longest], others, (1 << free + 1) - 1
        )
        goal = highest_sum(rest, free)
        counts: dict[int, int] = {longest: 1}
        for at in range(start, len(active)):
            i = active[at]
            weight, after = weights[i], tails[at + 1]
            n = min(others if i == longest else self.left[i], goal // weight)
            while not after >> goal - n * weight & 1:
                n -= 1
            if rng is not None and n:
                options = [m for m in range(n + 1) if after >> goal - m * weight & 1]
                n = options[rng.randrange(len(options))]
            if n:
                counts[i] = counts.get(i, 0) + n
                goal -= n * weights[i]
        return tuple(counts.items())

    def take(self, size: int, fill: Fill, most: int | None = None) -> Cut:
        """Cut as many sticks of a fill as the pieces and the limit allow."""
        times = min(self.limits[size], *(self.left[i] // n for i, n in fill))
        if most is not None:
            times = min(times, most)
        self.limits[size] -= times
        for i, n in fill:
            self.left[i] -= n * times
        return Cut(size, fill, times)


def fill_fullest(
    core: Core,
    demands: list[int],
    limits: list[int],
    *,
    favourite: int | None = None,
    thrift: bool = True,
    rng: random.Random | None = None,
) -> list[Cut]:
    """Return cuts made one fullest stick after the other.

    Parameters
    ----------
    core, demands, limits
        The problem, what is still wanted, and how many of each size are left.
    favourite
        A size to use while it lasts and takes the longest part; None for none.
    thrift
        Whether to choose the size by its cost per weight filled, else by the share of
        it that stays empty.
    rng
        Varies the fills where given.
    """
    filler = Filler(core, demands, limits)
    cuts = []
    while any(filler.left):
        best: tuple[tuple[float, ...], int, Fill] | None = None
        longest = next(i for i, n in enumerate(filler.left) if n)
        for k, fill, weight in filler.fullest(favourite, rng):
            size = core.sizes[k]
            empty = (size.room - weight) / size.room
            score = (
                (size.cost / weight, empty) if thrift else (empty, size.cost / weight)
            )
            # A stick that leaves the longest part out may not be what it needs.
            late = fill[0][0] != longest
            key = (k != favourite if favourite is not None else late, *score, k)
            if best is None or key < best[0]:
                best = (key, k, fill)
        if best is None:
            break
        cuts.append(filler.take(best[1], best[2], 1 if rng else None))
    return cuts


def filled_plans(core: Core) -> Iterator[Plan]:
    """Yield the plans of the fullest-stick rule under its different preferences.

    A size is preferred only where there may be many of it: a few are soon used up.
    """
    demands, limits = list(core.demands), [size.limit for size in core.sizes]

    def plan(*, thrift: bool = True, favourite: int | None = None) -> Plan:
        cuts = fill_fullest(core, demands, limits, thrift=thrift, favourite=favourite)
        return weigh_plan(core, cuts)

    yield plan()
    if not _is_plain(core):
        yield plan(thrift=False)
    if len(core.sizes) > 1:
        for k, size in enumerate(core.sizes):
            if size.limit > FEW:
                yield plan(favourite=k)
