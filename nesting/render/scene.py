"""What a drawing is made of: primitives in millimetres of paper.

The origin is the lower left corner of the page, x to the right, y up. A scene knows
nothing of plans, and a player that puts it on paper decides nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeAlias

from nesting.render.fonts import (
    ASCENT,
    CAPITAL,
    DESCENT,
    TIE,
    printable,
    text_width,
)
from nesting.render.style import POINT

if TYPE_CHECKING:
    from nesting.render.style import HatchStyle

Point: TypeAlias = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle; `x`, `y` is its lower left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The x of the right side."""
        return self.x + self.width

    @property
    def top(self) -> float:
        """The y of the upper side."""
        return self.y + self.height

    @property
    def centre(self) -> Point:
        """The point in the middle."""
        return self.x + self.width / 2, self.y + self.height / 2

    def inset(self, by: float) -> Box:
        """Return the box smaller (or, below zero, larger) by this on every side."""
        return Box(self.x + by, self.y + by, self.width - 2 * by, self.height - 2 * by)

    def moved(self, dx: float, dy: float) -> Box:
        """Return the box moved."""
        return Box(self.x + dx, self.y + dy, self.width, self.height)

    def overlaps(self, other: Box, least: float = 1e-6) -> bool:
        """Tell whether the two share an area more than `least` mm wide and high."""
        return (
            min(self.right, other.right) - max(self.x, other.x) > least
            and min(self.top, other.top) - max(self.y, other.y) > least
        )

    def contains(self, other: Box, slack: float = 1e-6) -> bool:
        """Tell whether the other lies within this, but for `slack` mm."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.top <= self.top + slack
        )


@dataclass(frozen=True, slots=True)
class Pen:
    """A line's weight and dashes, in millimetres."""

    weight: float
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    pen: Pen
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """A rectangle with an outline, a fill, or both; a `grey` of 0 is black, 1 white."""

    box: Box
    pen: Pen | None = None
    grey: float | None = None
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Polygon:
    """A closed polygon with an outline, a fill, or both."""

    points: tuple[Point, ...]
    pen: Pen | None = None
    grey: float | None = None
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """Hatching of a box."""

    box: Box
    style: HatchStyle
    pen: Pen
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrow:
    """A line with a filled head at its end, or at both ends."""

    start: Point
    end: Point
    pen: Pen
    head: float
    both: bool = False
    about: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text; `x`, `y` is where its baseline begins."""

    words: str
    x: float
    y: float
    size: float
    """In points."""
    bold: bool = False
    angle: int = 0
    """0, or 90 for a text that reads from below."""
    about: str = ""

    @property
    def box(self) -> Box:
        """What the letters cover."""
        width = text_width(self.words, self.size, bold=self.bold)
        up, down = ASCENT * self.size * POINT, DESCENT * self.size * POINT
        if self.words.isascii() and self.words.isalnum() and self.words.isupper():
            up, down = CAPITAL * self.size * POINT, 0.0
        if self.angle == 90:
            return Box(self.x - up, self.y, up + down, width)
        return Box(self.x, self.y - down, width, up + down)


Primitive: TypeAlias = Line | Rect | Polygon | Hatch | Arrow | Text


def bounds(item: Primitive) -> Box:
    """Return the box around a primitive, without the width of its lines."""
    match item:
        case Text() | Rect() | Hatch():
            return item.box
        case Line() | Arrow():
            points: tuple[Point, ...] = (item.start, item.end)
        case Polygon():
            points = item.points
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def moved(item: Primitive, dx: float, dy: float) -> Primitive:
    """Return a primitive moved on the paper."""
    match item:
        case Text():
            return replace(item, x=item.x + dx, y=item.y + dy)
        case Rect():
            return replace(item, box=item.box.moved(dx, dy))
        case Hatch():
            return replace(item, box=item.box.moved(dx, dy))
        case Polygon():
            points = tuple((x + dx, y + dy) for x, y in item.points)
            return replace(item, points=points)
        case Line():
            (ax, ay), (bx, by) = item.start, item.end
            return replace(item, start=(ax + dx, ay + dy), end=(bx + dx, by + dy))
        case Arrow():
            (ax, ay), (bx, by) = item.start, item.end
            return replace(item, start=(ax + dx, ay + dy), end=(bx + dx, by + dy))


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A page: its size and what is on it, drawn in this order."""

    width: float
    height: float
    title: str
    items: tuple[Primitive, ...]

    @property
    def texts(self) -> tuple[Text, ...]:
        """The texts among the items."""
        return tuple(item for item in self.items if isinstance(item, Text))


