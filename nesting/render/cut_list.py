"""The list of a layout's cuts under its drawing, and the legend of what is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from nesting.model.terms import ZoneKind
from nesting.render.chains import all_steps, chain_cuts, chain_rest, cut_number, wanted
from nesting.render.fonts import TIE, line_pitch, text_width, wrap
from nesting.render.groups import write_steps
from nesting.render.marks import draw_ring, draw_store_cut, mark_size
from nesting.render.names import draw_zone, grain_arrow
from nesting.render.runs import flow_arrow
from nesting.render.scene import Box, Hatch, Pen
from nesting.render.style import STYLE

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from nesting.model.plan import Layout
    from nesting.render.chains import Chain
    from nesting.render.groups import Group
    from nesting.render.names import Key
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

_GUTTER = 4.0
_ROW_GAP = 0.7


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A cut in the list: its number and wrapped words."""

    number: str
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        """Its height in millimetres."""
        text = len(self.lines) * line_pitch(STYLE.note_text, 1.2)
        return max(text, STYLE.mark_height) + _ROW_GAP


def list_cuts(group: Group, wording: Wording, width: float) -> tuple[Entry, ...]:
    """Return the cuts of a layout in the order of their steps, wrapped to a width.

    Cuts that repeat one another make one entry.
    """
    ring = ring_width(group)
    entries = []
    for chain in chain_cuts(group.layout):
        words = _words(chain, group.layout, wording)
        number = cut_number(group, *chain)
        if number.endswith("…"):
            words += f" Steps {write_steps(all_steps(group, *chain))}."
        lines = wrap(words[0].upper() + words[1:], STYLE.note_text, width - ring)
        entries.append(Entry(number=number, lines=lines))
    return tuple(entries)


def _words(chain: Chain, layout: Layout, wording: Wording) -> str:
    """Return what is done in a chain of cuts."""
    first = chain[0]
    words = f"{wording.kind(first)} {wording.held(layout, first.piece)}"
    setting = f"{wording.setting(first)}; {first.saw}."
    if len(chain) == 1:
        makes = ", ".join(wording.makes(layout, first))
        return f"{words}: {setting} Makes {makes}."
    pieces = {piece.id: piece for piece in layout.pieces}
    part = wording.made(layout, wanted(chain, pieces))
    rest = chain_rest(chain, layout)
    words += f" into {len(chain)} × {part}{_run_of(chain, layout, wording)}: {setting}"
    return f"{words} Leaves {wording.made(layout, rest)}." if rest else words


def _run_of(chain: Chain, layout: Layout, wording: Wording) -> str:
    """Return the run whose members a chain of cuts makes, in brackets."""
    marks = [
        wording.run_marks[layout.id, made]
        for cut in chain
        for made in cut.makes
        if (layout.id, made) in wording.run_marks
    ]
    return f" ({marks[0]} to {marks[-1].split(TIE)[-1]})" if len(marks) > 1 else ""


def ring_width(group: Group) -> float:
    """Return the width of the column of rings."""
    chains = chain_cuts(group.layout)
    widths = [mark_size(cut_number(group, *chain))[0] for chain in chains]
    return max(widths, default=0.0) + 1.2


def columns(box: Box, count: int) -> list[Box]:
    """Return a box divided into columns."""
    width = (box.width - (count - 1) * _GUTTER) / count
    return [
        Box(box.x + k * (width + _GUTTER), box.y, width, box.height)
        for k in range(count)
    ]


def list_height(entries: Sequence[Entry], count: int) -> float:
    """Return the least height at which the entries find place in `count` columns."""
    if not entries:
        return 0.0
    heights = [entry.height for entry in entries]
    low, high = max(heights), sum(heights)
    while high - low > 0.1:
        middle = (low + high) / 2
        if _columns_used(heights, middle) <= count:
            high = middle
        else:
            low = middle
    return high + 0.05


def _columns_used(heights: Sequence[float], most: float) -> int:
    used, filled = 1, 0.0
    for height in heights:
        if filled + height > most + 1e-9:
            used, filled = used + 1, 0.0
        filled += height
    return used


