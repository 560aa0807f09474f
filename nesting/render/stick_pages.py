"""Pages for sticks: long bars on one common scale of length, several to a page."""

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
from nesting.render.diagram import draw_layout, layers, paper_scale
from nesting.render.flow import Flow
from nesting.render.fonts import line_pitch, wrap
from nesting.render.page import upright
from nesting.render.style import STYLE
from nesting.render.titles import layout_origin, layout_title
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.render.diagram import Drawing
    from nesting.render.groups import Group
    from nesting.render.page import Paper
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

LEAST_BAR = 11.0
"""A bar is drawn at least this wide, in millimetres."""
_COLUMNS = 2
_GAP = 3.0
_AROUND = 20.0
"""What a drawing has left and right of the stock, at first sight."""
_SMALLEST = 400
"""No drawing is made smaller than 1 to this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bar:
    """A stick ready to be put on a page: a drawing for each of its layers."""

    group: Group
    drawings: tuple[Drawing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Section:
    """The sticks of one section."""

    name: str
    times: int
    bars: tuple[_Bar, ...]


def stick_pages(
    groups: Sequence[Group], wording: Wording, paper: Paper
) -> list[Recorder]:
    """Return the pages of all sticks, grouped by section.

    Lengths are to one scale throughout. Widths are drawn larger than lengths by a whole
    number, one for all sticks of a section, and the page says so.
    """
    title = " and ".join(sorted({f"{group.layout.form}s" for group in groups}))
    title = title.capitalize()
    flow = Flow(shape=upright(paper), title=title, again=f"{title}, continued")
    longest = max(group.layout.stock.length for group in groups) / TICKS_PER_MM
    one_to = max(3, math.ceil(longest / (flow.box.width - _AROUND)))
    while True:
        sections = _draw_sections(groups, wording, one_to)
        drawings = [d for s in sections for bar in s.bars for d in bar.drawings]
        left = max(-drawing.extent.x for drawing in drawings)
        right = max(drawing.extent.right for drawing in drawings)
        if left + right <= flow.box.width or one_to > _SMALLEST:
            break
        one_to += 1
    for section in sections:
        flow.heading(section.name, room=SIGNS_HEIGHT + 50)
        widths = f", widths drawn {section.times} × as large"
        signs = f"Lengths 1:{one_to}{widths if section.times > 1 else ''}"
        draw_signs(flow.page, flow.take(SIGNS_HEIGHT), signs, grain=False)
        flow.skip(1.5)
        for bar in section.bars:
            _put(flow, bar, wording, left)
    return flow.pages


def _draw_sections(
    groups: Sequence[Group], wording: Wording, one_to: int
) -> list[_Section]:
    """Draw all sticks to one scale of length."""
    members: dict[tuple[str, str], list[Group]] = {}
    for group in groups:
        key = group.layout.material, group.layout.section
        members.setdefault(key, []).append(group)
    sections = []
    for (material, section), alike in members.items():
        narrowest = min(group.layout.stock.width for group in alike)
        times = max(1, math.ceil(LEAST_BAR * TICKS_PER_MM * one_to / narrowest))
        stock = alike[0].layout.stock
        dressed = wording.size(stock.thickness, stock.width)
        name = " ".join(word for word in (material, section) if word)
        bars = [
            _Bar(
                group=group,
                drawings=tuple(
                    draw_layout(group, wording, paper_scale(one_to), times, layer)
                    for layer in layers(group.layout)
                ),
            )
            for group in alike
        ]
        sections.append(
            _Section(name=f"{name} ({dressed})", times=times, bars=tuple(bars))
        )
    return sections


def _put(flow: Flow, bar: _Bar, wording: Wording, left: float) -> None:
    """Put a stick on a page, its end `left` mm from the side, and list its cuts."""
    group = bar.group
    caption = f"{layout_title(group, wording)}. {layout_origin(group, wording)}"
    lines = wrap(caption, STYLE.body_text, flow.box.width, bold=True)
    pitch = line_pitch(STYLE.body_text, STYLE.leading)
    small = line_pitch(STYLE.note_text, STYLE.leading)
    legends = [legend_lines(d.keys, flow.box.width) for d in bar.drawings]
    entries = list_cuts(group, wording, list_columns(flow.box, _COLUMNS)[0].width)
    height = len(lines) * pitch + list_height(entries, _COLUMNS)
    for drawing, legend in zip(bar.drawings, legends, strict=True):
        height += drawing.extent.height + len(legend) * small + _GAP
    most = flow.shape.content.height - 20
    flow.need(min(height, most))
    for line in lines:
        strip = flow.take(pitch)
        flow.page.text(
            line,
            (strip.x, strip.top),
            STYLE.body_text,
            bold=True,
            level="top",
            about=f"title:{group.layout.id}",
        )
    for count, (drawing, legend) in enumerate(
        zip(bar.drawings, legends, strict=True), 1
    ):
        if len(bar.drawings) > 1:
            layer = f"layer {count} of {len(bar.drawings)}, from below"
            draw_lines(flow.page, (layer,), flow.take(small), "layer")
        strip = flow.take(drawing.extent.height + 1)
        drawing.place(flow.page, strip.x + left + drawing.extent.x, strip.y + 1)
        for line in legend:
            draw_lines(flow.page, (line,), flow.take(small), "key")
    flow.skip(0.7)
    while entries:
        wanted = list_height(entries, _COLUMNS)
        if wanted > flow.box.height and flow.box.height < most:
            flow.start_page()
            continue
        strip = flow.take(min(wanted, flow.box.height))
        done = draw_list(flow.page, entries, strip, _COLUMNS, ring_width(group))
        entries = entries[done:]
    flow.skip(_GAP)
