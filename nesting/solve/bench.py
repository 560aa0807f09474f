"""The bench a piece of stock is cut on: it names the pieces and records the cuts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from nesting.model.blank import Blank
from nesting.model.plan import Cut, Piece
from nesting.model.shop import Saw
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate, Form, Guide, Plane, Purpose, ZoneKind
from nesting.solve.reach import Way, first_way, ways_to_cut
from nesting.solve.strokes import OpenPiece, Span, Stroke, strokes_to_size
from nesting.trade.defaults import default_length
from nesting.units import Ticks

THINNEST_REST: Final[Ticks] = 10_160
"""1/4 in: what is resawn off a board and thinner is not kept (common practice)."""

_HANDY: Ticks = default_length("handy_sheet_length")
_THIN_STRIP: Ticks = default_length("thin_strip_rip_width")


class Bench:
    """Makes the pieces and cuts of one layout, in the order they are asked for."""

    def __init__(
        self,
        layout: str,
        stock: Stock,
        saws: Sequence[Saw],
        blanks: Mapping[str, Blank],
        offcuts: OffcutRule,
        rough: Ticks | None = None,
    ) -> None:
        self.layout = layout
        self.stock = stock
        self.blanks = blanks
        self.offcuts = offcuts
        self.ways = ways_to_cut(saws, stock.form, stock.thickness, rough=rough)
        self._pieces: list[Piece] = []
        self._cuts: list[Cut] = []
        self._place: dict[str, int] = {}

    def whole(self) -> OpenPiece:
        """Put the whole stock on the bench."""
        trim = self.stock.trim
        x = Span(0, self.stock.length, trim.low_x, trim.high_x)
        eased = self.stock.eased
        y = Span(0, self.stock.width, trim.low_y or eased, trim.high_y or eased)
        whole = OpenPiece("", x, y, Span(0, self.stock.thickness))
        return replace(whole, id=self._add(whole))

    def ways_for(self, piece: OpenPiece, plane: Plane, measure: Ticks = 0) -> list[Way]:
        """Return the ways in a plane, best first, for a cut at about this distance.

        More than half a sheet is broken down along a line where the shop can, unless it
        is handy, and so is a length no stop is set up for; all else goes to a saw with
        a fence or a stop, where sizes repeat (common practice).
        """
        ways = [way for way in self.ways if way.plane is plane]
        if plane is Plane.RESAW:
            return [way for way in ways if way.stands(piece.y.size)]
        if self.stock.form is Form.SHEET:
            area = piece.x.size * piece.y.size
            large = 2 * area > self.stock.length * self.stock.width
            large = large and max(piece.x.size, piece.y.size) > _HANDY
            far = plane is Plane.CROSSCUT and measure > _HANDY
            ways.sort(key=lambda way: (way.guide is Guide.LINE) is not (large or far))
        return ways

    def too_small_to_hold(self, plane: Plane) -> Ticks:
        """Return the size below which a piece of lumber is cut off first.

        While a stick is long, or a board wide, there is something to hold; at its end
        there is not.
        """
        if self.stock.form is Form.SHEET:
            return 0
        if plane is Plane.RIP and self.stock.form is Form.BOARD:
            return _THIN_STRIP
        if plane is not Plane.CROSSCUT:
            return 0
        ways = [way for way in self.ways if way.plane is plane]
        return (ways[0].saw.smallest_piece or 0) if ways else 0

    def widest_kerf(self, plane: Plane, runs: Iterable[Ticks]) -> Ticks:
        """Return the widest kerf of the saws that make cuts of lumber, so long each."""
        ways = (first_way(self.ways, plane, run, 0) for run in runs)
        return max((way.kerf for way in ways if way is not None), default=0)

    def strokes(
        self, piece: OpenPiece, plane: Plane, size: Ticks, run: Ticks
    ) -> list[Stroke] | None:
        """Return the cuts, `run` long, that bring an axis to a size, if any do."""
        ways = self.ways_for(piece, plane, size)
        return strokes_to_size(ways, run, piece.along(plane), size)

    def make(
        self, piece: OpenPiece, plane: Plane, strokes: Sequence[Stroke]
    ) -> OpenPiece:
        """Make cuts of one plane one after another and return the wanted piece."""
        for stroke in strokes:
            piece = self.keep_wanted(piece, plane, stroke)
        return piece

    def keep_wanted(self, piece: OpenPiece, plane: Plane, stroke: Stroke) -> OpenPiece:
        """Make a cut, put the unwanted side aside and return the wanted one."""
        span = piece.along(plane)
        near, far = self.cut(piece, plane, stroke)
        wanted, other = (near, far) if stroke.keeps_near else (far, near)
        if other:
            self.put_aside(other)
        if stroke.keeps_near:
            return piece.with_span(wanted, plane, span.near(stroke.at))
        return piece.with_span(wanted, plane, span.far(stroke.at + stroke.kerf))

    def cut(
        self,
        piece: OpenPiece,
        plane: Plane,
        stroke: Stroke,
        purpose: Purpose | None = None,
    ) -> tuple[str, str]:
        """Make a cut; return the ids of the near and the far piece ("" where none).

        Its purpose is to trim or to divide, unless another is given.
        """
        usual = Purpose.TRIM if stroke.trims else Purpose.DIVIDE
        span = piece.along(plane)
        near = far = ""
        if stroke.at > 0:
            opened = piece.with_span("", plane, span.near(stroke.at))
            near = self._add(opened)
        if stroke.at + stroke.kerf < span.size:
            opened = piece.with_span("", plane, span.far(stroke.at + stroke.kerf))
            far = self._add(opened)
        self.settle(piece.id, Fate.CUT)
        self._cuts.append(
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
                purpose=purpose or usual,
            )
        )
        return near, far

    def settle(
        self, piece: str, fate: Fate, blank: str | None = None, turned: bool = False
    ) -> None:
        """Say what becomes of a piece."""
        number = self._place[piece]
        self._pieces[number] = replace(
            self._pieces[number], fate=fate, blank=blank, turned=turned
        )

    def put_aside(self, piece: str) -> None:
        """Keep a rest, or call it scrap: what is damaged is, and pith is no damage.

        So is what is ripped off lumber, and what is too thin to be worth it.
        """
        rest = self._pieces[self._place[piece]]
        whole = self.stock.form is Form.SHEET or rest.width == self.stock.width
        if rest.thickness < self.stock.thickness:
            whole = whole and rest.thickness >= THINNEST_REST
        lies = (rest.x, rest.y, rest.length, rest.width)
        whole = whole and not any(
            zone.kind is ZoneKind.DAMAGE and zone.overlaps(*lies)
            for zone in self.stock.zones
        )
        keep = whole and self.offcuts.keeps(self.stock.form, rest.length, rest.width)
        self.settle(piece, Fate.OFFCUT if keep else Fate.SCRAP)

    def done(self) -> tuple[tuple[Piece, ...], tuple[Cut, ...]]:
        """Return every piece and cut; a cut that makes a blank says so."""
        parts = {piece.id for piece in self._pieces if piece.fate == Fate.PART}
        return tuple(self._pieces), tuple(
            replace(cut, purpose=Purpose.SIZE)
            if parts.intersection(cut.makes) and cut.purpose != Purpose.HAUL
            else cut
            for cut in self._cuts
        )

    def _add(self, opened: OpenPiece) -> str:
        number = len(self._pieces)
        piece = self.layout if number == 0 else f"{self.layout}.{number}"
        self._place[piece] = number
        self._pieces.append(
            Piece(
                id=piece,
                x=opened.x.start,
                y=opened.y.start,
                z=opened.z.start,
                length=opened.x.size,
                width=opened.y.size,
                thickness=opened.z.size,
                fate=Fate.SCRAP,
            )
        )
        return piece
