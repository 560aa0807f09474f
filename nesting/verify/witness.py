"""The second witness: the finished layouts as plane geometry, without any replay.

It looks at the pieces that remain as the plan lists them, and at nothing that the
replay made of the cuts: a mistake would have to be made twice, in two ways. Shapely
computes in floats, which hold whole numbers below 2**53 exactly; it tells only which
boxes share room and which lie within the stock. The sums are integers.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from nesting.model.plan import Layout, Piece, Plan, Violation
from nesting.model.terms import Fate, Plane
from nesting.units import Ticks
from nesting.verify.rules import Rule, broken

EXACT: Final = 2**53
"""Below it every whole number is a float."""


def check_geometry(plan: Plan) -> Iterator[Violation]:
    """Look at what remains of every layout (rules ``overlap``, ``outside``, ``sum``).

    A piece without a size, or so far off that a float would not be exact, is no box to
    lay down; the replay names it.
    """
    for layout in plan.layouts:
        rest = [piece for piece in layout.pieces if piece.fate != Fate.CUT.value]
        stock = layout.stock
        if _exact(stock.length, stock.width, stock.thickness):
            yield from _shapes(layout, [piece for piece in rest if _is_box(piece)])
        yield from _volumes(layout, rest)


def _exact(*sizes: Ticks) -> bool:
    return all(0 < size < EXACT for size in sizes)


def _is_box(piece: Piece) -> bool:
    place = (piece.x, piece.y, piece.z)
    return _exact(piece.length, piece.width, piece.thickness) and all(
        -EXACT < start < EXACT for start in place
    )


def _shapes(layout: Layout, rest: list[Piece]) -> Iterator[Violation]:
    """Lay the pieces down as boxes of a drawing.

    Rule ``overlap``: no two share any area, unless they lie above each other: then
    their ranges in z are apart. Rule ``outside``: each lies within the stock, in x, y
    and z.
    """
    import shapely

    where = f"layout {layout.id!r}"
    stock = layout.stock
    boxes = shapely.box(
        [float(piece.x) for piece in rest],
        [float(piece.y) for piece in rest],
        [float(piece.x + piece.length) for piece in rest],
        [float(piece.y + piece.width) for piece in rest],
    )
    whole = shapely.box(0, 0, stock.length, stock.width)
    for piece, inside in zip(rest, shapely.covers(whole, boxes), strict=True):
        if not inside or not 0 <= piece.z <= stock.thickness - piece.thickness:
            what = f"piece {piece.id!r} is not within its stock"
            yield broken(Rule.OUTSIDE, where, what)
    ones, others = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    shared = shapely.relate_pattern(boxes[ones], boxes[others], "T********")
    for one, other in zip(ones[shared].tolist(), others[shared].tolist(), strict=True):
        a, b = rest[one], rest[other]
        if one < other and a.z < b.z + b.thickness and b.z < a.z + a.thickness:
            what = f"pieces {a.id!r} and {b.id!r} share room"
            yield broken(Rule.OVERLAP, where, what)


def _volumes(layout: Layout, rest: list[Piece]) -> Iterator[Violation]:
    """Rule ``sum``: pieces that remain and kerfs have the volume of the stock.

    A kerf is as long and as wide as the listed piece that is cut. Without cuts along
    the thickness, this is the sum of the areas.
    """
    pieces = {piece.id: piece for piece in reversed(layout.pieces)}
    stock = layout.stock
    volume = sum(piece.length * piece.width * piece.thickness for piece in rest)
    for cut in layout.cuts:
        piece = pieces.get(cut.piece)
        if piece is None:  # the replay says so
            continue
        sides = {
            Plane.CROSSCUT.value: piece.width * piece.thickness,
            Plane.RIP.value: piece.length * piece.thickness,
            Plane.RESAW.value: piece.length * piece.width,
        }
        volume += cut.kerf * sides.get(cut.plane, 0)
    whole = stock.length * stock.width * stock.thickness
    if volume != whole:
        what = f"pieces and kerfs are {volume} cubic ticks, the stock is {whole}"
        yield broken(Rule.SUM, f"layout {layout.id!r}", what)
