"""Where sheets that are too large to be carried home are cut at the store.

Problem: a sheet of sizes L x W becomes pieces that can be carried, each within A x B
either way round, by at most c cuts from edge to edge, by a saw with a kerf k; every new
edge is trimmed by as much as the store may be off.

Method: the cuts that are tried leave one piece as large as can be carried, or pieces
alike, or what one or two blanks, or several copies of one, need just so. A piece that
can be carried is not cut again: at home that loses less. As few cuts as do are tried,
and one more; how many a piece takes is reckoned with cuts that leave as much on one
side as can be carried. That the best way is among them is not guaranteed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, islice
from typing import Final, NamedTuple

from nesting.model.shop import SheetHaul
from nesting.model.stock import Stock
from nesting.model.terms import Form, Origin, Plane
from nesting.solve.hauled import Sawing
from nesting.solve.reach import Way, store_way
from nesting.units import Ticks

_PLANES: Final = (Plane.CROSSCUT, Plane.RIP)
_MOST_SIZES: Final = 8
"""Different blanks that are combined, those with most area first."""
_MOST_COPIES: Final = 6
_MOST_PLACES: Final = (40, 10, 4)
"""On an axis of the sheet, of its pieces, and of theirs."""
_MOST_WAYS: Final = 400
_MOST_LOOKED_AT: Final = 20_000
"""Pieces."""

Lies = tuple[Ticks, Ticks]
"""What a blank takes along x and along y."""


class _Side(NamedTuple):
    """One axis of a piece: where it is, and what is trimmed at either end."""

    start: Ticks
    size: Ticks
    low: Ticks
    high: Ticks


_Piece = tuple[_Side, _Side]


def is_too_large(stock: Stock, haul: SheetHaul | None) -> bool:
    """Tell whether stock is a sheet of the store that cannot be carried whole."""
    return (
        haul is not None
        and stock.form is Form.SHEET
        and stock.origin is Origin.STORE
        and not haul.carries(stock.length, stock.width)
    )


def sawings(
    stock: Stock,
    haul: SheetHaul,
    lies: Sequence[Lies],
    kerfs: Mapping[Plane, Ticks],
) -> tuple[Sawing, ...]:
    """Return ways to cut a sheet at the store to what can be carried.

    Parameters
    ----------
    stock
        Too large to be carried.
    haul
        What can be carried, and the store's saw.
    lies
        The blanks that are wanted, as they may lie, those that matter most first.
    kerfs
        Of the cuts at home.

    Returns
    -------
    tuple of Sawing
        Those with fewer cuts first; none where no way was found.
    """
    trim = stock.trim
    whole = (
        _Side(0, stock.length, trim.low_x, trim.high_x),
        _Side(0, stock.width, trim.low_y, trim.high_y),
    )
    for most in range(1, haul.cuts + 1):
        found: list[Sawing | None] = _Search(stock, haul, lies, kerfs).ways(
            whole, most, 0
        )
        if found and most < haul.cuts:
            more = _Search(stock, haul, lies, kerfs).ways(whole, most + 1, 0)
            found = [*found, *more]
        if found:
            known = dict.fromkeys(way for way in found if way is not None)
            return tuple(sorted(known, key=lambda way: way.cuts))
    return ()


class _Search:
    """The ways to cut one sheet."""

    def __init__(
        self,
        stock: Stock,
        haul: SheetHaul,
        lies: Sequence[Lies],
        kerfs: Mapping[Plane, Ticks],
    ) -> None:
        self.haul = haul
        self.ways_of: tuple[Way | None, ...] = tuple(
            store_way(haul.saw, plane, stock.thickness) for plane in _PLANES
        )
        self.needs = tuple(
            _needs(dict.fromkeys(each[axis] for each in lies), kerfs[plane])
            for axis, plane in enumerate(_PLANES)
        )
        self.looked_at = 0
        self.known: dict[Lies, tuple[int, int]] = {}
        """How many cuts a piece takes, and the most that were tried."""

    def ways(self, piece: _Piece, most: int, depth: int) -> list[Sawing | None]:
        """Return the ways to cut a piece by so many cuts; None is no cut at all."""
        length, width = piece[0].size, piece[1].size
        if self.haul.carries(length, width):
            return [None]
        self.looked_at += 1
        if self.looked_at > _MOST_LOOKED_AT:
            return []
        if self._cuts_for(length, width, most) > most:
            return []
        found: list[Sawing | None] = []
        for axis in (0, 1):
            way, run = self.ways_of[axis], piece[1 - axis].size
            places = [
                at
                for at in self._places(piece, axis, depth)
                if way is not None and way.makes(run, at)
            ]
            each = _MOST_WAYS // (2 * max(1, len(places)))
            for at in places:
                found += islice(self._divided(piece, axis, at, most, depth), each)
        return found

    def _divided(
        self, piece: _Piece, axis: int, at: Ticks, most: int, depth: int
    ) -> Iterator[Sawing]:
        """Yield the ways that begin with one cut."""
        side, off, kerf = piece[axis], self.haul.tolerance, self.haul.saw.kerf
        begin = at + kerf
        low = _Side(side.start, at, side.low, off)
        high = _Side(side.start + begin, side.size - begin, off, side.high)
        lower, upper = _with(piece, axis, low), _with(piece, axis, high)
        spare = most - 1 - self._cuts_for(upper[0].size, upper[1].size, most - 1)
        if spare < 0:
            return
        for one in self.ways(lower, spare, depth + 1):
            left = most - 1 - (0 if one is None else one.cuts)
            for two in self.ways(upper, left, depth + 1):
                yield Sawing(axis, side.start + at, one, two)

    def _cuts_for(self, length: Ticks, width: Ticks, most: int) -> int:
        """Return how many cuts a piece takes, or more than the most.

        Pieces are cut off it that are as large as can be carried on one side.
        """
        key = length, width
        known = self.known.get(key)
        if known is not None and (known[0] <= known[1] or most <= known[1]):
            return known[0]
        least = 0 if self.haul.carries(length, width) else most + 1
        held = self.haul.length * self.haul.width
        if least and -(-length * width // held) - 1 <= most:
            for near, far in self._halves(length, width):
                first = self._cuts_for(*near, least - 2)
                if first <= least - 2:
                    second = self._cuts_for(*far, least - 2 - first)
                    least = min(least, 1 + first + second)
        self.known[key] = least, most
        return least

    def _halves(self, length: Ticks, width: Ticks) -> Iterator[tuple[Lies, Lies]]:
        """Yield what the cuts leave that take off as much as can be carried."""
        kerf = self.haul.saw.kerf
        for most in (self.haul.length, self.haul.width):
            at = most if length > most + kerf else (length - kerf) // 2
            if length > most and at > 0 and self.ways_of[0] is not None:
                yield (at, width), (length - at - kerf, width)
            at = most if width > most + kerf else (width - kerf) // 2
            if width > most and at > 0 and self.ways_of[1] is not None:
                yield (length, at), (length, width - at - kerf)

    def _places(self, piece: _Piece, axis: int, depth: int) -> list[Ticks]:
        """Return the near sides of the cuts to try, from the piece's low side."""
        side, across = piece[axis], piece[1 - axis].size
        kerf, off = self.haul.saw.kerf, self.haul.tolerance
        step = self.haul.step

        def down(at: Ticks) -> Ticks:
            return at // step * step

        def up(at: Ticks) -> Ticks:
            return -(-at // step) * step

        tried: list[Ticks] = []
        for most in self._longest(across):
            count = -(-(side.size + kerf) // (most + kerf))
            for pieces in (count, count + 1):
                equal = -(-(side.size - (pieces - 1) * kerf) // pieces)
                tried += [up(n * (equal + kerf) - kerf) for n in range(1, pieces)]
            tried += [down(most), up(side.size - kerf - most)]
        for need in self.needs[axis]:
            tried.append(up(side.low + need + off))
            tried.append(down(side.size - side.high - need - off - kerf))
        found = dict.fromkeys(at for at in tried if 0 < at < side.size - kerf)
        return [*found][: _MOST_PLACES[min(depth, len(_MOST_PLACES) - 1)]]

    def _longest(self, across: Ticks) -> tuple[Ticks, ...]:
        """Return how long pieces that are so wide may be: first as they are carried.

        The other side comes last: it is for what is cut along once more.
        """
        long = max(self.haul.length, self.haul.width)
        short = min(self.haul.length, self.haul.width)
        sides = (short, long) if short < across <= long else (long, short)
        return tuple(dict.fromkeys(sides))


def _with(piece: _Piece, axis: int, side: _Side) -> _Piece:
    return (side, piece[1]) if axis == 0 else (piece[0], side)


def _needs(sizes: Mapping[Ticks, None], kerf: Ticks) -> tuple[Ticks, ...]:
    """Return what one blank takes, then two, then more copies of one."""
    most = [*sizes][:_MOST_SIZES]
    pairs = [one + two + kerf for one, two in combinations(most, 2)]
    copies = [
        count * (size + kerf) - kerf
        for count in range(2, _MOST_COPIES + 1)
        for size in most
    ]
    return tuple(dict.fromkeys([*most, *copies[: len(most)], *pairs, *copies]))
