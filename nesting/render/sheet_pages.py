"""Pages for sheets and glue-ups: a drawing to scale, and the list of its cuts below."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nesting.render.cut_list import (
    SIGNS_HEIGHT,
    draw_lines,
    draw_list,
    draw_signs,
    legend_lines,
    list_cuts,
    list_height,
    ring_width,
)
from nesting.render.cut_list import columns as list_columns
from nesting.render.diagram import draw_layout, layers, paper_scale
from nesting.render.fonts import line_pitch, wrap
from nesting.render.names import grain_arrow
from nesting.render.page import Shape, lying, new_page, upright, write_title
from nesting.render.scene import Box, Recorder
from nesting.render.slices import is_resawn, slice_parts, without_slices
from nesting.render.style import STYLE
from nesting.render.titles import layout_origin, layout_title
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.render.cut_list import Entry
    from nesting.render.diagram import Drawing
    from nesting.render.groups import Group
    from nesting.render.page import Paper
    from nesting.render.slices import Resawn
    from nesting.render.wording import Wording

_LEAST_SCALE = 3
"""No drawing is larger than 1 to this."""
_LIST_SHARE = 0.42
"""The most of a page that the list of cuts may take under a drawing."""
_LONGEST_LIST = 0.7
"""The same where it would be broken otherwise and the drawing hardly suffers."""
_LARGER = 0.85
"""The cuts get a page of their own only if that brings the scale down to this."""
_FEW = 0.25
"""So little of a list on a page of its own is worth..."""
_SMALLER = 0.7
"""...a drawing that is smaller by this."""
_CROWDED = 0.2
"""The share of pieces with key letters from which a drawing is crowded."""
_LEGEND_SHARE = 0.25
"""The most of a page that key letters may take; more of them go to the next."""
_SMALLEST = 200
"""No drawing is made smaller than 1 to this."""
_GRAIN_ROW = 4.0
"""Height of the row with the grain of a sheet, in millimetres."""
_HEAD = 16.5
"""Height of a title of one line, what stands below it, and the row of the grain."""
_SIDE = 8.5
"""What a drawing has on every side of the stock, at first sight."""
_EDGE = 4.0
"""Around a drawing that stands alone."""
_TRIES = 4
"""How often the scale of a drawing that stands alone is tried."""
_LEAST_DEPTH = 14.0
"""A drawing that stands alone is at least this high."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    """How a layout lies on a page."""

    shape: Shape
    columns: int
    entries: tuple[Entry, ...]
    list_height: float
    """What the list of cuts may take below the drawing; 0: it has its own page."""
    one_to: int


def sheet_pages(group: Group, wording: Wording, paper: Paper) -> list[Recorder]:
    """Return the pages of one layout and its copies, a page for each layer.

    The page stands or lies, whichever gives the larger drawing.
    """
    fit, drawings = _best_fit(group, wording, paper)
    title = layout_title(group, wording)
    pages: list[Recorder] = []
    legend: tuple[str, ...] = ()
    box = fit.shape.content
    for count, drawing in enumerate(drawings, 1):
        layer = f", layer {count} of {len(drawings)}" if len(drawings) > 1 else ""
        page = new_page(fit.shape, title + layer)
        below = layout_origin(group, wording)
        box = write_title(page, fit.shape.content, title + layer, below)
        grain = wording.has_grain(group.layout)
        more_signs = wording.signs(group.layout)
        box = _draw(page, group, drawing, box, fit.one_to, grain=grain, more=more_signs)
        more = legend_lines(drawing.keys, box.width)
        box, more = _write_legend(page, box, more)
        legend += more
        pages.append(page)
    left = fit.entries
    if fit.list_height or list_height(left, fit.columns) <= box.height:
        done = draw_list(pages[-1], left, box, fit.columns, ring_width(group))
        left = left[done:]
    while left or legend:
        page = new_page(fit.shape, title)
        box = write_title(page, fit.shape.content, f"{title}, cuts")
        box, legend = _write_legend(page, box, legend)
        pages.append(page)
        done = draw_list(page, left, box, fit.columns, ring_width(group))
        left = left[done:]
    return pages


def single_drawing(group: Group, wording: Wording, width: float) -> Recorder:
    """Return one drawing without the list of cuts, on paper that just holds it.

    Parameters
    ----------
    group
        The layout; its lowest layer is drawn, or the face of a board.
    wording
        The plan's words.
    width
        Of the paper, in millimetres.
    """
    strips: tuple[Resawn, ...] = ()
    if is_resawn(group.layout):
        group, strips = without_slices(group)
    stock = group.layout.stock
    room = width - 2 * _EDGE
    scale = (room - 2 * _SIDE) / stock.length
    times = max(1.0, _LEAST_DEPTH / (stock.width * scale))
    layer = layers(group.layout)[0]
    drawing = draw_layout(group, wording, scale, times, layer)
    # What stands around the stock may grow as the drawing shrinks, though rarely.
    for _ in range(_TRIES):
        around = drawing.extent.width - drawing.stock.width
        scale *= (room - around) / drawing.stock.width
        drawing = draw_layout(group, wording, scale, times, layer)
        if drawing.extent.width <= room + 0.1:
            break
    legend = legend_lines(drawing.keys, room)
    for resawn in strips:
        legend += wrap(slice_parts(resawn, wording), STYLE.note_text, room)
    foot = len(legend) * line_pitch(STYLE.note_text, STYLE.leading) + SIGNS_HEIGHT
    head = 1.4 * line_pitch(STYLE.title_text, STYLE.leading)
    height = 2 * _EDGE + foot + 1 + drawing.extent.height + head
    title = layout_title(group, wording)
    page = Recorder(width=width, height=height, title=title)
    box = Box(_EDGE, _EDGE, room, height - 2 * _EDGE)
    write_title(page, box, title)
    drawing.place(page, _EDGE, _EDGE + foot + 1)
    strip = Box(_EDGE, _EDGE, room, foot)
    grain = group.layout.form == "sheet" and wording.has_grain(group.layout)
    draw_signs(page, strip, "", grain=grain, more=wording.signs(group.layout))
    draw_lines(page, legend, Box(_EDGE, _EDGE, room, foot - SIGNS_HEIGHT), "key")
    return page


def _best_fit(
    group: Group, wording: Wording, paper: Paper
) -> tuple[_Fit, list[Drawing]]:
    """Return how a layout lies best: its cuts below it, or else on a page of theirs.

    They make way only where many pieces are too small for their names and the drawing
    becomes a good deal larger.
    """
    shapes = ((upright(paper), 2), (lying(paper), 3))
    whole, part, alone = (
        min(
            (_fit(group, wording, shape, count, share) for shape, count in shapes),
            key=lambda fit: fit.one_to,
        )
        for share in (_LONGEST_LIST, _LIST_SHARE, 0.0)
    )
    # A list that is not broken is worth a drawing that is a little smaller.
    broken = 1 - part.list_height / max(1.0, list_height(part.entries, part.columns))
    least = _SMALLER if broken <= _FEW else _LARGER
    together = whole if part.one_to > least * whole.one_to else part
    fit, drawings = _drawn(group, wording, together)
    if alone.one_to <= _LARGER * fit.one_to:
        named = [p for p in group.layout.pieces if p.fate in ("part", "offcut")]
        keyed = sum(key.count for key in drawings[0].keys)
        if keyed > _CROWDED * len(named):
            return _drawn(group, wording, alone)
    return fit, drawings


def _fit(
    group: Group, wording: Wording, shape: Shape, count: int, share: float
) -> _Fit:
    """Return how a layout would lie on a page of this shape, at first sight.

    The list of cuts has `count` columns and at most this share of the page below the
    drawing; where that is nothing it gets a page of its own.
    """
    content = shape.content
    entries = list_cuts(group, wording, list_columns(content, count)[0].width)
    wanted = min(list_height(entries, count), content.height * share)
    room_x = content.width - 2 * _SIDE
    room_y = content.height - 2 * _SIDE - _HEAD - SIGNS_HEIGHT - wanted
    room_y = max(room_y, 5.0)
    stock = group.layout.stock
    one_to = max(
        stock.length / TICKS_PER_MM / room_x, stock.width / TICKS_PER_MM / room_y
    )
    return _Fit(
        shape=shape,
        columns=count,
        entries=entries,
        list_height=wanted,
        one_to=max(_LEAST_SCALE, math.ceil(one_to)),
    )


def _drawn(group: Group, wording: Wording, fit: _Fit) -> tuple[_Fit, list[Drawing]]:
    """Return a fit with its drawings, smaller if all that is around them needs it."""
    content = fit.shape.content
    pitch = line_pitch(STYLE.note_text, STYLE.leading)
    while True:
        scale = paper_scale(fit.one_to)
        drawings = [
            draw_layout(group, wording, scale, 1.0, layer)
            for layer in layers(group.layout)
        ]
        wide = max(drawing.extent.width for drawing in drawings)
        high = max(
            drawing.extent.height
            + min(
                len(legend_lines(drawing.keys, content.width)) * pitch,
                _LEGEND_SHARE * content.height,
            )
            for drawing in drawings
        )
        high += _HEAD + SIGNS_HEIGHT + fit.list_height
        if (wide <= content.width and high <= content.height) or fit.one_to > _SMALLEST:
            return fit, drawings
        fit = replace(fit, one_to=fit.one_to + 1)


def _draw(
    page: Recorder,
    group: Group,
    drawing: Drawing,
    box: Box,
    one_to: int,
    *,
    grain: bool,
    more: Sequence[str],
) -> Box:
    """Put a drawing and the row of signs on a page; return the room below them."""
    grain = grain and group.layout.form == "sheet"
    if grain:
        _draw_stock_grain(page, group.layout.stock.grain, box)
        box = Box(box.x, box.y, box.width, box.height - _GRAIN_ROW)
    extent = drawing.extent
    x = box.x + max(0.0, box.width - extent.width) / 2
    drawing.place(page, x, box.top - extent.height)
    height = box.height - extent.height - 1
    strip = Box(box.x, box.y, box.width, height)
    draw_signs(page, strip, f"Scale 1:{one_to}", grain=grain, more=more)
    return Box(box.x, box.y, box.width, height - SIGNS_HEIGHT)


def _write_legend(
    page: Recorder, box: Box, lines: tuple[str, ...]
) -> tuple[Box, tuple[str, ...]]:
    """Write what the key letters mean; return the room and the lines that are left."""
    pitch = line_pitch(STYLE.note_text, STYLE.leading)
    count = min(len(lines), int(box.height / pitch))
    used = draw_lines(page, lines[:count], box, "key")
    gap = 1.5 if used else 0.0
    rest = Box(box.x, box.y, box.width, max(0.0, box.height - used - gap))
    return rest, lines[count:]


def _draw_stock_grain(page: Recorder, grain: str, box: Box) -> None:
    """Draw the grain of a sheet at the upper right of a box."""
    words = "grain of the sheet"
    text = page.text(
        words,
        (box.right, box.top - 1.5),
        STYLE.note_text,
        align="right",
        level="middle",
        about="grain",
    )
    if grain == "width":
        place = Box(text.x - 4, box.top - 8, 1.6, 9)
    else:
        place = Box(text.x - 15, box.top - 2.3, 13, 1.6)
    grain_arrow(page, place, about="grain of the stock")
