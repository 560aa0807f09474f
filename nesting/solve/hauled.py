"""Where lumber that is too long to be carried home is sawn in two at the store.

Problem: a piece of length L is cut to pieces no longer than a haul H, as few as can be,
by a saw with a kerf k. The first piece may be anything from what the others leave, each
of length H, up to H.

Method: the places that are tried are those of equal pieces, of a piece as long as can
be at either end, and those that leave at one end just what so many copies of a blank
need. That the best place is among them is not guaranteed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.model.shop import Haul
from nesting.model.stock import Stock
from nesting.model.terms import Form, Origin
from nesting.units import Ticks


@dataclass(frozen=True, slots=True)
class Sawing:
    """A cut at the store, and the cuts there of what it makes."""

    axis: int
    """0 where it divides the length, 1 where it divides the width."""
    at: Ticks
    """The near side of its kerf, from the reference corner of the stock."""
    low: Sawing | None = None
    high: Sawing | None = None

    @property
    def cuts(self) -> int:
        """How many there are, this one with them."""
        return 1 + sum(side.cuts for side in (self.low, self.high) if side is not None)


def in_a_row(places: Sequence[Ticks]) -> Sawing | None:
    """Return crosscuts from the low end on; None for no place."""
    if not places:
        return None
    return Sawing(0, places[0], None, in_a_row(places[1:]))


def is_hauled(stock: Stock, haul: Haul | None) -> bool:
    """Tell whether stock is lumber of the store that is too long to be carried."""
    return (
        haul is not None
        and stock.form is not Form.SHEET
        and stock.origin is Origin.STORE
        and stock.length > haul.length
    )


def sawing_places(
    stock: Stock, haul: Haul, lengths: Iterable[Ticks], kerf: Ticks
) -> tuple[tuple[Ticks, ...], ...]:
    """Return ways to saw stock to what can be carried, each as its places.

    Parameters
    ----------
    stock
        Longer than the haul.
    haul
        What can be carried, and the store's saw.
    lengths
        Of blanks that are wanted.
    kerf
        Between two of them.

    Returns
    -------
    tuple of tuple
        The near sides of the kerfs from the low end, in ticks, each way once.
    """
    saw, most = haul.saw.kerf, haul.length
    pieces = -(-(stock.length + saw) // (most + saw))
    # No cut leaves some of the trim of an end on the piece behind it.
    longer = (pieces - 2) * (most + saw)
    least = stock.length - (pieces - 1) * (most + saw)
    least = max(1, least, stock.trim.low_x - saw)
    longest = min(most, stock.length - stock.trim.high_x - longer)
    equal = -(-(stock.length - (pieces - 1) * saw) // pieces)
    rows = [tuple(n * (equal + saw) - saw for n in range(1, pieces))]
    firsts = [longest, least]
    for length in lengths:
        low = stock.trim.low_x + haul.tolerance
        firsts.append(low + _copies(most - low, length, kerf))
        if pieces == 2:
            high = stock.trim.high_x + haul.tolerance
            last = high + _copies(most - high, length, kerf)
            firsts.append(stock.length - saw - last)
    for first in firsts:
        if least <= first <= longest:
            begin = range(pieces - 1)
            rows.append(tuple(first + n * (saw + most) for n in begin))
    return tuple(dict.fromkeys(row for row in rows if row[-1] + saw < stock.length))


def _copies(room: Ticks, length: Ticks, kerf: Ticks) -> Ticks:
    """Return what as many blanks as there is room for take with their kerfs."""
    count = max(0, (room + kerf) // (length + kerf))
    return max(0, count * (length + kerf) - kerf)
