"""Pages for sticks: long bars on one common scale of length, several to a page."""

from __future__ import annotations

import math
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
    layers,
    margins,
    paper_scale,
)
from nesting.render.flow import Flow
from nesting.render.fonts import line_pitch, wrap
from nesting.render.page import upright
from nesting.render.scene import Box, Recorder
from nesting.render.style import STYLE
from nesting.render.titles import layout_origin, layout_title
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.render.groups import Group
    from nesting.render.page import Paper
    from nesting.render.wording import Wording

LEAST_BAR = 11.0
"""A bar is drawn at least this wide, in millimetres."""
_COLUMNS = 2
_GAP = 3.0


def stick_pages(
    groups: Sequence[Group], wording: Wording, paper: Paper
) -> list[Recorder]:
    """Return the pages of all sticks, grouped by section.

    Lengths are to one scale throughout. Widths are drawn larger than lengths by a whole
    number, one for all sticks of a section, and the page says so.
    """
    shape = upright(paper)
    left = max(margins(group)[0] for group in groups)
    room = shape.content.width - left - RIGHT
    longest = max(group.layout.stock.length for group in groups) / TICKS_PER_MM
    one_to = max(3, math.ceil(longest / room))
    title = " and ".join(sorted({f"{group.layout.form}s" for group in groups}))
    title = title.capitalize()
    flow = Flow(shape=shape, title=title, again=f"{title}, continued")
    sections: dict[tuple[str, str], list[Group]] = {}
    for group in groups:
        key = group.layout.material, group.layout.section
        sections.setdefault(key, []).append(group)
    for (material, section), members in sections.items():
        narrowest = min(group.layout.stock.width for group in members)
        times = max(1, math.ceil(LEAST_BAR * TICKS_PER_MM * one_to / narrowest))
        first = members[0].layout.stock
        dressed = wording.size(first.thickness, first.width)
        first_height = _height(members[0], wording, flow, one_to, times)
        flow.heading(
            f"{material} {section} ({dressed})".replace("  ", " "),
            room=first_height + SIGNS_HEIGHT,
        )
        widths = f", widths drawn {times} × as large" if times > 1 else ""
        strip = flow.take(SIGNS_HEIGHT)
        draw_signs(flow.page, strip, f"Lengths 1:{one_to}{widths}", grain=False)
        flow.skip(1.5)
        for group in members:
            _draw_block(flow, group, wording, left, one_to, times)
    return flow.pages


def _bar_height(group: Group, one_to: int, times: int) -> float:
    return group.layout.stock.width * paper_scale(one_to) * times


def _height(
    group: Group, wording: Wording, flow: Flow, one_to: int, times: int
) -> float:
    """Return the height of a stick's block without its legend."""
    _, below = margins(group)
    bar = ABOVE + _bar_height(group, one_to, times) + below
    width = list_columns(flow.box, _COLUMNS)[0].width
    cuts = list_height(list_cuts(group, wording, width), _COLUMNS)
    caption = _caption(group, wording, flow.box.width)
    words = len(caption) * line_pitch(STYLE.body_text, STYLE.leading)
    return words + bar * len(layers(group.layout)) + cuts + _GAP


def _caption(group: Group, wording: Wording, width: float) -> tuple[str, ...]:
    words = f"{layout_title(group, wording)}. {layout_origin(group, wording)}"
    return wrap(words, STYLE.body_text, width, bold=True)


def _draw_block(
    flow: Flow, group: Group, wording: Wording, left: float, one_to: int, times: int
) -> None:
    """Draw a stick, `left` mm from the side, with its caption, legend and cuts."""
    layout = group.layout
    _, below = margins(group)
    scale = paper_scale(one_to)
    bar = _bar_height(group, one_to, times)
    # The legend's height is known only when the labels have found their places.
    trial = Recorder(width=flow.shape.width, height=flow.shape.height)
    view = View(
        stock=Box(0, 0, layout.stock.length * scale, bar),
        scale_x=scale,
        scale_y=scale * times,
    )
    shown = layers(layout)
    legends = [
        legend_lines(draw_layout(trial, group, wording, view, layer), flow.box.width)
        for layer in shown
    ]
    pitch = line_pitch(STYLE.note_text, STYLE.leading)
    height = _height(group, wording, flow, one_to, times)
    height += sum(map(len, legends)) * pitch
    most = flow.shape.content.height - 20
    flow.need(min(height, most))
    for line in _caption(group, wording, flow.box.width):
        strip = flow.take(line_pitch(STYLE.body_text, STYLE.leading))
        flow.page.text(
            line,
            (strip.x, strip.top),
            STYLE.body_text,
            bold=True,
            level="top",
            about=f"title:{layout.id}",
        )
    for layer, legend in zip(shown, legends, strict=True):
        strip = flow.take(ABOVE + bar + below + len(legend) * pitch)
        stock = Box(
            strip.x + left,
            strip.top - ABOVE - bar,
            layout.stock.length * scale,
            bar,
        )
        view = View(stock=stock, scale_x=scale, scale_y=scale * times)
        draw_layout(flow.page, group, wording, view, layer)
        if len(shown) > 1:
            words = f"layer {shown.index(layer) + 1} of {len(shown)}, from below"
            at = stock.x + 2, stock.top + ABOVE - 3.2
            flow.page.text(words, at, STYLE.note_text, about="layer")
        under = Box(strip.x, strip.y, strip.width, len(legend) * pitch)
        draw_lines(flow.page, legend, under, about="key")
    entries = list_cuts(group, wording, list_columns(flow.box, _COLUMNS)[0].width)
    ring = ring_width(group)
    done = 0
    while done < len(entries):
        wanted = list_height(entries[done:], _COLUMNS)
        if wanted > flow.box.height and flow.box.height < most:
            flow.start_page()
            continue
        strip = flow.take(min(wanted, flow.box.height))
        done += draw_list(flow.page, entries[done:], strip, _COLUMNS, ring)
    flow.skip(_GAP)
