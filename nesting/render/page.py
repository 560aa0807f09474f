"""Paper, margins and what stands on every page: frame, title and footer."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.render.fonts import line_pitch, text_width, wrap
from nesting.render.scene import Box, Recorder, Scene
from nesting.render.style import STYLE

MARGIN = 10.0
"""Between the paper's edge and the frame, in millimetres: more than printers leave."""
BINDING = 14.0
"""The same on the left of an upright page, where sheets are punched or taped."""
PADDING = 3.0
"""Between the frame and what is in it."""
FOOTER = 6.0
"""Height of the strip below."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A size of paper, upright, in millimetres."""

    name: str
    width: float
    height: float


LETTER = Paper(name="letter", width=215.9, height=279.4)
"""8 1/2 x 11 in."""
A4 = Paper(name="a4", width=210.0, height=297.0)
"""ISO 216."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A page of some paper, upright or lying."""

    width: float
    height: float

    @property
    def frame(self) -> Box:
        """The frame; the strip of the footer is its lowest part."""
        left, below = MARGIN, MARGIN
        if self.height > self.width:
            left = BINDING
        else:
            # A lying page is turned clockwise into the pile: its top is bound.
            return Box(
                left, below, self.width - 2 * MARGIN, self.height - MARGIN - BINDING
            )
        return Box(left, below, self.width - BINDING - MARGIN, self.height - 2 * MARGIN)

    @property
    def content(self) -> Box:
        """What a page may be filled with."""
        frame = self.frame
        return Box(
            frame.x + PADDING,
            frame.y + FOOTER + PADDING,
            frame.width - 2 * PADDING,
            frame.height - FOOTER - 2 * PADDING,
        )


def upright(paper: Paper) -> Shape:
    """Return the upright page of a paper."""
    return Shape(width=paper.width, height=paper.height)


def lying(paper: Paper) -> Shape:
    """Return the page of a paper turned on its side."""
    return Shape(width=paper.height, height=paper.width)


def new_page(shape: Shape, title: str) -> Recorder:
    """Return an empty page."""
    return Recorder(width=shape.width, height=shape.height, title=title)


def write_title(page: Recorder, content: Box, title: str, below: str = "") -> Box:
    """Write a title and perhaps a line below it; return what is left of the content."""
    size = STYLE.title_text
    y = content.top
    for line in wrap(title, size, content.width, bold=True):
        page.text(line, (content.x, y), size, bold=True, level="top", about="title")
        y -= line_pitch(size, STYLE.leading)
    if below:
        for line in wrap(below, STYLE.body_text, content.width):
            page.text(line, (content.x, y), STYLE.body_text, level="top", about="title")
            y -= line_pitch(STYLE.body_text, STYLE.leading)
    y -= 1.5
    return Box(content.x, content.y, content.width, y - content.y)


def finish(pages: list[Recorder], name: str, note: str) -> tuple[Scene, ...]:
    """Return the pages as scenes, each with its frame and a numbered footer.

    Parameters
    ----------
    pages
        The pages in order.
    name
        What stands on the left of each footer: the job.
    note
        What stands in the middle: the unit of the sizes and the like.
    """
    scenes = []
    for count, page in enumerate(pages, 1):
        framed = replace(page, items=list(page.items))
        shape = Shape(width=page.width, height=page.height)
        frame = shape.frame
        framed.rect(frame, STYLE.frame_line, about="frame")
        top = frame.y + FOOTER
        framed.line((frame.x, top), (frame.right, top), STYLE.thin_line)
        y = frame.y + FOOTER / 2
        size = STYLE.note_text
        number = f"page {count} of {len(pages)}"
        middle = text_width(note, size)
        room = (frame.width - middle) / 2 - 2 * PADDING
        framed.text(
            _clipped(name, size, room),
            (frame.x + PADDING, y),
            size,
            level="middle",
            about="footer",
        )
        framed.text(
            note,
            (frame.centre[0], y),
            size,
            align="centre",
            level="middle",
            about="footer",
        )
        framed.text(
            number,
            (frame.right - PADDING, y),
            size,
            align="right",
            level="middle",
            about="footer",
        )
        scenes.append(framed.scene())
    return tuple(scenes)


def _clipped(words: str, size: float, width: float) -> str:
    """Return a text, shortened with an ellipsis if it is wider than there is room."""
    if text_width(words, size) <= width:
        return words
    while words and text_width(words + "…", size) > width:
        words = words[:-1]
    return words.rstrip() + "…"
