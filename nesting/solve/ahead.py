"""Cuts that are made on a larger piece because no saw makes them on its children."""

from __future__ import annotations

from typing import NoReturn

from nesting.errors import InfeasibleError
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.bench import Bench
from nesting.solve.strokes import OpenPiece, low_trim
from nesting.units import TICKS_PER_MM, Ticks

OTHER = {Plane.CROSSCUT: Plane.RIP, Plane.RIP: Plane.CROSSCUT}


def trim_ahead(bench: Bench, piece: OpenPiece, node: Node) -> OpenPiece:
    """Take a margin off across a division that would leave a child no saw can trim.

    A margin is cut when its edge first serves. A child may then be too wide for the
    stop and too narrow for the fence, while the piece it comes from is not.
    """
    across = OTHER[node.plane]
    span = piece.along(across)
    if not span.low:
        return piece
    pushed = piece.along(node.plane).low
    for size, child in zip(node.sizes, node.children, strict=True):
        if isinstance(child, Node) and not child.ordered:
            continue
        needed = _needed(bench, child, across)
        for run in {size, size + pushed}:
            if bench.strokes(piece, across, needed, run) is None:
                ways = bench.ways_for(piece, across)
                trim = low_trim(ways, piece.run(across), span)
                return piece if trim is None else bench.keep_wanted(piece, across, trim)
    return piece


def _needed(bench: Bench, tree: Tree, plane: Plane) -> Ticks:
    """Return the size of a leaf, or of the largest member of a run, along an axis."""
    if isinstance(tree, Leaf):
        return _size(bench, tree, plane)
    return max(_size(bench, child, plane) for child in tree.children)


def square_run(bench: Bench, piece: OpenPiece, node: Node) -> OpenPiece:
    """Bring the piece of a run to the size of its largest member across.

    If no saw does that on the whole piece, it is cut to the run's length first.
    """
    plane = node.plane
    other = OTHER[plane]
    across = _needed(bench, node, other)
    kerf = max((way.kerf for way in bench.ways if way.plane is plane), default=0)
    total = sum(node.sizes) + (len(node.sizes) - 1) * kerf
    straight = bench.strokes(piece, other, across, piece.run(other))
    if straight is not None:
        return bench.make(piece, other, straight)
    first = bench.strokes(piece, plane, total, piece.run(plane))
    second = bench.strokes(piece, other, across, total)
    if first is None or second is None:
        refuse(bench, piece, other, across, "")
    return bench.make(bench.make(piece, plane, first), other, second)


def _size(bench: Bench, tree: Tree, plane: Plane) -> Ticks:
    """Return the size of a leaf along the axis a plane divides."""
    if not isinstance(tree, Leaf):
        message = f"a run of {bench.layout} has a member that is no blank"
        raise TypeError(message)
    blank = bench.blanks[tree.blank]
    lengthwise = (plane is Plane.CROSSCUT) != tree.turned
    return blank.length if lengthwise else blank.width


def refuse(
    bench: Bench, piece: OpenPiece, plane: Plane, size: Ticks, blank: str
) -> NoReturn:
    """Raise what says that no saw makes a cut at a distance, and for which blank."""
    parts = (bench.blanks[blank].part,) if blank in bench.blanks else ()
    message = (
        f"no saw of the shop makes the {plane} that {blank or 'the layout'} needs on "
        f"{bench.stock.id}: a cut {piece.run(plane) // TICKS_PER_MM} mm long at "
        f"{size // TICKS_PER_MM} mm"
    )
    raise InfeasibleError(message, parts=parts)
