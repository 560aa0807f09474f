"""Writes names and sizes into pieces, or key letters where they are too small."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.model.terms import ZoneKind
from nesting.render.callouts import Callout, draw_callouts
from nesting.render.labels import draw_label, fit_key, fit_label
from nesting.render.runs import draw_flow
from nesting.render.scene import Arrow, Box, Hatch, Pen, bounds
from nesting.render.style import STYLE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.model.plan import Layout, Piece
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

_CLEAR = 0.5
"""Between a ring and a name, in millimetres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A letter that stands for a name too long for its piece."""

    letter: str
    words: str
    count: int


def free_names(layout: Layout, wording: Wording, boxes: dict[str, Box]) -> list[Box]:
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
    name = "keep" if piece.fate == "offcut" else wording.part(layout, piece)
    return name, wording.face(layout, piece)


def write_names(
    page: Recorder,
    layout: Layout,
    wording: Wording,
    stock: Box,
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
    arrows = [bounds(i).inset(-_CLEAR) for i in page.items if isinstance(i, Arrow)]
    draw_flow(page, layout, wording, boxes, rings, [*names, *arrows])
    _draw_scrap_words(page, layout, boxes, taken)
    draw_callouts(page, outside, stock, names)
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


def draw_zone(
    page: Recorder, box: Box, about: str, kind: str = ZoneKind.DAMAGE
) -> None:
    """Draw a box as damaged, or as another kind of zone."""
    pen = Pen(STYLE.thin_line)
    styles = {
        ZoneKind.PITH.value: STYLE.pith_hatch,
        ZoneKind.BLEMISH.value: STYLE.blemish_hatch,
    }
    style = styles.get(kind, STYLE.zone_hatch)
    page.items.append(Hatch(box=box, style=style, pen=pen, about=about))
    page.rect(box, STYLE.frame_line, about=about)
