"""Make a piece of a board ready to be divided, and say what is better left on it.

A tree of a board has only sizes; how a careful sawyer comes to them is said here (all
of it common practice). Ends are trimmed before a rip, so that one crosscut serves all
strips. A strip has its edges ripped while it is long, not its blanks one by one. A
strip to be resawn is first brought to its width, for the blade must reach through it,
and to the length that its blanks need. Blanks narrower than their strip lie together,
by width: the piece they are in is ripped once, while it is long, and then crosscut.
What all has one thickness is resawn before its blanks are cut off.
"""

from __future__ import annotations

from nesting.model.blank import Blank
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.bench import Bench
from nesting.solve.crooked import is_crooked, room_in, straightened
from nesting.solve.eased import all_mind, keep_edges
from nesting.solve.needed import leaves, needed
from nesting.solve.reach import first_way
from nesting.solve.strokes import OpenPiece, low_trim
from nesting.trade.defaults import default_length
from nesting.units import TICKS_PER_FOOT, Ticks

THINNEST_SLIVER: Ticks = 10_160
"""1/4 in: rather than saw less off, a minimum blank keeps it (common practice)."""

LONGEST_RIP: Ticks = 8 * TICKS_PER_FOOT
"""Longer pieces are not ripped for the sake of order alone: one person has to hold
them (common practice)."""

_SHORTEST_RIP: Ticks = default_length("min_rip_piece_length")


def make_ready(bench: Bench, piece: OpenPiece, node: Node) -> tuple[OpenPiece, Node]:
    """Make a piece of a board ready to be divided by a node.

    Parameters
    ----------
    bench
        Where it is cut.
    piece
        With the margins it still has.
    node
        What it is divided into.

    Returns
    -------
    piece, node
        The piece after the cuts that go before, and its children, those that are
        ripped to one width together.
    """
    if node.plane is not Plane.CROSSCUT:
        piece = _trim_end(bench, piece)
    if node.plane is Plane.RESAW:
        return _for_resaw(bench, piece, node), node
    if node.plane is Plane.CROSSCUT and _is_strip(node):
        if (piece.y.low or piece.y.high) and all_mind(bench, node):
            piece = _to_width(bench, piece, node)
        piece = _to_thickness(bench, piece, node)
        node = _by_width(bench, piece, node)
    return piece, node


def stays_on(bench: Bench, child: Tree, plane: Plane, rest: Ticks, wide: Ticks) -> bool:
    """Tell whether the last child of a board's piece keeps the rest: a mere sliver.

    It does where all its blanks are minimum and `rest`, in ticks, is too thin or too
    narrow to be sawn off for its own sake, and a piece so `wide` is crosscut.
    """
    return (
        plane is not Plane.CROSSCUT
        and rest < THINNEST_SLIVER
        and _is_crosscut(bench, wide)
        and all(bench.blanks[leaf.blank].minimum for leaf in leaves(child))
    )


def rips_first(bench: Bench, piece: OpenPiece, blank: Blank) -> bool:
    """Tell whether a blank of a board is ripped before it is cut to length.

    It is where it would be too short to rip by itself, and what is left behind it is
    of no other use.
    """
    rest = piece.x.size - blank.length
    return (
        blank.length < _SHORTEST_RIP
        and blank.width < piece.y.size
        and 0 < rest < _SHORTEST_RIP
        and not is_crooked(bench, piece)
        and not bench.offcuts.keeps(bench.stock.form, rest, piece.y.size)
    )


def stays_wide(bench: Bench, piece: OpenPiece, blank: Blank) -> bool:
    """Tell whether a minimum blank keeps its board's width: a sliver, or no saw."""
    if not blank.minimum or piece.y.low or piece.y.high:
        return False
    sliver = piece.y.size - blank.width < THINNEST_SLIVER
    is_short = piece.x.size == blank.length
    sliver = sliver and (is_short or _is_crosscut(bench, piece.y.size))
    return sliver or not _is_reached(bench, blank)


def width_of(bench: Bench, piece: OpenPiece, blank: Blank) -> Ticks:
    """Return the width to which a blank is cut, or which it keeps.

    A minimum blank that no saw rips keeps what there is between the margins.
    """
    if stays_wide(bench, piece, blank):
        return piece.y.size
    if blank.minimum and not _is_reached(bench, blank):
        return piece.y.size - piece.y.low - piece.y.high
    return blank.width


