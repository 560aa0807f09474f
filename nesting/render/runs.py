"""Match runs in the drawings: which member a piece is, and where the grain flows on."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from nesting.render.fonts import TIE
from nesting.render.scene import Arrow, Box, Pen
from nesting.render.style import STYLE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from nesting.model.plan import Layout, Piece, Plan, PlanRun
    from nesting.render.scene import Recorder
    from nesting.render.wording import Wording

_REACH = 2.6
"""How far an arrow goes into either member, in millimetres."""
_SHORT = 1.9
"""The same where room is short."""


def run_marks(plan: Plan) -> dict[tuple[str, str], str]:
    """Return the mark of each member that is cut, by (layout id, piece id).

    It is the run's name, and which of how many: ``fronts 2/3``.
    """
    return {
        (layout.id, piece.id): f"{run.id}{TIE}{number}/{len(run.members)}"
        for run in plan.runs
        for layout in plan.layouts
        for number, piece in enumerate(members(run, layout), 1)
    }


def members(run: PlanRun, layout: Layout) -> list[Piece]:
    """Return the members of a run on a layout, from its first to its last."""
    names = set(run.members)
    found = [p for p in layout.pieces if p.fate == "part" and p.blank in names]
    found.sort(key=lambda piece: (piece.x, piece.y))
    if tuple(piece.blank for piece in found) != run.members:
        back = found[::-1]
        if tuple(piece.blank for piece in back) == run.members:
            return back
    return found


def draw_flow(
    page: Recorder,
    layout: Layout,
    wording: Wording,
    boxes: dict[str, Box],
    rings: Sequence[Box],
    names: Sequence[Box],
) -> None:
    """Draw a small arrow over each kerf that the grain flows on over.

    It keeps clear of the rings of the cuts, and of the names where there is room.
    """
    for run in wording.runs:
        for one, two in pairwise(members(run, layout)):
            if one.id in boxes and two.id in boxes:
                _draw_arrow(page, boxes[one.id], boxes[two.id], rings, names, run.id)


def _draw_arrow(
    page: Recorder,
    one: Box,
    two: Box,
    rings: Sequence[Box],
    names: Sequence[Box],
    about: str,
) -> None:
    """Draw an arrow from one box to its neighbour, where it is least in the way."""
    backwards = (two.x, two.y) < (one.x, one.y)
    low, high = (two, one) if backwards else (one, two)
    for reach, taken in ((_REACH, [*rings, *names]), (_SHORT, [*rings, *names])):
        for spot in _spots(low, high, reach):
            if not any(spot.overlaps(other) for other in taken):
                flow_arrow(page, spot, about, backwards=backwards)
                return
    spots = list(_spots(low, high, _SHORT))
    free = [s for s in spots if not any(s.overlaps(ring) for ring in rings)]
    flow_arrow(page, (free or spots)[0], about, backwards=backwards)


def _spots(low: Box, high: Box, reach: float) -> Iterator[Box]:
    """Yield where an arrow over the kerf between two boxes may lie, the ends first."""
    shares = sorted((k / 40 for k in range(3, 38)), key=lambda k: -abs(k - 0.5))
    for share in shares:
        if low.right <= high.x:
            across = low.y + share * min(low.height, high.height)
            start, end = low.right - reach, high.x + reach
            yield Box(start, across - 0.8, end - start, 1.6)
        else:
            across = low.x + share * min(low.width, high.width)
            start, end = low.top - reach, high.y + reach
            yield Box(across - 0.8, start, 1.6, end - start)


def flow_arrow(
    page: Recorder, place: Box, about: str, *, backwards: bool = False
) -> None:
    """Draw an arrow along the longer side of a box."""
    x, y = place.centre
    if place.height > place.width:
        ends = (x, place.y), (x, place.top)
    else:
        ends = (place.x, y), (place.right, y)
    start, end = ends[::-1] if backwards else ends
    page.items.append(
        Arrow(
            start=start,
            end=end,
            pen=Pen(2 * STYLE.thin_line),
            head=1.4 * STYLE.arrow_length,
            about=f"flow:{about}",
        )
    )
