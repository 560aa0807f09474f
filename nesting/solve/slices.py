"""How many slices a board gives when it is resawn, on the saws of the shop."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.blank import Blank
from nesting.model.shop import Saw
from nesting.model.terms import Plane
from nesting.units import Ticks


def layers_in(blank: Blank, thickness: Ticks, saws: Sequence[Saw]) -> tuple[int, int]:
    """Return how many slices for a blank come out of a thickness, surely and at most.

    Parameters
    ----------
    blank
        What each slice is for; it stands on its edge at the saw.
    thickness
        Of the board, in ticks.
    saws
        Of the shop.

    Returns
    -------
    tuple of int
        With the widest kerf of a saw that reaches the blank's width, and with the
        narrowest: ``slices * (slice + kerf) <= thickness + kerf``. Both are 1 where it
        is not resawn, or only one slice would come out.
    """
    kerfs = [
        saw.kerf
        for saw in saws
        if Plane.RESAW in saw.planes
        and (saw.tallest is None or saw.tallest >= blank.width)
        and (saw.longest_cut is None or saw.longest_cut >= blank.length)
    ]
    if blank.resawn is None or not kerfs:
        return 1, 1
    surely, most = (
        max(1, (thickness + kerf) // (blank.resawn + kerf))
        for kerf in (max(kerfs), min(kerfs))
    )
    return surely, most
