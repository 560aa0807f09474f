"""Numbers of the cuts: rings at the end of each cut that lies nearest the reference.

A cut that begins at the stock's left or lower edge has its ring outside, in the margin;
where several want one spot they move apart and a thin leader says which cut is meant. A
cut inside the stock has its ring on its line, where it is least in the way of names.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nesting.render.fonts import text_width
from nesting.render.scene import Box, Line, Pen, Point, Recorder
from nesting.render.style import STYLE

if TYPE_CHECKING:
    from collections.abc import Sequence

EDGE = 2.0
"""A cut that begins this near to the edge, in millimetres, is marked outside it."""
GAP = 0.5
"""Between two rings."""
LANE = 2.6
"""Between the stock and the rings outside it."""
_TRIES = 60
"""Places along a cut where its ring is tried."""
_REACH = 12
"""Steps of 1.5 mm from a cut within which its ring is tried off its line."""
_AROUND = sorted(
    (abs(i) + abs(j), i, j)
    for i in range(-_REACH, _REACH + 1)
    for j in range(-_REACH, _REACH + 1)
)
"""Those places, the nearest first: how far, and the steps right and up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLine:
    """A cut on paper."""

    number: str
    start: Point
    """The end nearest the reference corner, in the middle of the kerf."""
    end: Point

    @property
    def upright(self) -> bool:
        """Whether it runs upwards: a crosscut."""
        return self.start[0] == self.end[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A ring with the number of a cut, and where it points."""

    number: str
    box: Box
    leader: tuple[Point, ...] = ()
    """Points of the line from the ring to the cut; none where it stands on it."""


def mark_size(number: str) -> tuple[float, float]:
    """Return width and height of the ring around a number."""
    height = STYLE.mark_height
    return max(height, text_width(number, STYLE.mark_text) + 1.7), height


def place_marks(
    cuts: Sequence[CutLine], stock: Box, names: Sequence[Box]
) -> tuple[Mark, ...]:
    """Return a mark for each cut, none over another.

    Parameters
    ----------
    cuts
        The cuts of one drawing.
    stock
        The outline of the stock.
    names
        Where the names in the pieces would stand if no ring were in their way.
    """
    inside = [cut for cut in cuts if not is_outside(cut, stock)]
    outer = [cut for cut in cuts if is_outside(cut, stock)]
    marks = _left_marks([cut for cut in outer if not cut.upright], stock)
    below = [cut for cut in outer if cut.upright]
    # The short ones have the least choice.
    for cut in sorted(inside, key=_run):
        taken = [mark.box for mark in marks]
        mark = _inner_mark(cut, taken, names) or _led_mark(cut, taken, names, stock)
        if mark is None:
            below.append(replace(cut, start=_middle(cut)))
        else:
            marks.append(mark)
    return (*marks, *_lower_marks(below, stock))


def is_outside(cut: CutLine, stock: Box) -> bool:
    """Tell whether the ring of a cut stands in the margin."""
    if cut.upright:
        return cut.start[1] - stock.y <= EDGE
    return cut.start[0] - stock.x <= EDGE


def draw_mark(page: Recorder, mark: Mark) -> None:
    """Draw a ring with its number, and its leader."""
    for start, end in zip(mark.leader, mark.leader[1:], strict=False):
        page.line(start, end, STYLE.thin_line)
    draw_ring(page, mark.box, mark.number, f"cut:{mark.number}")


def draw_ring(page: Recorder, box: Box, number: str, about: str) -> None:
    """Draw a number in a white ring."""
    page.ring(box, STYLE.thin_line)
    page.text(
        number,
        box.centre,
        STYLE.mark_text,
        align="centre",
        level="middle",
        about=about,
    )


def spread(wanted: Sequence[float], sizes: Sequence[float], gap: float) -> list[float]:
    """Return centres in the given order, as near as can be to those wanted.

    Parameters
    ----------
    wanted
        Where each would like its centre, in ascending order.
    sizes
        How long each is.
    gap
        What two neighbours keep between them.

    Notes
    -----
    Least squares under order constraints: neighbours that collide are pooled and stand
    around their common mean (the pool-adjacent-violators method).
    """
    pools: list[tuple[float, int, list[float]]] = []  # sum of anchors, count, offsets
    for count, centre in enumerate(wanted):
        offsets = [0.0]
        total, number = centre, 1
        first = count
        while pools:
            mean = total / number
            previous_total, previous_number, previous = pools[-1]
            last = previous_total / previous_number + previous[-1]
            apart = (sizes[first - 1] + sizes[first]) / 2 + gap
            if last + apart <= mean + 1e-9:
                break
            shift = previous[-1] + apart
            offsets = [*previous, *(offset + shift for offset in offsets)]
            total = previous_total + total - shift * number
            number += previous_number
            first -= previous_number
            pools.pop()
        pools.append((total, number, offsets))
    return [total / n + offset for total, n, offsets in pools for offset in offsets]


def _run(cut: CutLine) -> float:
    return abs(cut.end[0] - cut.start[0]) + abs(cut.end[1] - cut.start[1])


def _left_marks(cuts: Sequence[CutLine], stock: Box) -> list[Mark]:
    """Return the marks left of the stock."""
    ordered = sorted(cuts, key=lambda cut: cut.start[1])
    sizes = [mark_size(cut.number) for cut in ordered]
    centres = spread(
        [cut.start[1] for cut in ordered], [height for _, height in sizes], GAP
    )
    marks = []
    for cut, (width, height), y in zip(ordered, sizes, centres, strict=True):
        box = Box(stock.x - LANE - width, y - height / 2, width, height)
        leader = ((box.right, y), (stock.x - 0.4, cut.start[1]), cut.start)
        marks.append(Mark(number=cut.number, box=box, leader=leader))
    return marks


def _lower_marks(cuts: Sequence[CutLine], stock: Box) -> list[Mark]:
    """Return the marks below the stock, in as many lanes as it takes."""
    ordered = sorted(cuts, key=lambda cut: cut.start[0])
    sizes = [mark_size(cut.number) for cut in ordered]
    room = stock.width + 10
    lanes = max(1, math.ceil(sum(width + GAP for width, _ in sizes) / room))
    marks = []
    for lane in range(lanes):
        mine = list(zip(ordered, sizes, strict=True))[lane::lanes]
        centres = spread(
            [cut.start[0] for cut, _ in mine], [width for _, (width, _) in mine], GAP
        )
        for (cut, (width, height)), x in zip(mine, centres, strict=True):
            top = stock.y - LANE - lane * (height + 1)
            box = Box(x - width / 2, top - height, width, height)
            leader = ((x, top), (cut.start[0], stock.y - 0.4), cut.start)
            marks.append(Mark(number=cut.number, box=box, leader=leader))
    return marks


def _inner_mark(
    cut: CutLine, taken: Sequence[Box], names: Sequence[Box]
) -> Mark | None:
    """Return the mark of a cut inside the stock on its line, None without room."""
    width, height = mark_size(cut.number)
    half = (height if cut.upright else width) / 2
    run = _run(cut)
    ux, uy = (0.0, 1.0) if cut.upright else (1.0, 0.0)
    # The very end lies on another cut too, so it is the second choice.
    places = [(0.0, 0.4)]
    if run > 2 * half:
        step = max(1.0, (run - 2 * half) / _TRIES)
        count = int((run - 2 * half) / step)
        places += [(half + k * step, 0.02 * k * step) for k in range(count + 1)]
    best: tuple[float, Mark] | None = None
    for along, cost in places:
        x, y = cut.start[0] + ux * along, cut.start[1] + uy * along
        box = Box(x - width / 2, y - height / 2, width, height)
        if any(box.inset(-GAP / 2).overlaps(other) for other in taken):
            continue
        total = cost + _covered(box, names)
        if best is None or total < best[0]:
            best = total, Mark(number=cut.number, box=box)
    return best and best[1]


def _led_mark(
    cut: CutLine, taken: Sequence[Box], names: Sequence[Box], stock: Box
) -> Mark | None:
    """Return a mark near a cut, with a leader to it, None without room."""
    width, height = mark_size(cut.number)
    x, y = _middle(cut)
    best: tuple[float, Box] | None = None
    for away, i, j in _AROUND:
        if best is not None and away >= best[0]:
            break
        centre = x + 1.5 * i, y + 1.5 * j
        box = Box(centre[0] - width / 2, centre[1] - height / 2, width, height)
        if not stock.contains(box):
            continue
        if any(box.inset(-GAP / 2).overlaps(other) for other in taken):
            continue
        cost = away + 4 * _covered(box, names)
        if best is None or cost < best[0]:
            best = cost, box
    if best is None:
        return None
    return Mark(number=cut.number, box=best[1], leader=(best[1].centre, (x, y)))


def _middle(cut: CutLine) -> Point:
    return (cut.start[0] + cut.end[0]) / 2, (cut.start[1] + cut.end[1]) / 2


def _covered(box: Box, names: Sequence[Box]) -> float:
    """Return how much a ring is in the way of names, in square millimetres."""
    clear = box.inset(-GAP)
    return sum(
        (min(clear.right, name.right) - max(clear.x, name.x))
        * (min(clear.top, name.top) - max(clear.y, name.y))
        for name in names
        if clear.overlaps(name)
    )


def draw_store_cut(page: Recorder, start: Point, end: Point, about: str) -> None:
    """Draw the heavy broken line of a cut that is made at the store."""
    pen = Pen(STYLE.store_line, (4.0, 1.4))
    page.items.append(Line(start=start, end=end, pen=pen, about=about))
