"""Fits a name and a size into a piece: wrapped, turned, shrunk, or else not at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.render.fonts import ASCENT, CAPITAL, DESCENT, line_pitch, text_width, wrap
from nesting.render.scene import Box
from nesting.render.style import POINT, STYLE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from nesting.render.scene import Recorder

_CLEAR = 0.6
"""Between a label and the edge of its piece, in millimetres."""
_TIGHT = 0.2
"""The same for a key letter."""
_STEPS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.0, 1.0)
"""Where a label is tried in the free width and height, the middle first."""
_LEADING = 1.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Lines of text that have found their place."""

    lines: tuple[str, ...]
    size: float
    angle: int
    box: Box
    """What the lines cover together."""


def fit_label(
    name: str,
    size: str,
    place: Box,
    taken: Sequence[Box] = (),
    *,
    largest: float = STYLE.label_texts[0],
) -> Label | None:
    """Return a name and a size set inside a box, or None where they have no room.

    Parameters
    ----------
    name, size
        What to write; the size comes last, on a line of its own if there is room. Both
        are always written whole.
    place
        The piece, in millimetres of paper.
    taken
        Boxes within the piece that the label must keep clear of.
    largest
        The largest letters tried, in points.
    """
    sizes = [text for text in STYLE.label_texts if text <= largest]
    good = [text for text in sizes if text >= STYLE.good_label]
    small = [text for text in sizes if text < STYLE.good_label]
    for texts in (good, small):
        for angle in (0, 90):
            for text in texts:
                for lines in _arrangements(name, size, text, place, angle):
                    label = _placed(lines, text, angle, place, taken)
                    if label is not None:
                        return label
    return None


def fit_key(letter: str, place: Box, taken: Sequence[Box] = ()) -> Label | None:
    """Return a key letter set inside a box, or None where it has no room.

    Capitals need less height than names: nothing hangs below their line.
    """
    size = STYLE.mark_text
    width = text_width(letter, size, bold=True)
    height = CAPITAL * size * POINT
    room_x, room_y = place.width - width, place.height - height
    if min(room_x, room_y) < 2 * _TIGHT:
        return None
    for share in _STEPS:
        box = Box(
            place.x + _TIGHT + share * (room_x - 2 * _TIGHT),
            place.y + room_y / 2,
            width,
            height,
        )
        if not any(box.overlaps(other) for other in taken):
            return Label(lines=(letter,), size=size, angle=0, box=box)
    return None


def draw_label(page: Recorder, label: Label, about: str) -> None:
    """Write a label where it found its place."""
    pitch = line_pitch(label.size, _LEADING)
    x, y = label.box.centre
    for count, line in enumerate(label.lines):
        if label.angle == 90:
            at = label.box.x + ASCENT * label.size * POINT + count * pitch
            shift = ASCENT * label.size * POINT
            page.text(
                line,
                (at - shift, y),
                label.size,
                align="centre",
                level="top",
                angle=90,
                about=about,
            )
        elif len(label.lines) == 1 and label.box.height < ASCENT * label.size * POINT:
            page.text(
                line,
                label.box.centre,
                label.size,
                bold=True,
                align="centre",
                level="middle",
                about=about,
            )
        else:
            page.text(
                line,
                (x, label.box.top - count * pitch),
                label.size,
                align="centre",
                level="top",
                about=about,
            )


def _arrangements(
    name: str, size: str, text: float, place: Box, angle: int
) -> Iterator[tuple[str, ...]]:
    """Yield ways to break a label, the best first."""
    room = (place.height if angle == 90 else place.width) - 2 * _CLEAR
    if not name or not size:
        yield (name or size,)
        return
    yield name, size
    yield (f"{name}  {size}",)
    # Fewest lines first: whole words only, as a broken word is hard to read.
    for count in (2, 3):
        width = text_width(name, text) / count * 1.35
        lines = wrap(name, text, min(room, max(width, _longest_word(name, text))))
        if len(lines) > 1 and "".join(lines).count(" ") == name.count(" ") - (
            len(lines) - 1
        ):
            yield (*lines, size)


def _longest_word(name: str, text: float) -> float:
    return max(text_width(word, text) for word in name.split(" "))


def _placed(
    lines: tuple[str, ...], text: float, angle: int, place: Box, taken: Sequence[Box]
) -> Label | None:
    """Return the lines at the best spot of a box that is free, if there is one."""
    along = max(text_width(line, text) for line in lines)
    across = line_pitch(text, _LEADING) * (len(lines) - 1)
    across += (ASCENT + DESCENT) * text * POINT
    width, height = (across, along) if angle == 90 else (along, across)
    free_x = place.width - width - 2 * _CLEAR
    free_y = place.height - height - 2 * _CLEAR
    if free_x < 0 or free_y < 0:
        return None
    spots = sorted(
        ((sx, sy) for sx in _STEPS for sy in _STEPS),
        key=lambda spot: abs(spot[0] - 0.5) + abs(spot[1] - 0.5),
    )
    for share_x, share_y in spots:
        box = Box(
            place.x + _CLEAR + share_x * free_x,
            place.y + _CLEAR + share_y * free_y,
            width,
            height,
        )
        if not any(box.overlaps(other) for other in taken):
            return Label(lines=lines, size=text, angle=angle, box=box)
    return None
