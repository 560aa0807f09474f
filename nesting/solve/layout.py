"""Lay a cutting tree out on its stock: the only place with coordinates.

Input is a tree over the usable area of a stock, in which only sizes stand. Output is
what the maker sees: pieces with positions and cuts with saws, real kerfs and measures,
in an order in which they can be made.

Method. A piece carries the factory margins it still has. Before a piece is divided, its
low margin on the divided axis is cut off, so that the measures start at a clean edge. A
saw that cannot do that on the whole piece (a fence opens only so far) pushes the margin
down: the first child is cut wider by the margin, and the margin comes off later,
measured from the clean edge opposite. Margins on the other axis go down to the children
and are cut when a blank, or a later division, needs the edge. Rests keep their factory
edges. A blade that runs partly off an edge loses less than its kerf: a margin includes
its kerf. Larger children come first, so that a mistake leaves wood for the smaller, but
on sticks pieces too short to be held come before all others.

Guarantee: every cut is one that some saw makes on the piece as it is then, every blank
comes out at its size; `InfeasibleError` where no saw can.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Cut, Layout, Piece, PlanStock
from nesting.model.shop import Saw
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate, Form, Guide, Plane, Purpose
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.reach import Way, ways_to_cut
from nesting.units import Ticks

THINNEST_SLIVER: Ticks = 10_160
"""1/4 in: a `minimum` blank is left wider rather than ripped by less (common
practice)."""


@dataclass(frozen=True, slots=True)
class _Span:
    """One axis of an open piece: where it starts, how long it is, margins included."""

    start: Ticks
    size: Ticks
    low: Ticks
    """The factory margin still on the low side."""
    high: Ticks

    @property
    def usable(self) -> Ticks:
        return self.size - self.low - self.high


@dataclass(frozen=True, slots=True)
class _Open:
    """A piece that is not finished yet."""

    id: str
    x: _Span
    y: _Span

    def along(self, plane: Plane) -> _Span:
        return self.x if plane is Plane.CROSSCUT else self.y

    def run(self, plane: Plane) -> Ticks:
        return self.y.size if plane is Plane.CROSSCUT else self.x.size

    def with_span(self, piece: str, plane: Plane, span: _Span) -> _Open:
        if plane is Plane.CROSSCUT:
            return _Open(piece, span, self.y)
        return _Open(piece, self.x, span)


@dataclass(frozen=True, slots=True)
class _Stroke:
    """One cut as it will be made, before its pieces have names."""

    at: Ticks
    kerf: Ticks
    way: Way
    guide: Guide
    measure: Ticks | None
    from_: str
    keeps_near: bool
    """Whether the near piece is the wanted one."""
    trims: bool


_OTHER = {Plane.CROSSCUT: Plane.RIP, Plane.RIP: Plane.CROSSCUT}


class _Bench:
    """Makes the pieces and cuts of one layout."""

    def __init__(
        self,
        layout: str,
        stock: Stock,
        saws: Sequence[Saw],
        blanks: Mapping[str, Blank],
        offcuts: OffcutRule,
    ) -> None:
        self.layout = layout
        self.stock = stock
        self.blanks = blanks
        self.offcuts = offcuts
        self.ways = ways_to_cut(saws, stock.form, stock.thickness)
        self.pieces: list[Piece] = []
        self.cuts: list[Cut] = []
        self._place: dict[str, int] = {}

    # ------------------------------------------------------------------ pieces

    def add(self, x: _Span, y: _Span) -> str:
        """Make a piece and return its id; its fate is set when it is known."""
        number = len(self.pieces)
        piece = self.layout if number == 0 else f"{self.layout}.{number}"
        self._place[piece] = number
        self.pieces.append(
            Piece(
                id=piece,
                x=x.start,
                y=y.start,
                length=x.size,
                width=y.size,
                thickness=self.stock.thickness,
                fate=Fate.SCRAP,
            )
        )
        return piece

    def settle(
        self, piece: str, fate: Fate, blank: str | None = None, turned: bool = False
    ) -> None:
        number = self._place[piece]
        self.pieces[number] = replace(
            self.pieces[number], fate=fate, blank=blank, turned=turned
        )

    def put_aside(self, piece: str) -> None:
        """Keep a rest, or call it scrap."""
        rest = self.pieces[self._place[piece]]
        whole = self.stock.form is Form.SHEET or rest.width == self.stock.width
        keep = whole and self.offcuts.keeps(self.stock.form, rest.length, rest.width)
        self.settle(piece, Fate.OFFCUT if keep else Fate.SCRAP)

    # -------------------------------------------------------------------- cuts

    def liked(self, piece: _Open, plane: Plane) -> list[Way]:
        """Ways in a plane, best first: a large sheet goes under the rail if it can."""
        ways = [way for way in self.ways if way.plane is plane]
        area = piece.x.size * piece.y.size
        if (
            self.stock.form is Form.SHEET
            and 2 * area > self.stock.length * self.stock.width
        ):
            ways.sort(key=lambda way: way.guide is not Guide.LINE)
        return ways

    def too_short_to_hold(self, plane: Plane) -> Ticks:
        """Return the length below which a piece of a stick is cut off first.

        While the stick is long there is something to hold; at its end there is not.
        """
        if self.stock.form is Form.SHEET or plane is not Plane.CROSSCUT:
            return 0
        ways = [way for way in self.ways if way.plane is plane]
        return (ways[0].saw.smallest_piece or 0) if ways else 0

    def sizing(
        self, ways: Sequence[Way], run: Ticks, span: _Span, size: Ticks, trims: bool
    ) -> _Stroke | None:
        """Cut a near piece of `size` off a span, measured from its low side."""
        rest = span.size - size
        for way in ways:
            if way.makes(run, size):
                kerf = min(way.kerf, rest)
                return _Stroke(size, kerf, way, way.guide, size, "low", True, trims)
        return None

    def low_trim(self, ways: Sequence[Way], run: Ticks, span: _Span) -> _Stroke | None:
        """Cut the low margin off a span; the far piece is the wanted one."""
        for way in ways:
            kerf = min(way.kerf, span.low)
            at = span.low - kerf
            keeps = span.size - span.low
            if way.guide is Guide.FENCE:
                if way.makes(run, keeps):
                    return _Stroke(at, kerf, way, way.guide, keeps, "high", False, True)
            elif way.makes(run, at):
                # A trim is made to a pencil line: no stop, no distance worth setting.
                measure = at if way.guide is Guide.LINE else None
                return _Stroke(at, kerf, way, Guide.LINE, measure, "low", False, True)
        return None

    def make(self, piece: _Open, plane: Plane, stroke: _Stroke) -> tuple[str, str]:
        """Make a cut; return the ids of the near and the far piece ("" where none)."""
        span = piece.along(plane)
        far_start = stroke.at + stroke.kerf
        near = far = ""
        if stroke.at > 0:
            part = _Span(span.start, stroke.at, 0, 0)
            opened = piece.with_span("", plane, part)
            near = self.add(opened.x, opened.y)
        if far_start < span.size:
            part = _Span(span.start + far_start, span.size - far_start, 0, 0)
            opened = piece.with_span("", plane, part)
            far = self.add(opened.x, opened.y)
        self.settle(piece.id, Fate.CUT)
        self.cuts.append(
            Cut(
                step=0,
                piece=piece.id,
                plane=plane,
                at=stroke.at,
                kerf=stroke.kerf,
                saw=stroke.way.saw.name,
                makes=tuple(name for name in (near, far) if name),
                setting="",
                measure=stroke.measure,
                from_=stroke.from_,
                guide=stroke.guide,
                purpose=Purpose.TRIM if stroke.trims else Purpose.DIVIDE,
            )
        )
        return near, far

    def refuse(self, plane: Plane, piece: _Open, size: Ticks, blank: str) -> None:
        parts = (self.blanks[blank].part,) if blank in self.blanks else ()
        message = (
            f"no saw of the shop makes the {plane} that {blank or 'the layout'} needs "
            f"on {self.stock.id}: a cut {piece.run(plane) / 1600:.1f} mm long at "
            f"{size / 1600:.1f} mm"
        )
        raise InfeasibleError(message, parts=parts)

    # -------------------------------------------------------------------- trees

    def work(self, piece: _Open, tree: Tree) -> None:
        """Cut a piece down by a tree."""
        if isinstance(tree, Leaf):
            self.cut_blank(piece, tree)
        else:
            self.divide(piece, tree)

    def divide(self, piece: _Open, node: Node) -> None:
        """Cut the children of a node off a piece, one after another."""
        plane = node.plane
        short = self.too_short_to_hold(plane)
        order = sorted(
            range(len(node.sizes)),
            key=lambda i: (
                node.sizes[i] >= short,
                -node.sizes[i],
                isinstance(node.children[i], Leaf),
                i,
            ),
        )
        span = piece.along(plane)
        if span.low:
            trim = self.low_trim(self.liked(piece, plane), piece.run(plane), span)
            if trim is not None:
                piece = self._trimmed(piece, plane, trim)
        for number in order:
            size, child = node.sizes[number], node.children[number]
            span = piece.along(plane)
            wanted = size + span.low  # a pushed-down margin stays on the first child
            rest = span.size - wanted
            if rest < 0:
                message = f"the tree of {self.layout} does not fit its stock"
                raise ValueError(message)
            if rest == 0:
                self.work(piece, child)
                return
            stroke = self.sizing(
                self.liked(piece, plane),
                piece.run(plane),
                span,
                wanted,
                trims=rest <= span.high,
            )
            if stroke is None:
                name = child.blank if isinstance(child, Leaf) else ""
                self.refuse(plane, piece, wanted, name)
                return
            near, far = self.make(piece, plane, stroke)
            self.work(
                piece.with_span(near, plane, _Span(span.start, wanted, span.low, 0)),
                child,
            )
            if not far:
                return
            begin = wanted + stroke.kerf
            piece = piece.with_span(
                far,
                plane,
                _Span(span.start + begin, span.size - begin, 0, span.high),
            )
        self.put_aside(piece.id)

    def _trimmed(self, piece: _Open, plane: Plane, trim: _Stroke) -> _Open:
        span = piece.along(plane)
        near, far = self.make(piece, plane, trim)
        if near:
            self.put_aside(near)
        return piece.with_span(
            far,
            plane,
            _Span(span.start + span.low, span.size - span.low, 0, span.high),
        )

    def cut_blank(self, piece: _Open, leaf: Leaf) -> None:
        """Bring a piece to a blank's size on both axes, in an order that works."""
        blank = self.blanks[leaf.blank]
        length, width = blank.length, blank.width
        if leaf.turned:
            length, width = width, length
        wanted = {Plane.CROSSCUT: length, Plane.RIP: width}
        if blank.minimum and self._stays_wide(piece, wanted):
            wanted[Plane.RIP] = piece.y.size
        for first in (Plane.CROSSCUT, Plane.RIP):
            second = _OTHER[first]
            strokes = self._strokes(piece, first, wanted[first], piece.run(first))
            if strokes is None:
                continue
            after = self._strokes(piece, second, wanted[second], wanted[first])
            if after is None:
                continue
            for plane, todo in ((first, strokes), (second, after)):
                for stroke in todo:
                    piece = self._keep_wanted(piece, plane, stroke)
            self.settle(piece.id, Fate.PART, blank.id, leaf.turned)
            return
        self.refuse(Plane.CROSSCUT, piece, wanted[Plane.CROSSCUT], blank.id)

    def _stays_wide(self, piece: _Open, wanted: Mapping[Plane, Ticks]) -> bool:
        """Tell whether a minimum blank keeps its board's width: a sliver, or no saw."""
        width = wanted[Plane.RIP]
        if piece.y.low or piece.y.high:
            return False
        reached = any(
            way.makes(wanted[Plane.CROSSCUT], width)
            for way in self.ways
            if way.plane is Plane.RIP
        )
        return not reached or piece.y.size - width < THINNEST_SLIVER

    def _strokes(
        self, piece: _Open, plane: Plane, size: Ticks, run: Ticks
    ) -> list[_Stroke] | None:
        """Cuts that bring one axis to a size; None where no saw can."""
        span = piece.along(plane)
        ways = self.liked(piece, plane)
        if span.size < size + span.low:
            message = f"a blank of {self.layout} is larger than its piece"
            raise ValueError(message)
        if not span.low:
            if span.size == size:
                return []
            only = self.sizing(ways, run, span, size, trims=False)
            return None if only is None else [only]
        first = self.low_trim(ways, run, span)
        if first is not None:
            left = _Span(span.start + span.low, span.size - span.low, 0, span.high)
            if left.size == size:
                return [first]
            second = self.sizing(ways, run, left, size, trims=False)
            if second is not None:
                return [first, second]
        return self._oversize_first(ways, run, span, size)

    def _oversize_first(
        self, ways: Sequence[Way], run: Ticks, span: _Span, size: Ticks
    ) -> list[_Stroke] | None:
        """Cut the margin's width too much off, then the margin from the clean edge."""
        strokes = []
        oversize = size + span.low
        if span.size > oversize:
            first = self.sizing(ways, run, span, oversize, trims=False)
            if first is None:
                return None
            strokes.append(first)
        last = self.low_trim(ways, run, _Span(span.start, oversize, span.low, 0))
        return None if last is None else [*strokes, last]

    def _keep_wanted(self, piece: _Open, plane: Plane, stroke: _Stroke) -> _Open:
        span = piece.along(plane)
        near, far = self.make(piece, plane, stroke)
        wanted, other = (near, far) if stroke.keeps_near else (far, near)
        if other:
            self.put_aside(other)
        if stroke.keeps_near:
            kept = _Span(span.start, stroke.at, span.low, 0)
        else:
            begin = stroke.at + stroke.kerf
            kept = _Span(span.start + begin, span.size - begin, 0, span.high)
        return piece.with_span(wanted, plane, kept)


def _say_purpose(cut: Cut, fates: Mapping[str, Piece]) -> Cut:
    if any(fates[made].fate == Fate.PART for made in cut.makes):
        return replace(cut, purpose=Purpose.SIZE)
    return cut


def lay_out(
    tree: Tree,
    stock: Stock,
    saws: Sequence[Saw],
    *,
    blanks: Mapping[str, Blank],
    offcuts: OffcutRule,
    layout: str,
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
    bench = _Bench(layout, stock, saws, blanks, offcuts)
    trim = stock.trim
    x = _Span(0, stock.length, trim.low_x, trim.high_x)
    y = _Span(0, stock.width, trim.low_y, trim.high_y)
    bench.work(_Open(bench.add(x, y), x, y), tree)
    pieces = tuple(bench.pieces)
    fates = {piece.id: piece for piece in pieces}
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
        ),
        pieces=pieces,
        cuts=tuple(_say_purpose(cut, fates) for cut in bench.cuts),
    )
