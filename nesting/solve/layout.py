"""Lay a cutting tree out on its stock: the only place with coordinates.

Input is a tree over the usable area of a stock, in which only sizes stand. Output is
what the maker sees: pieces with positions and cuts with saws, real kerfs and measures,
in an order in which they can be made.

Method. Children are cut off one after another from the low side, where the low margin
has been trimmed or is pushed down to the first child (see `strokes`). Margins on the
other axis go down to the children and are cut when a blank, or a later division, needs
the edge; rests keep their factory edges. Larger children come first, so that a mistake
leaves wood for the smaller, but pieces of lumber too short or too narrow to be held
come before all others. How boards are made ready for a division says `ready`, which
blanks keep the rounded edges of lumber says `eased`.

Guarantee: every cut is one that some saw makes on the piece as it is then, and every
blank comes out at its size; `InfeasibleError` where no saw can. The members of a run
(an ordered node) come out in their order, one kerf apart, their low sides in one line.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from nesting.model.blank import Blank
from nesting.model.plan import Layout, PlanStock, PlanZone
from nesting.model.shop import Haul, Saw, SheetHaul
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate, Form, Guide, Plane, Purpose, ZoneKind
from nesting.model.tree import Leaf, Node, SheetTree, Split, Tree
from nesting.solve.ahead import OTHER, refuse, square_run, trim_ahead
from nesting.solve.bench import Bench
from nesting.solve.crooked import is_crooked, room_in, straightened
from nesting.solve.eased import keep_edges, plain_outside
from nesting.solve.needed import leaves
from nesting.solve.reach import store_way
from nesting.solve.ready import make_ready, rips_first, stays_on, width_of
from nesting.solve.strokes import OpenPiece, Span, Stroke, low_trim, sizing
from nesting.units import Ticks


def lay_out(
    tree: SheetTree,
    stock: Stock,
    saws: Sequence[Saw],
    *,
    blanks: Mapping[str, Blank],
    offcuts: OffcutRule,
    layout: str,
    rough: Ticks | None = None,
) -> Layout:
    """Lay a tree out on a piece of stock: positions, saws, kerfs and trims.

    Parameters
    ----------
    tree
        Over the usable area of the stock; sizes in ticks.
    stock
        The piece, with its trims.
    saws
        In the order of the maker's liking.
    blanks
        Every blank the tree names, by id.
    offcuts
        Which rests are kept.
    layout
        The id of the layout, and of its first piece.
    rough
        The longest piece of lumber that is ripped, in ticks; None for any.

    Returns
    -------
    Layout
        With every piece and cut; the cuts have no step and no setting yet.

    Raises
    ------
    InfeasibleError
        Where no saw makes a cut that the tree needs.
    ValueError
        Where the tree does not fit the stock.
    """
    bench = Bench(layout, stock, saws, blanks, offcuts, rough)
    _work(bench, bench.whole(), tree)
    pieces, cuts = bench.done()
    return Layout(
        id=layout,
        material=stock.material,
        section=stock.section,
        form=stock.form,
        stock=PlanStock(
            name=stock.id,
            length=stock.length,
            width=stock.width,
            thickness=stock.thickness,
            grain=stock.grain,
            origin=stock.origin,
            tag=stock.tag,
            price_cents=stock.price_cents,
            zones=tuple(
                PlanZone(x=z.x, y=z.y, length=z.length, width=z.width, kind=z.kind)
                for z in stock.zones
            ),
        ),
        pieces=pieces,
        cuts=cuts,
    )


def _work(bench: Bench, piece: OpenPiece, tree: SheetTree) -> None:
    """Cut a piece down by a tree."""
    if bench.stock.eased:
        piece = keep_edges(bench, piece, tree)
    if isinstance(tree, Leaf):
        _cut_blank(bench, piece, tree)
        return
    if isinstance(tree, Split):
        _split(bench, piece, tree)
        return
    if not tree.children:
        bench.put_aside(piece.id)
        return
    if tree.ordered:
        piece = square_run(bench, piece, tree)
    _divide(bench, piece, tree)


def _split(bench: Bench, piece: OpenPiece, tree: Split) -> None:
    """Cut a piece in two at a fixed place, so that what is damaged lies between."""
    plane = tree.plane
    if tree.haul is not None:
        _saw_at_store(bench, piece, tree, tree.haul)
        return
    if tree.low is None:
        if tree.high is not None:
            piece = _begin_at(bench, piece, plane, tree.far)
            _work_clear(bench, piece, tree.high)
        return
    span = piece.along(plane)
    at = tree.near - span.start
    ways = bench.ways_for(piece, plane, at)
    stroke = sizing(ways, piece.run(plane), span, at)
    if stroke is None:
        refuse(bench, piece, plane, at, "")
    near, far = bench.cut(piece, plane, stroke)
    _work_clear(bench, piece.with_span(near, plane, span.near(at)), tree.low)
    if not far:
        return
    piece = piece.with_span(far, plane, span.far(at + stroke.kerf))
    if tree.high is None:
        bench.put_aside(piece.id)
        return
    _work_clear(bench, piece, tree.high)


def _saw_at_store(
    bench: Bench, piece: OpenPiece, tree: Split, haul: Haul | SheetHaul
) -> None:
    """Cut a piece in two along a pencil line, and go on with both halves at home.

    The cut is as far off as the store's saw may be, so that both new sides are trimmed.
    """
    plane, span = tree.plane, piece.along(tree.plane)
    at = tree.near - span.start
    way = store_way(haul.saw, plane, bench.stock.thickness)
    if way is None or not way.makes(piece.run(plane), at):
        refuse(bench, piece, plane, at, "")
    stroke = Stroke(
        at=at,
        kerf=way.kerf,
        way=way,
        guide=Guide.LINE,
        measure=at,
        from_="low",
        keeps_near=True,
        trims=False,
    )
    near, far = bench.cut(piece, plane, stroke, Purpose.HAUL)
    low = replace(span.near(at), high=haul.tolerance)
    high = replace(span.far(at + way.kerf), low=haul.tolerance)
    for name, side, below in ((near, low, tree.low), (far, high, tree.high)):
        if below is None:
            bench.put_aside(name)
        else:
            _work_clear(bench, piece.with_span(name, plane, side), below)


def _work_clear(bench: Bench, piece: OpenPiece, tree: SheetTree) -> None:
    """Go on beside damage: a saw with a narrow kerf may have left a little of it."""
    if not isinstance(tree, Split):
        x, y = piece.x, piece.y
        kinds = _minded(bench, tree)
        for zone in (each for each in bench.stock.zones if each.kind in kinds):
            # What of a rounded edge is kept is not known yet.
            low, high = (0, 0) if bench.stock.eased else (y.low, y.high)
            lies = (x.start + x.low, y.start + low)
            size = (x.size - x.low - x.high, y.size - low - high)
            if zone.overlaps(*lies, *size):
                across = zone.x + zone.length - lies[0], zone.y + zone.width - lies[1]
                if across[0] <= across[1] or bench.stock.crook:
                    end = zone.x + zone.length
                    piece = _begin_at(bench, piece, Plane.CROSSCUT, end)
                else:
                    piece = _begin_at(bench, piece, Plane.RIP, zone.y + zone.width)
                x, y = piece.x, piece.y
    _work(bench, piece, tree)


def _minded(bench: Bench, tree: Tree) -> Collection[ZoneKind]:
    """Return the kinds of zones that what a tree makes may not have in it."""
    blanks = [bench.blanks[leaf.blank] for leaf in leaves(tree)]
    if not blanks:
        return (ZoneKind.DAMAGE,)
    if any(blank.clear for blank in blanks):
        return tuple(ZoneKind)
    return (ZoneKind.DAMAGE, ZoneKind.PITH)


def _begin_at(bench: Bench, piece: OpenPiece, plane: Plane, start: Ticks) -> OpenPiece:
    """Take off what lies before a place and return the rest.

    It is cut as a trim is; where no saw does that, from the low side all the same.
    """
    span = piece.along(plane)
    damaged = Span(span.start, span.size, start - span.start, span.high)
    ways = bench.ways_for(piece, plane)
    stroke = low_trim(ways, piece.run(plane), damaged)
    for way in ways:
        at = damaged.low - way.kerf
        if stroke is None and at > 0 and way.makes(piece.run(plane), at):
            stroke = Stroke(
                at=at,
                kerf=way.kerf,
                way=way,
                guide=way.guide,
                measure=at,
                from_="low",
                keeps_near=False,
                trims=True,
            )
    if stroke is None:
        refuse(bench, piece, plane, damaged.low, "")
    return bench.keep_wanted(piece, plane, stroke)


def _divide(bench: Bench, piece: OpenPiece, node: Node) -> None:
    """Cut the children of a node off a piece, one after another."""
    plane = node.plane
    is_board = bench.stock.form is Form.BOARD
    if is_board:
        piece, node = make_ready(bench, piece, node)
    if plane in OTHER and not bench.stock.eased:
        piece = trim_ahead(bench, piece, node)
    order = _order(node, bench.too_small_to_hold(plane))
    if bench.stock.eased and plane is Plane.RIP:
        piece, order = plain_outside(bench, piece, node, order)
    bent = plane is Plane.RIP and is_crooked(bench, piece)
    if bent:
        piece = straightened(bench, piece)
    span = piece.along(plane)
    if span.low:
        trim = low_trim(bench.ways_for(piece, plane), piece.run(plane), span)
        if trim is not None:
            piece = bench.keep_wanted(piece, plane, trim)
        elif bent:
            refuse(bench, piece, plane, span.low, "")
    for number in order:
        size, child = node.sizes[number], node.children[number]
        span = piece.along(plane)
        wanted = size + span.low  # a pushed-down margin stays on the first child
        rest = span.size - wanted
        if rest < 0 and bench.stock.crook:
            refuse(bench, piece, plane, wanted, "")
        if rest < 0:
            message = f"the tree of {bench.layout} does not fit its stock"
            raise ValueError(message)
        if rest > 0 and is_board and number == order[-1]:
            rest *= not _keeps_all(bench, piece, child, plane, rest)
        if rest == 0:
            _work(bench, piece, child)
            return
        stroke = sizing(
            bench.ways_for(piece, plane, wanted),
            piece.run(plane),
            span,
            wanted,
            trims=rest <= span.high,
        )
        if stroke is None:
            name = child.blank if isinstance(child, Leaf) else ""
            refuse(bench, piece, plane, wanted, name)
        near, far = bench.cut(piece, plane, stroke)
        _work(bench, piece.with_span(near, plane, span.near(wanted)), child)
        if not far:
            return
        piece = piece.with_span(far, plane, span.far(wanted + stroke.kerf))
    bench.put_aside(piece.id)


def _keeps_all(
    bench: Bench, piece: OpenPiece, child: Tree, plane: Plane, rest: Ticks
) -> bool:
    """Tell whether the last child of a board's piece takes the rest for a while."""
    if plane is Plane.CROSSCUT:
        return isinstance(child, Leaf) and rips_first(
            bench, piece, bench.blanks[child.blank]
        )
    return not piece.along(plane).high and stays_on(
        bench, child, plane, rest, piece.y.size
    )


