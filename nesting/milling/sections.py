"""Which section of a lumber family a piece is cut from."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.job import Section
from nesting.units import Ticks


def choose_section(
    sections: Sequence[Section], thickness: Ticks, width: Ticks
) -> Section | None:
    """Return the section that holds a size with the least wood to take off.

    Parameters
    ----------
    sections
        The dressed sizes that can be had.
    thickness, width
        What the blank needs, in ticks.

    Returns
    -------
    Section or None
        An exact thickness goes before a narrower width, since ripping is easier than
        planing; None where nothing holds it.

    Examples
    --------
    >>> two_by_four = Section(name="2x4", thickness=60_960, width=142_240)
    >>> choose_section([two_by_four], 60_960, 142_240).name
    '2x4'
    >>> choose_section([two_by_four], 60_961, 142_240) is None
    True
    """
    able = [s for s in sections if s.thickness >= thickness and s.width >= width]
    return min(able, key=lambda s: (s.thickness, s.width, s.name), default=None)
