"""Placing pieces where the sticks are few: all of them if it can be, else the most.

Problem: a plan for every piece under the limits, whatever it costs; where there is
none, the greatest length placed. Method: the search for the plan that saws up the least
length of stick, whose prices say which pieces are hard to place, by the steps of
`search`; then CP-SAT over all fills, or over those met where they are too many.
Guarantee: "settled" and "proven" are right; a plan may be missed where neither is said.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.solve.sticks.integer import Aim, Offer
from nesting.solve.sticks.master import Master
from nesting.solve.sticks.search import COMPLETE_EFFORT, FIRST_EFFORT, POOL

if TYPE_CHECKING:
    from fractions import Fraction

    from nesting.solve.sticks.core import Core
    from nesting.solve.sticks.search import Search


def place_all(search: Search) -> bool:
    """Look for a plan that places every piece.

    Returns
    -------
    bool
        Whether the question is settled: such a plan is held, or none exists.
    """
    standing = search.standing
    by_room, master, most = _by_room(search)
    if by_room.total > most:
        return True

    def too_dear(room: Fraction) -> bool:
        return room > most

    root = search.relax(by_room, master, most)
    if root is None:
        return False
    if root.bound > most:
        return True
    useful = search.list_better(by_room, root.weighing, most)
    for turn in range(search.rounds):
        search.dive(
            by_room, master, root, turn, enough=standing.is_full, too_dear=too_dear
        )
        if standing.is_full():
            return True
        if useful is not None:
            effort = COMPLETE_EFFORT * 2**turn
            if search.choose(Aim.ANY, useful, effort, turn).is_final:
                return True
        some = Offer(columns=master.columns[-POOL:])
        search.choose(Aim.ANY, some, FIRST_EFFORT * 2**turn, turn)
        if standing.is_full():
            return True
    return False


def place_most(search: Search) -> bool:
    """Place the greatest length, then at the least cost, then in the fewest sticks.

    Returns
    -------
    bool
        Whether that is proven.
    """
    offer = search.list_all()
    is_all = offer is not None
    if offer is None:
        by_room, master, _ = _by_room(search)
        root = search.relax(by_room, master)
        if root is not None:
            search.dive(
                by_room,
                master,
                root,
                0,
                enough=search.standing.is_full,
                too_dear=lambda _: False,
            )
        mine = [(cut.size, cut.fill) for cut in search.standing.plan.cuts]
        offer = Offer(columns=list(dict.fromkeys([*mine, *search.met[-POOL:]])))
    for aim in (Aim.LOSS, Aim.COST, Aim.STICKS):
        choice = search.choose(aim, offer, COMPLETE_EFFORT, 0)
        is_all = is_all and choice.is_final
    return is_all


def _by_room(search: Search) -> tuple[Core, Master, int]:
    """Return the core that pays by the length of stick, its master, and the length."""
    core = search.core
    by_room = core.priced(tuple(size.room for size in core.sizes))
    master = Master(by_room)
    master.add((cut.size, cut.fill) for cut in search.standing.plan.cuts)
    master.add(search.met)
    return by_room, master, sum(size.room * size.limit for size in core.sizes)
