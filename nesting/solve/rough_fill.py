"""How many sheets of a kind parts may take, by a quick guess that orders what is tried.

Problem: parts, and sheets that each come as the same few rectangles; as few sheets as
can be. Method: the largest part first, into the free rectangle that is left with the
least on its shorter side; what is beside it is divided by one cut through the larger
rest (best short side fit, guillotine; Jukka Jylänki, *A Thousand Ways to Pack the Bin*,
2010, from memory). A new sheet is opened where no rectangle holds the part. Nothing is
guaranteed: a search says what is true.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from nesting.units import Ticks

_MOST_PARTS: Final = 40

Size = tuple[Ticks, Ticks]
"""Along x and along y."""


class Wanted(NamedTuple):
    """A part, each way it may lie, and how many of it."""

    lies: tuple[Size, ...]
    quantity: int


class Guess(NamedTuple):
    """What a way to divide the sheets comes to; the least is the best."""

    unheld: int
    """The area of the parts that no rectangle holds, in square ticks."""
    sheets: int
    free: int
    """The area of the largest free rectangle, counted down."""
    held: int
    """The area of the parts that are held."""

    @property
    def area_per_sheet(self) -> int:
        """How much of the parts that are held a sheet takes."""
        return self.held // self.sheets if self.sheets else 0


def guess(wanted: Sequence[Wanted], rects: Sequence[Size], kerfs: Size) -> Guess:
    """Return what parts may take of sheets that come as such rectangles.

    Parameters
    ----------
    wanted
        The parts; where there are many, fewer stand for them.
    rects
        Of one sheet, in ticks.
    kerfs
        Of a cut that divides x, and of one that divides y.
    """
    total = sum(each.quantity for each in wanted)
    parts = sorted(
        (
            each.lies
            for each in wanted
            for _ in range(-(-each.quantity * min(total, _MOST_PARTS) // total))
        ),
        key=lambda lies: (-lies[0][0] * lies[0][1], lies),
    )
    free: list[Size] = []
    sheets = unheld = held = 0
    for lies in parts:
        place = _place(lies, free)
        if place is None:
            place = _place(lies, rects)
            if place is None:
                unheld += lies[0][0] * lies[0][1]
                continue
            sheets += 1
            place = (place[0] + len(free), place[1])
            free.extend(rects)
        number, (x, y) = place
        held += x * y
        free[number : number + 1] = _beside(free[number], (x, y), kerfs)
    largest = max((x * y for x, y in free), default=0)
    return Guess(unheld, sheets, -largest, held)


def _place(lies: Sequence[Size], free: Sequence[Size]) -> tuple[int, Size] | None:
    """Return the number of the rectangle that a part fills best, and how it lies."""
    best: tuple[Ticks, int, Size] | None = None
    for number, (length, width) in enumerate(free):
        for x, y in lies:
            rest = min(length - x, width - y)
            if rest >= 0 and (best is None or rest < best[0]):
                best = rest, number, (x, y)
    return None if best is None else (best[1], best[2])


def _beside(rect: Size, part: Size, kerfs: Size) -> list[Size]:
    """Return what is left of a rectangle, the larger rest in one piece."""
    right, above = (rect[n] - part[n] - kerfs[n] for n in (0, 1))
    if right * rect[1] >= above * rect[0]:
        rests = [(right, rect[1]), (part[0], above)]
    else:
        rests = [(rect[0], above), (right, part[1])]
    return [rest for rest in rests if min(rest) > 0]
