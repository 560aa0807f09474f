"""The bench a piece of stock is cut on: it names the pieces and records the cuts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from nesting.model.blank import Blank
from nesting.model.plan import Cut, Piece
from nesting.model.shop import Saw
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate, Form, Guide, Plane, Purpose
from nesting.solve.reach import Way, ways_to_cut
from nesting.solve.strokes import OpenPiece, Span, Stroke
from nesting.trade.defaults import default_length
from nesting.units import Ticks

_HANDY: Ticks = default_length("handy_sheet_length")


class Bench:
    """Makes the pieces and cuts of one layout, in the order they are asked for."""

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
        self._pieces: list[Piece] = []
        self._cuts: list[Cut] = []
        self._place: dict[str, int] = {}

    def whole(self) -> OpenPiece:
        """Put the whole stock on the bench."""
        trim = self.stock.trim
        x = Span(0, self.stock.length, trim.low_x, trim.high_x)
        y = Span(0, self.stock.width, trim.low_y, trim.high_y)
        return OpenPiece(self._add(x, y), x, y)

    def ways_for(self, piece: OpenPiece, plane: Plane, measure: Ticks = 0) -> list[Way]:
        """Return the ways in a plane, best first, for a cut at about this distance.

        More than half a sheet is broken down along a line where the shop can, unless it
        is handy, and so is a length no stop is set up for; all else goes to a saw with
        a fence or a stop, where sizes repeat (common practice).
        """
        ways = [way for way in self.ways if way.plane is plane]
        if self.stock.form is Form.SHEET:
            area = piece.x.size * piece.y.size
            large = 2 * area > self.stock.length * self.stock.width
            large = large and max(piece.x.size, piece.y.size) > _HANDY
            far = plane is Plane.CROSSCUT and measure > _HANDY
            ways.sort(key=lambda way: (way.guide is Guide.LINE) is not (large or far))
        return ways

    def too_short_to_hold(self, plane: Plane) -> Ticks:
        """Return the length below which a piece of a stick is cut off first.

        While the stick is long there is something to hold; at its end there is not.
        """
        if self.stock.form is Form.SHEET or plane is not Plane.CROSSCUT:
            return 0
        ways = [way for way in self.ways if way.plane is plane]
        return (ways[0].saw.smallest_piece or 0) if ways else 0

    def cut(self, piece: OpenPiece, plane: Plane, stroke: Stroke) -> tuple[str, str]:
        """Make a cut; return the ids of the near and the far piece ("" where none)."""
        span = piece.along(plane)
        near = far = ""
        if stroke.at > 0:
            opened = piece.with_span("", plane, span.near(stroke.at))
            near = self._add(opened.x, opened.y)
        if stroke.at + stroke.kerf < span.size:
            opened = piece.with_span("", plane, span.far(stroke.at + stroke.kerf))
            far = self._add(opened.x, opened.y)
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
                purpose=Purpose.TRIM if stroke.trims else Purpose.DIVIDE,
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
        """Keep a rest, or call it scrap: what is damaged is."""
        rest = self._pieces[self._place[piece]]
        whole = self.stock.form is Form.SHEET or rest.width == self.stock.width
        lies = (rest.x, rest.y, rest.length, rest.width)
        whole = whole and not any(z.overlaps(*lies) for z in self.stock.zones)
        keep = whole and self.offcuts.keeps(self.stock.form, rest.length, rest.width)
        self.settle(piece, Fate.OFFCUT if keep else Fate.SCRAP)

    def done(self) -> tuple[tuple[Piece, ...], tuple[Cut, ...]]:
        """Return every piece and cut; a cut that makes a blank says so."""
        parts = {piece.id for piece in self._pieces if piece.fate == Fate.PART}
        return tuple(self._pieces), tuple(
            replace(cut, purpose=Purpose.SIZE) if parts.intersection(cut.makes) else cut
            for cut in self._cuts
        )

    def _add(self, x: Span, y: Span) -> str:
        number = len(self._pieces)
        piece = self.layout if number == 0 else f"{self.layout}.{number}"
        self._place[piece] = number
        self._pieces.append(
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
