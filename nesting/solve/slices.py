"""How many slices a board gives when it is resawn, on the saws of the shop."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.blank import Blank
from nesting.model.shop import Saw
from nesting.model.terms import Form, Plane
from nesting.solve.reach import ways_to_cut
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
        With the widest kerf of a saw that reaches the blank's width and length and may
        be set to a slice, and with the narrowest:
        ``slices * (slice + kerf) <= thickness + kerf``. Both are 1 where it is not
        resawn, or only one slice would come out.
    """
    if blank.resawn is None:
        return 1, 1
    kerfs = [
        way.kerf
        for way in ways_to_cut(saws, Form.BOARD, thickness)
        if way.plane is Plane.RESAW
        and way.stands(blank.width)
        and way.makes(max(blank.length, blank.resawn), blank.resawn)
    ]
    if not kerfs:
        return 1, 1
    surely, most = (
        max(1, (thickness + kerf) // (blank.resawn + kerf))
        for kerf in (max(kerfs), min(kerfs))
    )
    return surely, most
