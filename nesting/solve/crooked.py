"""Crooked lumber: a piece gets a straight edge before it is ripped, and loses width.

What is lost grows with the square of the length of the piece, so that it matters where
a board is crosscut first. It comes off the front edge of a piece that is still as wide
as its stock, the kerf of that rip in it; strips beside it are straight then (common
practice). What is not ripped loses nothing.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.model.stock import lost_to_crook
from nesting.solve.bench import Bench
from nesting.solve.strokes import OpenPiece
from nesting.units import Ticks


def is_crooked(bench: Bench, piece: OpenPiece) -> bool:
    """Tell whether a piece has no straight edge yet."""
    stock = bench.stock
    return stock.crook > 0 and (piece.y.start, piece.y.size) == (0, stock.width)


def straightened(
    bench: Bench, piece: OpenPiece, length: Ticks | None = None
) -> OpenPiece:
    """Return a piece that is to be ripped with what it loses first as a margin.

    Parameters
    ----------
    bench
        Where it is cut.
    piece
        With the margins it still has.
    length
        Of it when it is ripped; what lies between its margins if nothing is given.
    """
    if not is_crooked(bench, piece):
        return piece
    if length is None:
        length = piece.x.size - piece.x.low - piece.x.high
    lost = lost_to_crook(bench.stock.crook, length)
    return replace(piece, y=replace(piece.y, low=piece.y.low + lost))


def room_in(piece: OpenPiece) -> Ticks:
    """Return the width between the margins of a piece."""
    return piece.y.size - piece.y.low - piece.y.high