def _is_crosscut(bench: Bench, wide: Ticks) -> bool:
    return first_way(bench.ways, Plane.CROSSCUT, wide, 0) is not None


def _is_reached(bench: Bench, blank: Blank) -> bool:
    return any(
        way.makes(blank.length, blank.width)
        for way in bench.ways
        if way.plane is Plane.RIP
    )


def _is_strip(node: Node) -> bool:
    return all(isinstance(child, Leaf) for child in node.children)


def _trim_end(bench: Bench, piece: OpenPiece) -> OpenPiece:
    if not piece.x.low:
        return piece
    plane = Plane.CROSSCUT
    trim = low_trim(bench.ways_for(piece, plane), piece.run(plane), piece.x)
    return piece if trim is None else bench.keep_wanted(piece, plane, trim)


def _to_width(bench: Bench, piece: OpenPiece, node: Node) -> OpenPiece:
    """Rip a piece to its widest blank, where a saw does and it is not too long."""
    width = needed(node, Plane.RIP, bench.blanks, 0)
    usable = piece.y.size - piece.y.low - piece.y.high
    if usable > width and stays_on(bench, node, Plane.RIP, usable - width, usable):
        width = usable
    ready = straightened(bench, piece) if width < piece.y.size else piece
    strokes = bench.strokes(ready, Plane.RIP, width, piece.x.size)
    if strokes is None or piece.x.size > LONGEST_RIP or room_in(ready) < width:
        return piece
    return bench.make(ready, Plane.RIP, strokes)


def _for_resaw(bench: Bench, piece: OpenPiece, node: Node) -> OpenPiece:
    """Bring a strip to the width and the length that its slices need."""
    widths = {bench.blanks[leaf.blank].width for leaf in leaves(node)}
    kerf = bench.widest_kerf(Plane.CROSSCUT, (piece.y.size, *sorted(widths)))
    length = needed(node, Plane.CROSSCUT, bench.blanks, kerf)
    if length < piece.x.size:
        strokes = bench.strokes(piece, Plane.CROSSCUT, length, piece.y.size)
        if strokes is not None:
            piece = bench.make(piece, Plane.CROSSCUT, strokes)
    return _to_width(bench, piece, node)


def _to_thickness(bench: Bench, piece: OpenPiece, node: Node) -> OpenPiece:
    """Resaw a strip whose blanks all have one thickness and may not stay thicker."""
    blanks = [bench.blanks[leaf.blank] for leaf in leaves(node)]
    thickness = blanks[0].thickness
    if (
        any(blank.minimum or blank.thickness != thickness for blank in blanks)
        or thickness >= piece.z.size
    ):
        return piece
    ready = _for_resaw(bench, piece, node)
    strokes = bench.strokes(ready, Plane.RESAW, thickness, ready.x.size)
    return ready if strokes is None else bench.make(ready, Plane.RESAW, strokes)


def _by_width(bench: Bench, piece: OpenPiece, node: Node) -> Node:
    """Put the blanks of one width that is not the strip's into a piece of their own."""
    places: dict[Ticks, list[int]] = {}
    for number, child in enumerate(node.children):
        assert isinstance(child, Leaf)  # the node is a strip
        blank = bench.blanks[child.blank]
        own = keep_edges(bench, piece, child)
        if blank.width < piece.y.size and not stays_wide(bench, own, blank):
            places.setdefault(blank.width, []).append(number)
    sizes: list[Ticks] = []
    children: list[Tree] = []
    grouped: set[int] = set()
    for width, numbers in sorted(places.items(), reverse=True):
        kerf = bench.widest_kerf(Plane.CROSSCUT, (width,))
        lengths = tuple(node.sizes[number] for number in numbers)
        total = sum(lengths) + (len(lengths) - 1) * kerf
        members = tuple(node.children[number] for number in numbers)
        row = Node(Plane.CROSSCUT, lengths, members)
        own = straightened(bench, keep_edges(bench, piece, row), total)
        if room_in(own) < width:
            continue
        strokes = bench.strokes(own, Plane.RIP, width, total)
        if len(numbers) < 2 or total > min(LONGEST_RIP, piece.x.size) or not strokes:
            continue
        sizes.append(total)
        children.append(Node(Plane.RIP, (width,), (row,)))
        grouped.update(numbers)
    rest = [number for number in range(len(node.sizes)) if number not in grouped]
    sizes += [node.sizes[number] for number in rest]
    children += [node.children[number] for number in rest]
    return Node(Plane.CROSSCUT, tuple(sizes), tuple(children))
