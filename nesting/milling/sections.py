"""Which sections of a lumber family a piece may be cut from."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.job import Section
from nesting.units import Ticks


def sections_for(
    sections: Sequence[Section],
    thickness: Ticks,
    width: Ticks,
    *,
    square: bool = False,
) -> tuple[Section, ...]:
    """Return the sections that hold a size, those with the least to take off first.

    Parameters
    ----------
    sections
        The dressed sizes that can be had.
    thickness, width
        What the blank needs, in ticks.
    square
        Whether it keeps no rounded edge of the board.

    Returns
    -------
    tuple of Section
        An exact thickness goes before a narrower width, since ripping is easier than
        planing; empty where nothing holds it.

    Examples
    --------
    >>> two_by_four = Section(name="2x4", thickness=60_960, width=142_240)
    >>> [each.name for each in sections_for([two_by_four], 60_960, 142_240)]
    ['2x4']
    >>> sections_for([two_by_four], 60_961, 142_240)
    ()
    """
    able = [
        s
        for s in sections
        if s.thickness >= thickness and (s.square_width if square else s.width) >= width
    ]
    return tuple(sorted(able, key=lambda s: (s.thickness, s.width, s.name)))
