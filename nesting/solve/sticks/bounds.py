"""Bounds that need no linear program: covering by length, and dual feasible functions.

Problem: a number that no plan placing every piece can go below. Method: (a) the least
cost of sticks whose rooms together hold the total weight, a covering knapsack solved by
depth-first search; (b) with one size of stick, dual feasible functions: f maps a weight
to a share such that shares of parts that fill a stick never sum to more than f(room).
Taken are u(k) and the family of Fekete and Schepers (Mathematical Programming 91, 2001,
11-31) and f(2) of Carlier, Clautiaux and Moukrim (Computers & Operations Research 34,
2007, 2223-2250). All in whole numbers, so each is rigorous.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nesting.solve.sticks.core import Core, Size

MOST_NODES = 3_000
"""Nodes of a covering search before it makes do with less."""


def cover_cost(core: Core) -> int | None:
    """Return the least cost of sticks that hold the total weight.

    Returns
    -------
    int | None
        A rigorous bound on the cost of placing every piece; None where the sticks to be
        had do not hold the weight, so that no plan can place every piece.
    """
    order = sorted(
        core.sizes, key=lambda size: (Fraction(size.cost, size.room), -size.room)
    )
    if sum(size.room * size.limit for size in order) < core.total:
        return None
    best = _upper_cover(core, order)
    root = _fractional(order, 0, core.total)
    assert root is not None, "the sticks hold the weight"
    stack = [(0, core.total, 0)]  # (next size, weight left, cost)
    nodes = 0
    while stack:
        at, need, cost = stack.pop()
        if need <= 0:
            best = min(best, cost)
            continue
        least = _fractional(order, at, need)
        if least is None or cost + least >= best:
            continue
        nodes += 1
        if nodes > MOST_NODES:
            return root
        size = order[at]
        most = min(size.limit, -(-need // size.room))
        stack += [
            (at + 1, need - n * size.room, cost + n * size.cost)
            for n in range(most + 1)
        ]
    return best


def may_save_sticks(core: Core, most_cost: int, sticks: int) -> bool:
    """Return whether fewer sticks at no more cost could hold the total weight.

    Returns
    -------
    bool
        False is certain; true may be for want of looking further.
    """
    if len(core.sizes) == 1 and core.sizes[0].cost:
        return False  # fewer sticks of one size cost less, which is another question
    order = sorted(core.sizes, key=lambda size: -size.room)
    stack = [(0, core.total, most_cost, sticks - 1)]
    nodes = 0
    while stack:
        at, need, money, count = stack.pop()
        if need <= 0:
            return True
        if at == len(order) or need > count * order[at].room:
            continue
        nodes += 1
        if nodes > MOST_NODES:
            return True
        size = order[at]
        most = min(size.limit, count, -(-need // size.room))
        if size.cost:
            most = min(most, money // size.cost)
        stack += [
            (at + 1, need - n * size.room, money - n * size.cost, count - n)
            for n in range(most + 1)
        ]
    return False


def sticks_needed(core: Core, enough: int) -> int:
    """Return the best bound of the dual feasible functions on sticks of one size.

    Parameters
    ----------
    core
        Has one size of stick.
    enough
        A bound with which to look no further.
    """
    needed, _ = _best_shares(core, enough)
    return needed


def best_shares(core: Core, enough: int) -> tuple[int, ...]:
    """Return the shares of the parts behind `sticks_needed`, in whole numbers."""
    _, shares = _best_shares(core, enough)
    return shares


def _best_shares(core: Core, enough: int) -> tuple[int, tuple[int, ...]]:
    best: tuple[int, tuple[int, ...]] = (0, ())
    for shares, whole in _shares(core):
        needed = _sticks_for(core, shares, whole)
        if needed > best[0]:
            best = needed, shares
            if needed >= enough:
                break
    return best


def _sticks_for(core: Core, shares: tuple[int, ...], whole: int) -> int:
    got = sum(share * d for share, d in zip(shares, core.demands, strict=True))
    return -(-got // whole)


def _shares(core: Core) -> Iterator[tuple[tuple[int, ...], int]]:
    """Make the shares worth trying, each with that of a whole stick."""
    (size,) = core.sizes
    room, weights = size.room, core.weights
    yield weights, room
    for k in range(2, 21):
        yield tuple(_share_of_slots(w, k, room) for w in weights), k * room
    for small in sorted(
        {w for w in weights if 2 * w <= room}
        | {room - w + 1 for w in weights if 2 * w > room}
    ):
        yield tuple(_large_as_whole(w, small, room) for w in weights), room
        twice = 2 * (room // small)
        yield tuple(_rounded_twice(w, small, room) for w in weights), twice


def _share_of_slots(weight: int, k: int, room: int) -> int:
    """Return u(k) of a weight, in k * room-ths."""
    slots, rest = divmod((k + 1) * weight, room)
    return slots * room if rest else k * weight


def _large_as_whole(weight: int, small: int, room: int) -> int:
    """Return a weight: small ones count nothing, those that leave less, a room."""
    if weight < small:
        return 0
    return room if weight > room - small else weight


def _rounded_twice(weight: int, small: int, room: int) -> int:
    """Return f(2) of a weight, in 2 * (room // small)-ths."""
    if 2 * weight > room:
        return 2 * (room // small - (room - weight) // small)
    return room // small if 2 * weight == room else 2 * (weight // small)


def _fractional(order: list[Size], at: int, need: int) -> int | None:
    """Return the cost of covering with parts of sticks, up to whole cents.

    None where the sticks run out.
    """
    cost = 0
    for size in order[at:]:
        if need <= size.room * size.limit:
            return cost - (-need * size.cost // size.room)
        need -= size.room * size.limit
        cost += size.cost * size.limit
    return cost if need <= 0 else None


def _upper_cover(core: Core, order: list[Size]) -> int:
    """Return the cost of a cover by the cheapest sticks per room."""
    need, cost = core.total, 0
    for size in order:
        used = min(size.limit, max(0, -(-need // size.room)))
        need -= used * size.room
        cost += used * size.cost
    return cost
