"""Pages for sheets and glue-ups: a drawing to scale, and the list of its cuts below."""

from __future__ import annotations

import math
from dataclasses import dataclass
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
from nesting.render.diagram import (
    ABOVE,
    RIGHT,
    View,
    draw_layout,
    grain_arrow,
    layers,
    margins,
    paper_scale,
)
from nesting.render.fonts import line_pitch
from nesting.render.page import Shape, lying, new_page, upright, write_title
from nesting.render.scene import Box, Recorder
from nesting.render.style import STYLE
from nesting.render.titles import layout_origin, layout_title
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from nesting.render.cut_list import Entry
    from nesting.render.diagram import Key
    from nesting.render.groups import Group
    from nesting.render.page import Paper
    from nesting.render.wording import Wording

_LEAST_SCALE = 3
"""No drawing is larger than 1 to this."""
_LIST_SHARE = 0.42
"""The most of a page that the list of cuts may take under a drawing."""
_LARGER = 0.85
"""The cuts get a page of their own only if that brings the scale down to this."""
_CROWDED = 0.2
"""The share of pieces with key letters from which a drawing is crowded."""
_GRAIN_ROW = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    """How a layout lies on a page."""

    shape: Shape
    columns: int
    entries: tuple[Entry, ...]
    list_height: float
    one_to: int


def sheet_pages(group: Group, wording: Wording, paper: Paper) -> list[Recorder]:
    """Return the pages of one layout and its copies, a page for each layer.

    The page stands or lies, whichever gives the larger drawing.
    """
    fit = _best_fit(group, wording, paper)
    title = layout_title(group, wording)
    pages: list[Recorder] = []
    shown = layers(group.layout)
    done = 0
    for count, height in enumerate(shown, 1):
        layer = f", layer {count} of {len(shown)}" if len(shown) > 1 else ""
        page = new_page(fit.shape, title + layer)
        box = write_title(
            page, fit.shape.content, title + layer, layout_origin(group, wording)
        )
        pages.append(page)
        rest = _draw(page, group, wording, box, fit, height)
        fits = list_height(fit.entries, fit.columns) <= rest.height
        if count == len(shown) and (fit.list_height > 0 or fits):
            done = draw_list(page, fit.entries, rest, fit.columns, ring_width(group))
    while done < len(fit.entries):
        page = new_page(fit.shape, title)
        box = write_title(page, fit.shape.content, f"{title}, cuts")
        pages.append(page)
        done += draw_list(page, fit.entries[done:], box, fit.columns, ring_width(group))
    return pages


def _best_fit(group: Group, wording: Wording, paper: Paper) -> _Fit:
    """Return how a layout lies best: its cuts below it, or else on a page of theirs.

    They make way only where many pieces are too small for their names and the drawing
    becomes a good deal larger.
    """
    shapes = ((upright(paper), 2), (lying(paper), 3))
    share = _LIST_SHARE
    together = min(
        (_fit(group, wording, shape, count, share) for shape, count in shapes),
        key=lambda fit: fit.one_to,
    )
    alone = min(
        (_fit(group, wording, shape, count, 0.0) for shape, count in shapes),
        key=lambda fit: fit.one_to,
    )
    if alone.one_to > _LARGER * together.one_to:
        return together
    named = [p for p in group.layout.pieces if p.fate in ("part", "offcut")]
    scale = paper_scale(together.one_to)
    stock = group.layout.stock
    view = View(
        stock=Box(0, 0, stock.length * scale, stock.width * scale),
        scale_x=scale,
        scale_y=scale,
    )
    trial = Recorder(width=together.shape.width, height=together.shape.height)
    keys = draw_layout(trial, group, wording, view, layers(group.layout)[0])
    crowded = sum(key.count for key in keys) > _CROWDED * len(named)
    return alone if crowded else together