def _order(node: Node, short: Ticks) -> list[int]:
    """Return the children's places in the order they are cut off."""
    if node.ordered:
        return list(range(len(node.sizes)))
    return sorted(
        range(len(node.sizes)),
        key=lambda i: (
            node.sizes[i] >= short,
            -node.sizes[i],
            isinstance(node.children[i], Leaf),
            i,
        ),
    )


def _cut_blank(bench: Bench, piece: OpenPiece, leaf: Leaf) -> None:
    """Bring a piece to a blank's size on its axes, in an order that works."""
    blank = bench.blanks[leaf.blank]
    length, width = blank.length, blank.width
    if leaf.turned:
        length, width = width, length
    wanted = {Plane.CROSSCUT: length, Plane.RIP: width}
    for plane, size in wanted.items():
        span = piece.along(plane)
        if span.size - span.low - span.high < size:
            message = f"a blank of {bench.layout} is larger than its piece"
            raise ValueError(message)
    if not leaf.turned:
        wanted[Plane.RIP] = width_of(bench, piece, blank)
    orders = list(OTHER.items())
    is_board = bench.stock.form is Form.BOARD
    if wanted[Plane.RIP] < piece.y.size and is_crooked(bench, piece):
        straight = straightened(bench, piece, blank.length)
        if room_in(straight) >= width:
            piece, orders = straight, orders[:1]
        elif blank.minimum and room_in(piece) == piece.y.size:
            wanted[Plane.RIP] = piece.y.size
        else:
            refuse(bench, straight, Plane.RIP, width, blank.id)
    if is_board and rips_first(bench, piece, blank):
        orders.reverse()
    for first, second in orders:
        strokes = bench.strokes(piece, first, wanted[first], piece.run(first))
        after = bench.strokes(piece, second, wanted[second], wanted[first])
        if strokes is None or after is None:
            continue
        piece = bench.make(bench.make(piece, first, strokes), second, after)
        if is_board:
            piece = _to_thickness(bench, piece, blank)
        bench.settle(piece.id, Fate.PART, blank.id, leaf.turned)
        return
    refuse(bench, piece, Plane.CROSSCUT, wanted[Plane.CROSSCUT], blank.id)


def _to_thickness(bench: Bench, piece: OpenPiece, blank: Blank) -> OpenPiece:
    """Resaw a blank that may not stay as thick as its board."""
    plane = Plane.RESAW
    if piece.z.size < blank.thickness:
        message = f"a blank of {bench.layout} is thicker than its piece"
        raise ValueError(message)
    if blank.minimum:
        return piece
    strokes = bench.strokes(piece, plane, blank.thickness, piece.run(plane))
    if strokes is None:
        refuse(bench, piece, plane, blank.thickness, blank.id)
    return bench.make(piece, plane, strokes)