@dataclass(slots=True, kw_only=True)
class Recorder:
    """Collects the primitives of one page."""

    width: float
    height: float
    title: str = ""
    items: list[Primitive] = field(default_factory=list)

    def scene(self) -> Scene:
        """Return what was recorded."""
        return Scene(
            width=self.width,
            height=self.height,
            title=self.title,
            items=tuple(self.items),
        )

    def line(self, start: Point, end: Point, weight: float, about: str = "") -> None:
        """Draw a line."""
        self.items.append(Line(start=start, end=end, pen=Pen(weight), about=about))

    def rect(
        self,
        box: Box,
        weight: float | None = None,
        grey: float | None = None,
        about: str = "",
    ) -> None:
        """Draw a rectangle."""
        pen = None if weight is None else Pen(weight)
        self.items.append(Rect(box=box, pen=pen, grey=grey, about=about))

    def ring(self, box: Box, weight: float) -> None:
        """Draw a white ring: a circle, drawn out if the box is wider than high."""
        radius = box.height / 2
        y = box.centre[1]
        points = []
        for x, first in ((box.right - radius, -90), (box.x + radius, 90)):
            for count in range(13):
                angle = math.radians(first + 15 * count)
                points.append(
                    (x + radius * math.cos(angle), y + radius * math.sin(angle))
                )
        self.items.append(
            Polygon(points=tuple(points), pen=Pen(weight), grey=1.0, about="ring")
        )

    def text(
        self,
        words: str,
        at: Point,
        size: float,
        *,
        bold: bool = False,
        align: str = "left",
        level: str = "base",
        angle: int = 0,
        about: str = "",
    ) -> Text:
        """Write one line of text and return it.

        Parameters
        ----------
        words
            The text; letters the font lacks become ``?``.
        at
            The point that `align` and `level` refer to.
        size
            In points.
        bold
            Whether it is set in the bold font.
        align
            ``left``, ``centre`` or ``right`` of the text is at the point.
        level
            ``base`` (the baseline), ``middle`` (half the height of capitals) or
            ``top`` (the tallest letters) is at the point.
        angle
            0, or 90 for a text that reads from below.
        about
            What it belongs to, for whoever looks at the scene.
        """
        words = printable(words).replace(TIE, " ")
        width = text_width(words, size, bold=bold)
        along = {"left": 0.0, "centre": width / 2, "right": width}[align]
        ems = {"base": 0.0, "middle": CAPITAL / 2, "top": ASCENT}[level]
        down = ems * size * POINT
        x, y = (at[0] - along, at[1] - down)
        if angle == 90:
            x, y = at[0] + down, at[1] - along
        text = Text(
            words=words, x=x, y=y, size=size, bold=bold, angle=angle, about=about
        )
        self.items.append(text)
        return text


def hatch_lines(box: Box, style: HatchStyle) -> tuple[tuple[Point, Point], ...]:
    """Return the lines of a hatching, clipped to its box.

    Lines lie on one grid over the page, so that neighbouring areas with the same
    hatching match.
    """
    angles = (style.angle, 180 - style.angle) if style.crossed else (style.angle,)
    step = style.spacing * math.sqrt(2)
    lines: list[tuple[Point, Point]] = []
    for angle in angles:
        # Rising lines are y - x = c, falling ones y + x = c.
        rising = angle == 45
        low = box.y - box.right if rising else box.y + box.x
        high = box.top - box.x if rising else box.top + box.right
        for count in range(math.ceil(low / step), math.floor(high / step) + 1):
            c = count * step
            if rising:
                left, right = max(box.x, box.y - c), min(box.right, box.top - c)
                ends = (left, left + c), (right, right + c)
            else:
                left, right = max(box.x, c - box.top), min(box.right, c - box.y)
                ends = (left, c - left), (right, c - right)
            if right - left > 1e-9:
                lines.append(ends)
    return tuple(lines)
