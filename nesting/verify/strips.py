"""The most that boards hold of weighed blanks: crosscut, ripped, resawn, crosscut.

A board is crosscut to sections no longer than the shop rips, a section is ripped to
strips, a strip may be resawn to slices of one thickness, and strips or slices are
crosscut to blanks. By dynamic programs, one inside the other, on a grid:

    row(x)      blanks in a row of length x, no more of one than are wanted
    strip(w, x) the best row of blanks no wider than w, or so many slices of rows whose
                blanks have one thickness
    section(w, x)   strips side by side
    board(x)    sections end to end, and blanks that keep a board's whole width

Gilmore & Gomory, Operations Research 13 (1965) 94-120. A strip of thicker wood may be
planed down, so that every blank may lie on one that is not resawn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from nesting.verify.rectangles import MOST_SUM, TooLarge

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

MOST_LONG: Final = 20_000
"""Grid units along a board."""
MOST_WIDE: Final = 2_000
MOST_CELLS: Final = 400_000_000
"""Sums looked at for one board."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A blank on boards of one section, in grid units."""

    long: int
    wide: int
    worth: int
    count: int
    """How many are wanted."""
    thickness: int
    """Of a slice, in ticks; only blanks of one thickness share a resawn strip."""
    layers: int
    """How many such slices a board gives, 1 if none are sawn of it."""
    may_be_long: bool
    """Whether it may be longer than what is ripped: it keeps the board's width."""


def best_boards(
    strips: Sequence[Strip], rough: int, boards: Mapping[str, tuple[int, int]]
) -> dict[str, int]:
    """Return what the best board of each kind holds.

    Parameters
    ----------
    strips
        The blanks that may come from boards of this section.
    rough
        The longest section that is ripped.
    boards
        Length and width of each kind, by its name.

    Raises
    ------
    TooLarge
        Where it would take too long, or sums would grow too large.
    """
    if not boards:
        return {}
    longest = max(long for long, _ in boards.values())
    widest = max(wide for _, wide in boards.values())
    rough = min(rough, longest)
    strips = [each for each in strips if each.worth]
    widths = sorted({each.wide for each in strips if each.wide <= widest})
    cells = widest * max(1, len(widths)) * (rough + 1) + longest * (rough + 1)
    if longest > MOST_LONG or widest > MOST_WIDE or cells > MOST_CELLS:
        message = "has a grid too fine to go through: too large to re-check"
        raise TooLarge(message)
    most = max((each.worth * each.layers for each in strips), default=0)
    if most * (longest + 1) * (widest + 1) >= MOST_SUM:
        message = "has weights too large to add up"
        raise TooLarge(message)
    sections = _sections(_strips(strips, widths, rough), widths, widest, rough)
    return {
        name: _board(strips, sections[min(wide, widest)], long)
        for name, (long, wide) in boards.items()
    }


def _strips(strips: Sequence[Strip], widths: Sequence[int], rough: int) -> list[Line]:
    """Return the best strip of each width and length."""
    import numpy as np

    classes: dict[tuple[int, int], list[Strip]] = {}
    for each in strips:
        classes.setdefault((0, 1), []).append(each)
        if each.layers > 1:
            classes.setdefault((each.thickness, each.layers), []).append(each)
    found = [np.zeros(rough + 1, dtype=np.int64) for _ in widths]
    for (_, layers), members in classes.items():
        row = np.zeros(rough + 1, dtype=np.int64)
        waiting = sorted(members, key=lambda each: each.wide)
        for place, width in enumerate(widths):
            while waiting and waiting[0].wide <= width:
                _lay(row, waiting.pop(0))
            np.maximum(found[place], layers * row, out=found[place])
    return found


def _lay(row: Line, each: Strip) -> None:
    """Let a row hold one more kind of blank."""
    import numpy as np

    left, copies = min(each.count, (len(row) - 1) // each.long), 1
    while left:
        taken = min(copies, left)
        size = taken * each.long
        more = row[: len(row) - size] + taken * each.worth
        np.maximum(row[size:], more, out=row[size:])
        left -= taken
        copies *= 2


def _sections(
    strips: Sequence[Line], widths: Sequence[int], widest: int, rough: int
) -> list[Line]:
    """Return the best section of each width and length."""
    import numpy as np

    found = [np.zeros(rough + 1, dtype=np.int64)]
    for width in range(1, widest + 1):
        best = found[width - 1].copy()
        for strip, size in zip(strips, widths, strict=True):
            if size > width:
                break
            np.maximum(best, found[width - size] + strip, out=best)
        found.append(best)
    return found


def _board(strips: Sequence[Strip], section: Line, long: int) -> int:
    """Return the best board of a length."""
    import numpy as np

    whole = [
        (each.long, each.worth * each.layers)
        for each in strips
        if each.may_be_long and each.long <= long
    ]
    best = np.zeros(long + 1, dtype=np.int64)
    for here in range(1, long + 1):
        reach = min(here, len(section) - 1)
        behind = best[here - reach : here][::-1]
        most = max(int(best[here - 1]), int((behind + section[1 : reach + 1]).max()))
        for size, worth in whole:
            if size <= here:
                most = max(most, int(best[here - size]) + worth)
        best[here] = most
    return int(best[long])
