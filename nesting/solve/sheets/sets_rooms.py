"""The kernels that bound what goes beside a box: two tables over a grid.

On the grid a sheet is X x Y, and no piece takes more room than in truth. With F(x, y)
for what a rectangle holds at most and U(x, y) for what goes beside a box of x by y,

    F(x, y) = min(K(x, y), max of v[i] fitting, F(a, y) + F(x - a, y), ...)
    U(x, y) = min(K'(x, y), max of U(x + 1, y), F(a, y) + U(x + a, y), ...)

and likewise along y. K and K' are fractional knapsacks by area over the pieces that
can lie there at all, none more often than it is wanted. Every way to cut a sheet edge
to edge that has the box as one of its pieces keeps at most U beside it: the box and its
neighbour make a larger box, until it is the sheet.
"""

from __future__ import annotations

from typing import Final, TypeAlias

from nesting.solve.kernel import Ints, kernel

# The places of the frame: what stays the same while values change.
FULL_X: Final = 0
FULL_Y: Final = 1
GRID_X: Final = 2  # units of the tables along x, for FULL_X
GRID_Y: Final = 3
WORDS: Final = 4  # of a set
KINDS: Final = 5
AREA_UNIT: Final = 6  # of the areas of the pieces, which are rounded down

Pieces: TypeAlias = tuple[Ints, Ints, Ints, Ints, Ints, Ints, Ints]
"""Of the kinds, densest first: worth, area, x and y of one lie, x and y of the other
(of the same where there is but one), and how many are wanted."""


@kernel
def held(pieces: Pieces, count: int, x: int, y: int, area: int, outer: bool) -> int:
    """Bound the worth of pieces in an area.

    Pieces count that lie within x and y; where `outer`, within x or within y.
    """
    worths, areas, x0, y0, x1, y1, wanted = pieces
    total = 0
    for i in range(count):
        if outer:
            if not (x0[i] <= x or y0[i] <= y or x1[i] <= x or y1[i] <= y):
                continue
        elif not ((x0[i] <= x and y0[i] <= y) or (x1[i] <= x and y1[i] <= y)):
            continue
        room = areas[i] * wanted[i]
        if room >= area:
            return total + worths[i] * area // areas[i]
        total += worths[i] * wanted[i]
        area -= room
    return total


@kernel
def fill_inner(inner: Ints, frame: Ints, pieces: Pieces) -> None:
    """Fill the table of F, at y * (units of x + 1) + x; the pieces are in units."""
    full_x, full_y, count = frame[GRID_X], frame[GRID_Y], frame[KINDS]
    row = full_x + 1
    worths, _, x0, y0, x1, y1, _ = pieces
    for at in range(row * (full_y + 1)):
        inner[at] = 0
    for i in range(count):
        at = y0[i] * row + x0[i]
        inner[at] = max(inner[at], worths[i])
        at = y1[i] * row + x1[i]
        inner[at] = max(inner[at], worths[i])
    for y in range(1, full_y + 1):
        for x in range(1, full_x + 1):
            at = y * row + x
            best = max(inner[at], inner[at - 1], inner[at - row])
            for a in range(1, x // 2 + 1):
                value = inner[y * row + a] + inner[at - a]
                if value > best:
                    best = value
            for b in range(1, y // 2 + 1):
                value = inner[b * row + x] + inner[at - b * row]
                if value > best:
                    best = value
            if best > 0:
                best = min(best, held(pieces, count, x, y, x * y, False))
            inner[at] = best


@kernel
def fill_outer(outer: Ints, inner: Ints, frame: Ints, pieces: Pieces) -> None:
    """Fill the table of U, likewise; a box of no size has the whole sheet beside it."""
    full_x, full_y, count = frame[GRID_X], frame[GRID_Y], frame[KINDS]
    row = full_x + 1
    for y in range(full_y, -1, -1):
        for x in range(full_x, -1, -1):
            at = y * row + x
            best = 0
            if x < full_x:
                best = outer[at + 1]
            if y < full_y:
                best = max(best, outer[at + row])
            for a in range(1, full_x - x + 1):
                value = inner[y * row + a] + outer[at + a]
                if value > best:
                    best = value
            for b in range(1, full_y - y + 1):
                value = inner[b * row + x] + outer[at + b * row]
                if value > best:
                    best = value
            if best > 0 and x > 0 and y > 0:
                area = full_x * full_y - x * y
                most = held(pieces, count, full_x - x, full_y - y, area, True)
                best = min(best, most)
            outer[at] = best
    outer[0] = inner[full_y * row + full_x]
