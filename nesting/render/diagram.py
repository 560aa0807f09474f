"""Draws a layout to scale: pieces, kerfs, numbered cuts, grain and reference corner.

One drawing shows one piece of stock (or one layer of it, where it is resawn) in the
space it is given; pages arrange drawings and add the lists.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.render.callouts import Callout, draw_callouts
from nesting.render.chains import chain_cuts, cut_number
from nesting.render.labels import draw_label, fit_key, fit_label
from nesting.render.marks import (
    LANE,
    CutLine,
    draw_mark,
    is_outside,
    mark_size,
    place_marks,
)
from nesting.render.scene import Arrow, Box, Hatch, Line, Pen
from nesting.render.style import STYLE
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.model.plan import Layout, Piece
    from nesting.render.groups import Group
    from nesting.render.scene import Point, Recorder
    from nesting.render.wording import Wording
    from nesting.units import Ticks

ABOVE = 11.0
"""Above the stock: the measure of its length and key letters, in millimetres."""
RIGHT = 11.0
"""Right of the stock: the measure of its width and key letters."""
_DIMENSION = 7.0
"""From the stock to its dimension lines."""
_RESAWN = 0.85
"""Where across a piece the line of a resaw is drawn."""
_LETTER = 3.5
"""Room for a key letter between two rings."""
_CLEAR = 0.5
"""Between a ring and a name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A letter that stands for a name too long for its piece."""

    letter: str
    words: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where a layout lies on paper."""

    stock: Box
    scale_x: float
    """Millimetres of paper for a tick along the stock's length."""
    scale_y: float
    """The same for its width."""

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


def margins(group: Group) -> tuple[float, float]:
    """Return what a drawing needs left of the stock and below it, in millimetres."""
    widths = [mark_size(cut_number(group, cut))[0] for cut in group.layout.cuts]
    lanes = 1 if len(widths) < 25 else 2
    return max(widths, default=0) + LANE + 1, lanes * (STYLE.mark_height + 1) + LANE


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
    page: Recorder, group: Group, wording: Wording, view: View, height: Ticks
) -> tuple[Key, ...]:
    """Draw a layout and return the key letters it uses.

    Parameters
    ----------
    page
        What to draw on.
    group
        The layout and its copies.
    wording
        The plan's words.
    view
        Where the stock lies on the page; what surrounds it takes `margins`, `ABOVE`
        and `RIGHT`.
    height
        The layer to show, in ticks from the stock's lower face.
    """
    layout = group.layout
    leaves = [p for p in layout.pieces if p.fate != "cut" and _at(p, height)]
    parts = [p for p in leaves if p.fate == "part"]
    boxes = {p.id: view.box(p.x, p.y, p.length, p.width) for p in leaves}
    _draw_rests(page, leaves, boxes)
    for piece in parts:
        page.rect(boxes[piece.id], STYLE.thin_line, about=f"piece:{piece.id}")
    lines = _ringed(group, _draw_kerfs(page, layout, view, height), view.stock)
    page.rect(view.stock, STYLE.stock_line, about="stock")
    _draw_corner(page, view.stock)
    _draw_sizes(page, layout, wording, view.stock)
    marks = place_marks(lines, view.stock, _free_names(layout, wording, boxes))
    taken = [mark.box for mark in marks]
    for item in page.items:
        if isinstance(item, Line) and item.about == "resaw":
            (left, y), (right, _) = item.start, item.end
            taken.append(Box(left, y, right - left, 0.1))
    keys = _draw_labels(page, layout, wording, view, boxes, taken)
    for mark in marks:
        draw_mark(page, mark)
    return keys


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
        page.rect(box, STYLE.thin_line, about=f"piece:{piece.id}")


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
    page: Recorder, layout: Layout, view: View, height: Ticks
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
    page.text(
        wording.size(layout.stock.width),
        (x + 3.4, middle_y),
        size,
        align="centre",
        angle=90,
        about="dimension",
    )


def _free_names(layout: Layout, wording: Wording, boxes: dict[str, Box]) -> list[Box]:
    """Return where the names would stand if no ring were in their way."""
    names = []
    for piece in layout.pieces:
        box = boxes.get(piece.id)
        if box is None or piece.fate == "scrap":
            continue
        label = fit_label(*_name(layout, wording, piece), box)
        if label is None:
            label = fit_key("M", box)
        names.append(box if label is None else label.box)
    return names


def _name(layout: Layout, wording: Wording, piece: Piece) -> tuple[str, str]:
    """Return what is written in a piece: its name and its size."""
    name = "keep" if piece.fate == "offcut" else wording.blank(piece.blank or "")
    return name, wording.face(layout, piece)


