"""How drawings look: one frozen table of line weights, letter sizes and hatches.

Line weights step by about the square root of two and lettering starts at 1.8 mm, the
habits of ISO 128-2 and ISO 3098-1 for technical drawings (from memory). Everything is
black on white, so that any printer does.
"""

from __future__ import annotations

from dataclasses import dataclass

POINT = 25.4 / 72
"""Millimetres in a typographic point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HatchStyle:
    """Parallel lines that fill an area."""

    angle: int
    """Of the lines, in degrees anticlockwise from the right: 45 or 135."""
    spacing: float
    """Between two lines, in millimetres of paper."""
    crossed: bool = False
    """Whether a second set runs at a right angle to the first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """Weights and gaps in millimetres of paper, letter sizes in points."""

    frame_line: float = 0.5
    """The frame around a page."""
    stock_line: float = 0.5
    """The outline of a piece of stock."""
    thin_line: float = 0.18
    """Dimension lines, leaders, table rules, grain arrows."""
    hatch_line: float = 0.13
    """Hatching."""
    store_line: float = 0.9
    """A cut that is made at the store, broken."""
    least_kerf: float = 0.18
    """A kerf is drawn to scale, but never finer than this."""

    least_text: float = 7.0
    """The smallest letters anywhere: capitals 1.8 mm high, read at arm's length."""
    mark_text: float = 7.0
    """Numbers of cuts and key letters on a drawing."""
    label_texts: tuple[float, ...] = (10.0, 9.0, 8.0, 7.0)
    """Sizes tried for the name in a piece, largest first."""
    good_label: float = 8.0
    """A label is turned upright rather than set smaller than this."""
    note_text: float = 7.5
    """Notes, legends and the list of cuts under a drawing."""
    body_text: float = 9.0
    """Running text and tables."""
    heading_text: float = 11.0
    """Headings of sections."""
    title_text: float = 14.0
    """The title of a page."""
    leading: float = 1.28
    """Distance of two lines of text, as a multiple of the letter size."""

    offcut_hatch: HatchStyle = HatchStyle(angle=45, spacing=3.6)
    """A rest that is kept."""
    scrap_hatch: HatchStyle = HatchStyle(angle=135, spacing=1.3, crossed=True)
    """A rest that is not."""
    zone_hatch: HatchStyle = HatchStyle(angle=45, spacing=0.7)
    """What is damaged: nearly black, and framed."""
    pith_hatch: HatchStyle = HatchStyle(angle=135, spacing=1.6)
    """Pith, framed too."""
    blemish_hatch: HatchStyle = HatchStyle(angle=45, spacing=1.6)
    """A blemish, likewise."""
    mark_height: float = 3.5
    """Height of the ring around the number of a cut."""
    arrow_length: float = 2.2
    """Of an arrow's head."""
    tick_box: float = 4.0
    """Side of a box to tick."""


STYLE = Style()
"""The one style in use."""
