"""Text and tables that run down a page and on to the next."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from nesting.render.fonts import line_pitch, wrap
from nesting.render.page import Shape, new_page, write_title
from nesting.render.scene import Box, Recorder
from nesting.render.style import POINT, STYLE

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

TICK_BOX = "\N{BALLOT BOX}"
"""A cell that is drawn as a box to tick."""
_VISIBLE = 0.84
"""Height of a line as the eye takes it, in ems: from capitals to half way below."""
_PAD = 1.0
"""Between a cell's text and its edge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table."""

    title: str
    share: float
    """Its part of the width, in any unit that all columns share."""
    align: str = "left"
    bold: bool = False
    boxed: bool = False
    """Whether its cells are boxes to write in, their text a small hint."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of a table; with `heading` one line over the whole width instead."""

    cells: tuple[str, ...] = ()
    heading: str = ""
    about: str = ""


@dataclass(slots=True, kw_only=True)
class Flow:
    """Pages that fill from the top; a new one starts where something has no room."""

    shape: Shape
    title: str
    again: str
    """The title of the second page and those after it."""
    below: str = ""
    pages: list[Recorder] = field(default_factory=list)
    box: Box = field(init=False)
    """What is left of the page."""

    def __post_init__(self) -> None:
        """Start the first page."""
        self.start_page()

    @property
    def page(self) -> Recorder:
        """The page being filled."""
        return self.pages[-1]

    def start_page(self) -> None:
        """Start a page."""
        title = self.again if self.pages else self.title
        below = "" if self.pages else self.below
        page = new_page(self.shape, title)
        self.pages.append(page)
        self.box = write_title(page, self.shape.content, title, below)

    def need(self, height: float) -> bool:
        """Start a page unless this height is left; tell whether one was started."""
        if height <= self.box.height:
            return False
        self.start_page()
        return True

    def skip(self, height: float) -> None:
        """Leave a gap, or what is left of the page."""
        height = min(height, self.box.height)
        self.box = Box(self.box.x, self.box.y, self.box.width, self.box.height - height)

    def take(self, height: float) -> Box:
        """Return the next strip of this height, on a page that has it."""
        self.need(height)
        strip = Box(self.box.x, self.box.top - height, self.box.width, height)
        self.skip(height)
        return strip

    def heading(self, words: str, room: float = 16.0) -> None:
        """Write a heading where it and `room` mm below it find place."""
        size = STYLE.heading_text
        height = line_pitch(size, STYLE.leading)
        self.need(height + room)
        self.skip(1.5)
        self._lines((words,), size, bold=True)
        self.skip(0.5)

    def paragraph(
        self,
        words: str,
        *,
        bold: bool = False,
        size: float = STYLE.body_text,
        mark: str = "",
        about: str = "",
    ) -> None:
        """Write a paragraph; with a `mark` it hangs from it."""
        hang = 5.0 if mark else 0.0
        lines = wrap(words, size, self.box.width - hang, bold=bold)
        height = line_pitch(size, STYLE.leading)
        self.need(min(len(lines), 2) * height)
        if mark:
            self.page.text(mark, (self.box.x, self.box.top), size, level="top")
        self._lines(lines, size, bold=bold, hang=hang, about=about)
        self.skip(0.8)

    def _lines(
        self,
        lines: Sequence[str],
        size: float,
        *,
        bold: bool = False,
        hang: float = 0.0,
        about: str = "",
    ) -> None:
        height = line_pitch(size, STYLE.leading)
        for line in lines:
            strip = self.take(height)
            self.page.text(
                line,
                (strip.x + hang, strip.top),
                size,
                bold=bold,
                level="top",
                about=about,
            )

    def panel(self, lines: Sequence[str], title: str, about: str = "") -> None:
        """Write a titled list of sentences in a heavy box that is not broken."""
        size = STYLE.body_text
        pitch = line_pitch(size, STYLE.leading)
        wrapped = [wrap(line, size, self.box.width - 10) for line in lines]
        count = sum(map(len, wrapped))
        most = int((self.shape.content.height - 40) / pitch)
        if count > most:  # too long for one page
            self.heading(title)
            for line in lines:
                self.paragraph(line, mark="!", about=about)
            return
        strip = self.take(count * pitch + pitch + 5)
        self.page.rect(strip, STYLE.frame_line, about=about)
        y = strip.top - 2
        self.page.text(
            title, (strip.x + 3, y), size + 1, bold=True, level="top", about=about
        )
        y -= pitch + 1
        for group in wrapped:
            self.page.text("!", (strip.x + 3, y), size, bold=True, level="top")
            for line in group:
                self.page.text(line, (strip.x + 7, y), size, level="top", about=about)
                y -= pitch
        self.skip(2)

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Row],
        *,
        size: float = STYLE.body_text,
        least_height: float = 0.0,
    ) -> None:
        """Draw a table; its header is repeated on each page.

        Parameters
        ----------
        columns
            They share the whole width.
        rows
            A heading row stays together with the row after it.
        size
            Of the letters, in points.
        least_height
            Of a row, in millimetres.
        """
        table = _Table(columns=columns, width=self.box.width, size=size)
        header = Row(cells=tuple(column.title for column in columns))
        header_height = table.height(header, 0.0, bold=True)

        def draw_header() -> None:
            table.draw_header(self.page, self.take(header_height), header)

        heading: Row | None = None
        heights = [table.height(row, least_height) for row in rows]
        self.need(header_height + sum(heights[:2]))
        draw_header()
        for count, row in enumerate(rows):
            height = heights[count]
            if row.heading and count + 1 < len(rows):
                height += heights[count + 1]
            if self.need(height):
                draw_header()
                if heading is not None and not row.heading:
                    again = replace(heading, heading=f"{heading.heading} (continued)")
                    table.draw(self.page, self.take(table.height(again, 0)), again)
            heading = row if row.heading else heading
            table.draw(self.page, self.take(heights[count]), row)
        self.skip(2.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """Columns at a width."""

    columns: Sequence[Column]
    width: float
    size: float

    def _spans(self) -> list[tuple[float, float]]:
        """Return where each column begins, from the left, and how wide it is."""
        total = sum(column.share for column in self.columns)
        spans, x = [], 0.0
        for column in self.columns:
            width = column.share / total * self.width
            spans.append((x, width))
            x += width
        return spans

    def _wrapped(self, row: Row, *, bold: bool) -> list[tuple[str, ...]]:
        return [
            wrap(cell, self.size, width - 2 * _PAD, bold=bold or column.bold)
            for cell, column, (_, width) in zip(
                row.cells, self.columns, self._spans(), strict=True
            )
        ]

    def height(self, row: Row, least: float, *, bold: bool = False) -> float:
        """Return the height of a row."""
        pitch = line_pitch(self.size, STYLE.leading)
        if row.heading:
            lines = len(wrap(row.heading, self.size, self.width - 2 * _PAD, bold=True))
            return lines * pitch + 2 * _PAD
        lines = max(map(len, self._wrapped(row, bold=bold)))
        return max(lines * pitch + _PAD, least)

    def draw_header(self, page: Recorder, strip: Box, row: Row) -> None:
        """Draw the names of the columns."""
        self._cells(page, strip, row, bold=True, about="header")
        for y in (strip.y, strip.top):
            page.line((strip.x, y), (strip.right, y), STYLE.thin_line * 2)

    def draw(self, page: Recorder, strip: Box, row: Row) -> None:
        """Draw a row."""
        rule: Callable[[float], None] = lambda y: page.line(  # noqa: E731 - one line
            (strip.x, y), (strip.right, y), STYLE.thin_line
        )
        if row.heading:
            pitch = line_pitch(self.size, STYLE.leading)
            y = strip.top - _PAD - (pitch - self.size * POINT) / 2
            for line in wrap(row.heading, self.size, self.width - 2 * _PAD, bold=True):
                page.text(
                    line,
                    (strip.x + _PAD, y),
                    self.size,
                    bold=True,
                    level="top",
                    about=row.about,
                )
                y -= pitch
            page.rect(strip, STYLE.thin_line * 2)
            return
        self._cells(page, strip, row, bold=False, about=row.about)
        rule(strip.y)

    def _cells(
        self, page: Recorder, strip: Box, row: Row, *, bold: bool, about: str
    ) -> None:
        pitch = line_pitch(self.size, STYLE.leading)
        wrapped = self._wrapped(row, bold=bold)
        for lines, column, (x, width) in zip(
            wrapped, self.columns, self._spans(), strict=True
        ):
            cell = Box(strip.x + x, strip.y, width, strip.height)
            if lines == ("",):
                continue
            if lines == (TICK_BOX,):
                side = min(STYLE.tick_box, strip.height - 0.6)
                cx, cy = cell.centre
                page.rect(
                    Box(cx - side / 2, cy - side / 2, side, side),
                    STYLE.thin_line * 1.5,
                    about=f"tick {about}".strip(),
                )
                continue
            if column.boxed and not bold:
                page.rect(cell.inset(0.6), STYLE.thin_line, about="to fill in")
            at = {
                "left": cell.x + _PAD * (1.6 if column.boxed and not bold else 1),
                "right": cell.right - _PAD,
                "centre": cell.centre[0],
            }[column.align]
            block = (len(lines) - 1) * pitch + _VISIBLE * self.size * POINT
            y = strip.top - (strip.height - block) / 2
            if column.boxed and not bold:
                y = strip.top - 1.5
            for line in lines:
                page.text(
                    line,
                    (at, y),
                    self.size,
                    bold=bold or column.bold,
                    align=column.align,
                    level="top",
                    about=about,
                )
                y -= pitch
