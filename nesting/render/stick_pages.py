"""Pages for lumber: long bars on one common scale of length, several to a page.

Under a board stand the slices that its strips are resawn to.
"""

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
from nesting.render.fonts import line_pitch, text_width, wrap
from nesting.render.page import upright
from nesting.render.scene import Box
from nesting.render.slices import (
    end_view,
    is_resawn,
    resaw_words,
    slice_words,
    without_slices,
)
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
_LEAST_STRIP = 6.0
"""What lies side by side on a board is drawn at least this wide, if there is room."""
_MOST_BAR = 48.0
"""No board is drawn wider than this for the sake of its strips."""
_UNBROKEN = 0.5
"""A board with slices and its cuts stay together up to this share of a page."""
_SMALLEST = 400
"""No drawing is made smaller than 1 to this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """A drawing with what stands above it."""

    drawing: Drawing
    words: str = ""
    begins: float = 0.0
    """How far its corner lies from the end of the stock, in millimetres of paper."""

    def caption(self, width: float) -> tuple[str, ...]:
        """Return what stands above it, wrapped."""
        return wrap(self.words, STYLE.note_text, width) if self.words else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bar:
    """A stick or board ready to be put on a page: its face, then its slices."""

    group: Group
    views: tuple[_View, ...]


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
        views = [view for s in sections for bar in s.bars for view in bar.views]
        left = max(-view.begins - view.drawing.extent.x for view in views)
        right = max(view.begins + view.drawing.extent.right for view in views)
        if left + right <= flow.box.width or one_to > _SMALLEST:
            break
        one_to += 1
    for section in sections:
        first = _room(section.bars[0], flow, wording)
        room = min(max(50, first), flow.shape.content.height - 40)
        flow.heading(section.name, room=SIGNS_HEIGHT + room)
        widths = f", widths drawn {section.times} × as large"
        signs = f"Lengths 1:{one_to}{widths if section.times > 1 else ''}"
        draw_signs(
            flow.page,
            flow.take(SIGNS_HEIGHT),
            signs,
            grain=False,
            more=_signs(section, wording),
        )
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
        times = _times(alike, one_to)
        stock = alike[0].layout.stock
        dressed = wording.size(stock.thickness, stock.width)
        name = " ".join(word for word in (material, section) if word)
        bars = [
            _Bar(group=group, views=_views(group, wording, one_to, times))
            for group in alike
        ]
        sections.append(
            _Section(name=f"{name} ({dressed})", times=times, bars=tuple(bars))
        )
    return sections


def _signs(section: _Section, wording: Wording) -> tuple[str, ...]:
    """Return the signs that some stick of a section has and others do without."""
    met = [sign for bar in section.bars for sign in wording.signs(bar.group.layout)]
    return tuple(dict.fromkeys(met))


def _times(groups: Sequence[Group], one_to: int) -> int:
    """Return how much larger than lengths the widths of a section are drawn.

    What is cut side by side from a board has room for a name, if the board lets it.
    """
    widest = max(group.layout.stock.width for group in groups)
    narrowest = min(group.layout.stock.width for group in groups)
    unit = TICKS_PER_MM * one_to
    times = math.ceil(LEAST_BAR * unit / narrowest)
    parts = [p.width for g in groups for p in g.layout.pieces if p.fate == "part"]
    if any(group.layout.form == "board" for group in groups) and parts:
        roomy = math.ceil(_LEAST_STRIP * unit / min(parts))
        times = max(times, min(roomy, int(_MOST_BAR * unit / widest)))
    return max(1, times)


def _views(
    group: Group, wording: Wording, one_to: int, times: int
) -> tuple[_View, ...]:
    """Draw the face of a stick or board, and the slices of what is resawn."""
    scale = paper_scale(one_to)

    def flat(each: Group) -> Drawing:
        layer = layers(each.layout)[0]
        return draw_layout(each, wording, scale, times, layer)

    if not is_resawn(group.layout):
        heights = layers(group.layout)
        return tuple(
            _View(
                drawing=draw_layout(group, wording, scale, times, height),
                words=(
                    f"layer {count} of {len(heights)}, from below"
                    if len(heights) > 1
                    else ""
                ),
            )
            for count, height in enumerate(heights, 1)
        )
    face, resawn = without_slices(group)
    views = [_View(drawing=flat(face))]
    for strip in resawn:
        words = resaw_words(strip, group.layout, wording)
        end = end_view(strip, wording)
        views.append(_View(drawing=end, words=words, begins=strip.strip.x * scale))
        views += [
            _View(
                drawing=flat(view.group),
                words=slice_words(view, strip, wording),
                begins=strip.strip.x * scale,
            )
            for view in strip.views
        ]
    return tuple(views)


def _write_caption(flow: Flow, view: _View, left: float) -> None:
    """Write what stands above a drawing, over its corner if it finds place there."""
    lines = view.caption(flow.box.width)
    longest = max((text_width(line, STYLE.note_text) for line in lines), default=0.0)
    begin = max(0.0, min(left + view.begins, flow.box.width - longest))
    for line in lines:
        strip = flow.take(line_pitch(STYLE.note_text, STYLE.leading))
        strip = Box(strip.x + begin, strip.y, strip.width - begin, strip.height)
        draw_lines(flow.page, (line,), strip, "layer")


def _heights(bar: _Bar, width: float) -> list[float]:
    """Return what each view of a bar takes with its caption and its legend."""
    small = line_pitch(STYLE.note_text, STYLE.leading)
    return [
        (len(view.caption(width)) + len(legend_lines(view.drawing.keys, width))) * small
        + view.drawing.extent.height
        + _GAP
        for view in bar.views
    ]


def _room(bar: _Bar, flow: Flow, wording: Wording) -> float:
    """Return what a bar takes that is not broken: all of it, or its title and face."""
    heights = _heights(bar, flow.box.width)
    entries = list_cuts(bar.group, wording, list_columns(flow.box, _COLUMNS)[0].width)
    lines = wrap(
        _caption(bar.group, wording), STYLE.body_text, flow.box.width, bold=True
    )
    title = len(lines) * line_pitch(STYLE.body_text, STYLE.leading)
    whole = title + list_height(entries, _COLUMNS) + sum(heights)
    most = flow.shape.content.height - 20
    if is_resawn(bar.group.layout) and whole > _UNBROKEN * most:
        return title + heights[0]
    return min(whole, most)


def _caption(group: Group, wording: Wording) -> str:
    return f"{layout_title(group, wording)}. {layout_origin(group, wording)}"


def _put(flow: Flow, bar: _Bar, wording: Wording, left: float) -> None:
    """Put a stick on a page, its end `left` mm from the side, and list its cuts."""
    group = bar.group
    caption = _caption(group, wording)
    lines = wrap(caption, STYLE.body_text, flow.box.width, bold=True)
    pitch = line_pitch(STYLE.body_text, STYLE.leading)
    small = line_pitch(STYLE.note_text, STYLE.leading)
    legends = [legend_lines(v.drawing.keys, flow.box.width) for v in bar.views]
    entries = list_cuts(group, wording, list_columns(flow.box, _COLUMNS)[0].width)
    heights = _heights(bar, flow.box.width)
    most = flow.shape.content.height - 20
    flow.need(_room(bar, flow, wording))
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
    for view, legend, room in zip(bar.views, legends, heights, strict=True):
        flow.need(room)
        _write_caption(flow, view, left)
        drawing = view.drawing
        strip = flow.take(drawing.extent.height + 1)
        x = strip.x + left + view.begins + drawing.extent.x
        drawing.place(flow.page, x, strip.y + 1)
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
