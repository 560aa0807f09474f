"""Parts too short for jointer and planer, milled as one longer piece.

Copies lie end to end with the kerfs that part them; the piece has one rough length, and
is as long as the machines take (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nesting.milling.want import Mill, Want, shortest_milled


def ganged(want: Want, mill: Mill) -> Iterator[tuple[Want, int]]:
    """Yield what to mill, each with how often, so that all copies of a part come of it.

    A part that is long enough, or is wanted once, is yielded as it is. The copies of a
    shorter one are shared out evenly, to as few in each as the machines ask for.
    """
    copies = want.part.quantity
    least = shortest_milled(mill)
    if copies == 1 or want.rough_length(mill) >= least:
        yield want, copies
        return
    fewest = 2
    while fewest < copies and _long(want, fewest, mill) < least:
        fewest += 1
    gangs = max(1, copies // fewest)
    small, more = divmod(copies, gangs)
    if more:
        yield _gang(want, small + 1, mill), more
    yield _gang(want, small, mill), gangs - more


def _long(want: Want, copies: int, mill: Mill) -> int:
    """Return how long a gang is without being raised to what the machines take."""
    one = replace(want, part=replace(want.part, quantity=2))
    return one.rough_length(mill) + (copies - 1) * (want.length + mill.crosscut_kerf)


def _gang(want: Want, copies: int, mill: Mill) -> Want:
    length = copies * want.length + (copies - 1) * mill.crosscut_kerf
    return replace(want, length=length, copies=copies)