def draw_list(
    page: Recorder, entries: Sequence[Entry], box: Box, count: int, ring: float
) -> int:
    """Draw entries in even columns and return how many found place."""
    wanted = list_height(entries, count)
    if wanted < box.height:
        box = Box(box.x, box.top - wanted, box.width, wanted)
    pitch = line_pitch(STYLE.note_text, 1.2)
    done = 0
    for column in columns(box, count):
        y = column.top
        while done < len(entries) and y - entries[done].height >= column.y - 1e-6:
            entry = entries[done]
            width, height = mark_size(entry.number)
            place = Box(column.x, y - height, width, height)
            draw_ring(page, place, entry.number, f"listed:{entry.number}")
            for k, line in enumerate(entry.lines):
                at = (column.x + ring, y - 0.4 - k * pitch)
                page.text(
                    line,
                    at,
                    STYLE.note_text,
                    level="top",
                    about=f"listed:{entry.number}",
                )
            y -= entry.height
            done += 1
    return done


def legend_lines(keys: Sequence[Key], width: float) -> tuple[str, ...]:
    """Return what the key letters stand for, wrapped to a width."""
    if not keys:
        return ()
    words = "; ".join(
        f"{key.letter} = {key.words}" + (f" ({key.count} ×)" if key.count > 1 else "")
        for key in keys
    )
    return wrap(words, STYLE.note_text, width)


def draw_lines(page: Recorder, lines: Sequence[str], box: Box, about: str) -> float:
    """Write lines from the top of a box and return the height they take."""
    pitch = line_pitch(STYLE.note_text, STYLE.leading)
    for k, line in enumerate(lines):
        at = (box.x, box.top - k * pitch)
        page.text(line, at, STYLE.note_text, level="top", about=about)
    return len(lines) * pitch


SIGNS_HEIGHT = 5.0
"""Height of the row that explains the signs of a drawing."""


def draw_signs(
    page: Recorder, box: Box, scale: str, *, grain: bool, more: Sequence[str] = ()
) -> None:
    """Explain hatchings, rings and corner in one row at the top of a box.

    `more` names signs that only some drawings have: ``run``, ``store`` and kinds of
    zones.
    """
    y = box.top - SIGNS_HEIGHT / 2
    size = STYLE.note_text
    x = box.x
    crowded = "store" in more and len(more) > 2
    gap = 3.0 if crowded else 4.0

    def sample(draw: Callable[[Box], None], width: float, words: str) -> None:
        nonlocal x
        draw(Box(x, y - 1.6, width, 3.2))
        x += width + 1.2
        page.text(words, (x, y), size, level="middle", about="sign")
        x += text_width(words, size) + gap

    def hatched(kept: bool) -> Callable[[Box], None]:
        def draw(place: Box) -> None:
            style = STYLE.offcut_hatch if kept else STYLE.scrap_hatch
            page.items.append(
                Hatch(box=place, style=style, pen=Pen(STYLE.hatch_line), about="sign")
            )
            page.rect(place, STYLE.thin_line, about="sign")

        return draw

    def corner(place: Box) -> None:
        page.line((place.x, place.y), (place.right, place.y), 0.9, about="sign")
        page.line((place.x, place.y), (place.x, place.top), 0.9, about="sign")

    if scale:
        page.text(scale, (x, y), size, bold=True, level="middle", about="scale")
        x += text_width(scale, size, bold=True) + gap

    def kerf(place: Box) -> None:
        page.rect(Box(place.x, y - 0.2, 6, 0.4), None, 0.0)

    if not crowded:
        sample(corner, 3.2, "corner" if more else "reference corner")
        sample(kerf, 6, "kerf")
    words = "step" if more else "cut, by its step"
    sample(lambda place: page.ring(place, STYLE.thin_line), 3.2, words)
    sample(hatched(kept=True), 6, "keep")
    sample(hatched(kept=False), 6, "scrap")
    if grain:
        sample(
            lambda place: grain_arrow(page, Box(place.x, y - 0.8, 9, 1.6), "sign"),
            9,
            "grain",
        )
    for kind in (each.value for each in ZoneKind if each.value in more):
        sample(partial(draw_zone, page, about="sign", kind=kind), 6, kind)
    if "run" in more:
        sample(
            lambda place: flow_arrow(page, Box(place.x, y - 0.8, 6, 1.6), "sign"),
            6,
            "run, flows on",
        )
    if "store" in more:
        sample(
            lambda place: draw_store_cut(page, (place.x, y), (place.right, y), "sign"),
            11,
            "at the store",
        )