def _draw_labels(
    page: Recorder,
    layout: Layout,
    wording: Wording,
    view: View,
    boxes: dict[str, Box],
    taken: Sequence[Box],
) -> tuple[Key, ...]:
    """Write a name and a size, or a key letter, for each piece that has one."""
    rings = [other.inset(-_CLEAR) for other in taken]
    largest = _largest(layout, wording, boxes, rings)
    letters: dict[tuple[str, str], str] = {}
    counts: dict[tuple[str, str], int] = {}
    outside: list[Callout] = []
    names: list[Box] = []
    for piece in layout.pieces:
        if piece.id not in boxes or piece.fate == "scrap":
            continue
        box = boxes[piece.id]
        kept = piece.fate == "offcut"
        words = name, face = _name(layout, wording, piece)
        about = f"label:{piece.id}"
        near = [ring for ring in rings if ring.overlaps(box)]
        label = fit_label(name, face, box, near, largest=largest.get(words, 0.0))
        if label is None:
            letter = letters.setdefault(words, key_letter(len(letters)))
            counts[words] = counts.get(words, 0) + 1
            label = fit_key(letter, box, near)
            if label is None:
                outside.append(Callout(box=box, letter=letter, about=about))
                continue
        names.append(label.box)
        if kept:
            page.rect(label.box.inset(-0.3), None, 1.0, about="clear")
        draw_label(page, label, about)
        if not kept:
            _draw_grain(page, layout, wording, piece, box, [*near, label.box])
    _draw_scrap_words(page, layout, boxes, taken)
    draw_callouts(page, outside, view.stock, names)
    return tuple(
        Key(letter=letter, words=f"{words[0]} {words[1]}", count=counts[words])
        for words, letter in letters.items()
    )


def _largest(
    layout: Layout, wording: Wording, boxes: dict[str, Box], taken: Sequence[Box]
) -> dict[tuple[str, str], float]:
    """Return the letters that suit all pieces of one name.

    Nothing for names that most of their pieces are too small for.
    """
    sizes: dict[tuple[str, str], float] = {}
    fits: dict[tuple[str, str], int] = {}
    for piece in layout.pieces:
        if piece.id not in boxes or piece.fate == "scrap":
            continue
        words = _name(layout, wording, piece)
        box = boxes[piece.id]
        label = fit_label(*words, box, [ring for ring in taken if ring.overlaps(box)])
        fits[words] = fits.get(words, 0) + (1 if label is not None else -1)
        if label is not None:
            sizes[words] = min(label.size, sizes.get(words, label.size))
    return {words: size for words, size in sizes.items() if fits[words] >= 0}


def _draw_scrap_words(
    page: Recorder, layout: Layout, boxes: dict[str, Box], taken: Sequence[Box]
) -> None:
    """Write ``scrap`` where there is room; elsewhere the hatching says it alone."""
    for piece in layout.pieces:
        if piece.fate != "scrap" or piece.id not in boxes:
            continue
        label = fit_label("scrap", "", boxes[piece.id], taken)
        if label is not None:
            page.rect(label.box.inset(-0.3), None, 1.0, about="clear")
            draw_label(page, label, f"label:{piece.id}")


def key_letter(count: int) -> str:
    """Return A, B, ... without I and O, then AA, AB, ... for 0, 1, ..."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    first, last = divmod(count, len(letters))
    return (letters[first - 1] if first else "") + letters[last]


def _draw_grain(
    page: Recorder,
    layout: Layout,
    wording: Wording,
    piece: Piece,
    box: Box,
    taken: Sequence[Box],
) -> None:
    """Draw a small double arrow along the grain of a panel that must follow it."""
    blank = wording.blanks.get(piece.blank or "")
    if layout.form != "sheet" or blank is None or blank.grain != "length":
        return
    across = layout.stock.grain == "width"
    long = min(12.0, 0.4 * (box.height if across else box.width))
    if long < 5:
        return
    thick = 1.6
    width, height = (thick, long) if across else (long, thick)
    x, y = box.centre
    for share in (0.16, 0.84, 0.08, 0.92, 0.3, 0.7):
        spot = (
            (box.x + share * box.width, y)
            if across
            else (x, box.y + share * box.height)
        )
        place = Box(spot[0] - width / 2, spot[1] - height / 2, width, height)
        clear = place.inset(-0.4)
        if box.contains(clear) and not any(clear.overlaps(other) for other in taken):
            grain_arrow(page, place, about=f"grain:{piece.id}")
            return


def grain_arrow(page: Recorder, place: Box, about: str) -> None:
    """Draw a double arrow along the longer side of a box."""
    x, y = place.centre
    if place.height > place.width:
        start, end = (x, place.y), (x, place.top)
    else:
        start, end = (place.x, y), (place.right, y)
    page.items.append(
        Arrow(
            start=start,
            end=end,
            pen=Pen(STYLE.thin_line),
            head=STYLE.arrow_length * 0.8,
            both=True,
            about=about,
        )
    )
