"""Draws a layout to scale: pieces, kerfs, numbered cuts, grain and reference corner.

One drawing shows one piece of stock, or one layer of it where it is resawn; pages
arrange drawings and add the lists.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.render.chains import chain_cuts, cut_number
from nesting.render.fonts import text_width
from nesting.render.marks import (
    CutLine,
    draw_mark,
    draw_store_cut,
    is_outside,
    mark_size,
    place_marks,
)
from nesting.render.names import draw_zone, free_names, write_names
from nesting.render.scene import Box, Hatch, Line, Pen, Recorder, bounds, moved
from nesting.render.style import STYLE
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.model.plan import Layout, Piece
    from nesting.render.groups import Group
    from nesting.render.names import Key
    from nesting.render.scene import Point, Primitive
    from nesting.render.wording import Wording
    from nesting.units import Ticks

_DIMENSION = 7.0
"""From the stock to its dimension lines."""
_RESAWN = 0.85
"""Where across a piece the line of a resaw is drawn."""
_LETTER = 3.5
"""Room for a key letter between two rings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A layout drawn with its reference corner at the origin of the paper."""

    items: tuple[Primitive, ...]
    keys: tuple[Key, ...]
    """The key letters it uses."""
    stock: Box
    extent: Box
    """All that it covers."""

    def place(self, page: Recorder, x: float, y: float) -> Box:
        """Put it on a page, its lower left corner here; return where the stock is."""
        dx, dy = x - self.extent.x, y - self.extent.y
        page.items.extend(moved(item, dx, dy) for item in self.items)
        return self.stock.moved(dx, dy)


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """How a layout lies on paper."""

    stock: Box
    scale_x: float
    scale_y: float

    def box(self, x: Ticks, y: Ticks, length: Ticks, width: Ticks) -> Box:
        """Return where a rectangle of the stock lies."""
        return Box(
            self.stock.x + x * self.scale_x,
            self.stock.y + y * self.scale_y,
            length * self.scale_x,
            width * self.scale_y,
        )


def paper_scale(one_to: float) -> float:
    """Return the millimetres of paper for a tick at a scale of 1 to something."""
    return 1 / (TICKS_PER_MM * one_to)


def layers(layout: Layout) -> tuple[Ticks, ...]:
    """Return the heights at which a layout shows all it is cut into, from below.

    One for stock that is not resawn.
    """
    leaves = [piece for piece in layout.pieces if piece.fate != "cut"]
    if not any(cut.plane == "resaw" for cut in layout.cuts):
        return (layout.stock.thickness // 2,)
    middles = sorted({piece.z + piece.thickness // 2 for piece in leaves})
    shown: list[Ticks] = []
    for height in middles:
        unseen = [p for p in leaves if p.fate == "part" and _at(p, height)]
        if any(not any(_at(piece, other) for other in shown) for piece in unseen):
            shown.append(height)
    return tuple(shown) or (layout.stock.thickness // 2,)


def draw_layout(
    group: Group, wording: Wording, scale: float, times: float, height: Ticks
) -> Drawing:
    """Return the drawing of a layout.

    Parameters
    ----------
    group
        The layout and its copies.
    wording
        The plan's words.
    scale
        Millimetres of paper for a tick along the stock's length.
    times
        How much larger than its length its width is drawn.
    height
        The layer to show, in ticks from the stock's lower face.
    """
    layout = group.layout
    page = Recorder(width=0, height=0)
    stock = Box(0, 0, layout.stock.length * scale, layout.stock.width * scale * times)
    view = _View(stock=stock, scale_x=scale, scale_y=scale * times)
    leaves = [p for p in layout.pieces if p.fate != "cut" and _at(p, height)]
    boxes = {p.id: view.box(p.x, p.y, p.length, p.width) for p in leaves}
    _draw_rests(page, leaves, boxes)
    for piece in leaves:
        page.rect(boxes[piece.id], STYLE.thin_line, about=f"piece:{piece.id}")
    _draw_zones(page, layout, view)
    lines = _ringed(group, _draw_kerfs(page, layout, view, height), stock)
    page.rect(stock, STYLE.stock_line, about="stock")
    _draw_corner(page, stock)
    _draw_sizes(page, layout, wording, stock)
    marks = place_marks(lines, stock, free_names(layout, wording, boxes))
    taken = [mark.box for mark in marks]
    taken += [view.box(z.x, z.y, z.length, z.width) for z in layout.stock.zones]
    for item in page.items:
        if isinstance(item, Line) and item.about == "resaw":
            (left, y), (right, _) = item.start, item.end
            taken.append(Box(left, y, right - left, 0.1))
    keys = write_names(page, layout, wording, stock, boxes, taken)
    for mark in marks:
        draw_mark(page, mark)
    covered = [bounds(item) for item in page.items]
    left, low = min(box.x for box in covered), min(box.y for box in covered)
    right, top = max(box.right for box in covered), max(box.top for box in covered)
    return Drawing(
        items=tuple(page.items),
        keys=keys,
        stock=stock,
        extent=Box(left, low, right - left, top - low),
    )


def _at(piece: Piece, height: Ticks) -> bool:
    """Tell whether a piece is met at a height."""
    return piece.z <= height < piece.z + piece.thickness


def _draw_rests(page: Recorder, leaves: Sequence[Piece], boxes: dict[str, Box]) -> None:
    """Hatch what is not a part."""
    for piece in leaves:
        if piece.fate == "part":
            continue
        kept = piece.fate == "offcut"
        style = STYLE.offcut_hatch if kept else STYLE.scrap_hatch
        box = boxes[piece.id]
        page.items.append(
            Hatch(
                box=box,
                style=style,
                pen=Pen(STYLE.hatch_line),
                about=f"{piece.fate}:{piece.id}",
            )
        )


def _draw_zones(page: Recorder, layout: Layout, view: _View) -> None:
    """Hatch what is damaged, and pith, over whatever scrap it lies in."""
    for number, zone in enumerate(layout.stock.zones):
        box = view.box(zone.x, zone.y, zone.length, zone.width)
        page.rect(box, None, 1.0, about="clear")
        draw_zone(page, box, f"zone:{number}", zone.kind)


def _ringed(
    group: Group, ends: dict[int, tuple[Point, Point]], stock: Box
) -> list[CutLine]:
    """Return the cuts that get a ring of their own.

    Where three and more cuts that repeat one another lie too close for a ring each, the
    first has one ring with the steps of all.
    """
    lines = []
    for chain in chain_cuts(group.layout):
        cuts = [cut for cut in chain if cut.step in ends]
        singles = [
            CutLine(
                number=cut_number(group, cut),
                start=ends[cut.step][0],
                end=ends[cut.step][1],
            )
            for cut in cuts
        ]
        if len(singles) > 2 and not is_outside(singles[0], stock):
            (ax, ay), (bx, by) = singles[0].start, singles[1].start
            width, depth = mark_size(singles[-1].number)
            apart = width if singles[0].upright else depth
            if abs(bx - ax) + abs(by - ay) < apart + _LETTER:
                number = cut_number(group, *cuts)
                start, end = ends[cuts[0].step]
                singles = [CutLine(number=number, start=start, end=end)]
        lines.extend(singles)
    return lines


def _draw_kerfs(
    page: Recorder, layout: Layout, view: _View, height: Ticks
) -> dict[int, tuple[Point, Point]]:
    """Draw the kerfs of a layer to scale; return both ends of each cut by its step.

    The first end is the one nearest the reference corner.
    """
    pieces = {piece.id: piece for piece in layout.pieces}
    lines: dict[int, tuple[Point, Point]] = {}
    for cut in layout.cuts:
        piece = pieces[cut.piece]
        if cut.plane == "resaw":
            # Seen from above: a dashed line along the piece, out of its name's way.
            box = view.box(piece.x, piece.y, piece.length, piece.width)
            y = box.y + _RESAWN * box.height
            page.items.append(
                Line(
                    start=(box.x, y),
                    end=(box.right, y),
                    pen=Pen(STYLE.thin_line, (2.5, 1.0)),
                    about="resaw",
                )
            )
            lines[cut.step] = (box.x, y), (box.right, y)
            continue
        if not _at(piece, height):
            continue
        upright = cut.plane == "crosscut"
        if upright:
            box = view.box(piece.x + cut.at, piece.y, cut.kerf, piece.width)
        else:
            box = view.box(piece.x, piece.y + cut.at, piece.length, cut.kerf)
        x, y = box.centre
        lines[cut.step] = (
            ((x, box.y), (x, box.top)) if upright else ((box.x, y), (box.right, y))
        )
        lack = STYLE.least_kerf - (box.width if upright else box.height)
        if lack > 0:
            box = (
                Box(box.x - lack / 2, box.y, box.width + lack, box.height)
                if upright
                else Box(box.x, box.y - lack / 2, box.width, box.height + lack)
            )
        page.rect(box, None, 0.0, about=f"kerf:{cut.step}")
        if cut.purpose == "haul":
            draw_store_cut(page, *lines[cut.step], f"store:{cut.step}")
    return lines


def _draw_corner(page: Recorder, stock: Box) -> None:
    """Mark the corner that x and y run from."""
    arm, x, y = 5.0, stock.x - 0.9, stock.y - 0.9
    page.line((x, y), (x + arm, y), 0.9, about="reference")
    page.line((x, y), (x, y + arm), 0.9, about="reference")


def _draw_sizes(page: Recorder, layout: Layout, wording: Wording, stock: Box) -> None:
    """Draw the measures of the stock above it and at its right."""
    tick = 1.2
    y = stock.top + _DIMENSION
    x = stock.right + _DIMENSION
    for cx in (stock.x, stock.right):
        page.line((cx, stock.top + 0.8), (cx, y + tick), STYLE.thin_line)
        page.line((cx - tick, y - tick), (cx + tick, y + tick), STYLE.thin_line * 2)
    for cy in (stock.y, stock.top):
        page.line((stock.right + 0.8, cy), (x + tick, cy), STYLE.thin_line)
        page.line((x - tick, cy - tick), (x + tick, cy + tick), STYLE.thin_line * 2)
    page.line((stock.x, y), (stock.right, y), STYLE.thin_line, about="dimension")
    page.line((x, stock.y), (x, stock.top), STYLE.thin_line, about="dimension")
    size = STYLE.good_label
    middle_x, middle_y = stock.centre
    page.text(
        wording.size(layout.stock.length),
        (middle_x, y + 0.8),
        size,
        align="centre",
        about="dimension",
    )
    width = wording.size(layout.stock.width)
    if text_width(width, size) > stock.height:
        at = (x + 2 * tick, middle_y)
        page.text(width, at, size, level="middle", about="dimension")
        return
    page.text(
        width,
        (x + 3.4, middle_y),
        size,
        align="centre",
        angle=90,
        about="dimension",
    )