def single_drawing(group: Group, wording: Wording, width: float) -> Recorder:
    """Return one drawing without the list of cuts, on paper that just holds it.

    Parameters
    ----------
    group
        The layout; its lowest layer is drawn.
    wording
        The plan's words.
    width
        Of the paper, in millimetres.
    """
    layout = group.layout
    edge = 4.0
    left, below = margins(group)
    room = width - 2 * edge - left - RIGHT
    one_to = layout.stock.length / TICKS_PER_MM / room
    scale = paper_scale(one_to)
    depth = layout.stock.width * scale
    scale_y = scale
    if depth < 14:
        scale_y = 14 / layout.stock.width
        depth = 14
    title = layout_title(group, wording)
    draft = Recorder(width=width, height=1000)
    view = View(
        stock=Box(edge + left, 500, room, depth), scale_x=scale, scale_y=scale_y
    )
    keys = draw_layout(draft, group, wording, view, layers(layout)[0])
    legend = legend_lines(keys, width - 2 * edge)
    pitch = line_pitch(STYLE.note_text, STYLE.leading)
    foot = len(legend) * pitch + SIGNS_HEIGHT + edge
    head = line_pitch(STYLE.title_text, STYLE.leading)
    height = foot + below + depth + ABOVE + head + edge
    page = Recorder(width=width, height=height, title=title)
    box = Box(edge, edge, width - 2 * edge, height - 2 * edge)
    write_title(page, box, title)
    stock = Box(edge + left, foot + below, room, depth)
    view = View(stock=stock, scale_x=scale, scale_y=scale_y)
    draw_layout(page, group, wording, view, layers(layout)[0])
    strip = Box(box.x, edge, box.width, len(legend) * pitch + SIGNS_HEIGHT)
    draw_signs(page, strip, "", grain=layout.form == "sheet")
    draw_lines(
        page,
        legend,
        Box(box.x, edge, box.width, strip.height - SIGNS_HEIGHT),
        about="key",
    )
    return page


def _fit(
    group: Group, wording: Wording, shape: Shape, count: int, share: float
) -> _Fit:
    """Return how a layout would lie on a page of this shape.

    The list of cuts has `count` columns and at most this share of the page below the
    drawing; where that is nothing it gets a page of its own.
    """
    content = shape.content
    width = list_columns(content, count)[0].width
    entries = list_cuts(group, wording, width)
    most = content.height * share
    wanted = min(list_height(entries, count), most)
    left, below = margins(group)
    head = 2 * line_pitch(STYLE.title_text, STYLE.leading)
    room_x = content.width - left - RIGHT
    room_y = content.height - head - ABOVE - below - wanted - SIGNS_HEIGHT
    room_y -= _GRAIN_ROW + 3 * line_pitch(STYLE.note_text, STYLE.leading)
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


def _draw(
    page: Recorder, group: Group, wording: Wording, box: Box, fit: _Fit, height: int
) -> Box:
    """Draw a layer with its legend and return the room below for the list."""
    layout = group.layout
    scale = paper_scale(fit.one_to)
    left, below = margins(group)
    length, width = layout.stock.length * scale, layout.stock.width * scale
    sheet = layout.form == "sheet"
    spare = max(0.0, box.width - left - RIGHT - length)
    top = box.top - (_GRAIN_ROW if sheet else 0)
    stock = Box(box.x + left + spare / 2, top - ABOVE - width, length, width)
    view = View(stock=stock, scale_x=scale, scale_y=scale)
    keys: tuple[Key, ...] = draw_layout(page, group, wording, view, height)
    if sheet:
        _draw_stock_grain(page, layout.stock.grain, stock, box.top)
    strip = Box(box.x, box.y, box.width, stock.y - below - 1 - box.y)
    draw_signs(page, strip, f"Scale 1:{fit.one_to}", grain=sheet)
    strip = Box(strip.x, strip.y, strip.width, strip.height - SIGNS_HEIGHT)
    used = draw_lines(page, legend_lines(keys, strip.width), strip, about="key")
    return Box(strip.x, strip.y, strip.width, strip.height - used - 1.5)


def _draw_stock_grain(page: Recorder, grain: str, stock: Box, top: float) -> None:
    """Draw the grain of a sheet above it, at the right."""
    words = "grain of the sheet"
    size = STYLE.note_text
    text = page.text(
        words,
        (stock.right, top - 2.0),
        size,
        align="right",
        level="middle",
        about="grain",
    )
    if grain == "width":
        place = Box(text.x - 4, top - 9, 1.6, 9)
    else:
        place = Box(text.x - 15, top - 2.8, 13, 1.6)
    grain_arrow(page, place, about="grain of the stock")
