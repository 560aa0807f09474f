"""The strokes that bring one axis of a piece to a size: where, by what saw, from where.

A piece carries the factory margins it still has. Before it is divided, its low margin
is cut off, so that the measures start at a clean edge; a saw that cannot do that on the
whole piece (a fence opens only so far) cuts the wanted size too wide by the margin, and
the margin comes off afterwards, measured from the clean edge opposite. A margin
includes its kerf: a blade that runs partly off an edge loses less than its kerf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.model.terms import Guide, Plane
from nesting.solve.reach import Way
from nesting.units import Ticks


@dataclass(frozen=True, slots=True)
class Span:
    """One axis of an open piece: where it starts, how long it is, margins included."""

    start: Ticks
    size: Ticks
    low: Ticks = 0
    """The factory margin still on the low side."""
    high: Ticks = 0

    def near(self, size: Ticks) -> Span:
        """Return the near side of a cut: it keeps the low margin."""
        return Span(self.start, size, self.low, 0)

    def far(self, begin: Ticks) -> Span:
        """Return what starts at a distance: it keeps the high margin."""
        return Span(self.start + begin, self.size - begin, 0, self.high)


@dataclass(frozen=True, slots=True)
class OpenPiece:
    """A piece that is not finished yet."""

    id: str
    x: Span
    y: Span
    z: Span

    def along(self, plane: Plane) -> Span:
        """Return the axis that a plane divides."""
        if plane is Plane.RESAW:
            return self.z
        return self.x if plane is Plane.CROSSCUT else self.y

    def run(self, plane: Plane) -> Ticks:
        """Return how long a cut in a plane is."""
        return self.y.size if plane is Plane.CROSSCUT else self.x.size

    def with_span(self, piece: str, plane: Plane, span: Span) -> OpenPiece:
        """Return another piece that differs in the axis a plane divides."""
        if plane is Plane.CROSSCUT:
            return OpenPiece(piece, span, self.y, self.z)
        if plane is Plane.RIP:
            return OpenPiece(piece, self.x, span, self.z)
        return OpenPiece(piece, self.x, self.y, span)


@dataclass(frozen=True, slots=True)
class Stroke:
    """One cut as it will be made, before its pieces have names."""

    at: Ticks
    kerf: Ticks
    way: Way
    guide: Guide
    measure: Ticks | None
    from_: str
    keeps_near: bool
    """Whether the near piece is the wanted one."""
    trims: bool


def sizing(
    ways: Sequence[Way], run: Ticks, span: Span, size: Ticks, *, trims: bool = False
) -> Stroke | None:
    """Cut a near piece of a size off a span, measured from its low side.

    Parameters
    ----------
    ways
        The ways to try, best first.
    run
        How long the cut is, in ticks.
    span
        The axis; larger than `size`.
    size
        What the near piece keeps, its own low margin included.
    trims
        Whether the cut only takes a factory edge off.

    Returns
    -------
    Stroke or None
        None where no way reaches it.
    """
    for way in ways:
        if way.makes(run, size):
            kerf = min(way.kerf, span.size - size)
            return Stroke(
                at=size,
                kerf=kerf,
                way=way,
                guide=way.guide,
                measure=size,
                from_="low",
                keeps_near=True,
                trims=trims,
            )
    return None


def low_trim(ways: Sequence[Way], run: Ticks, span: Span) -> Stroke | None:
    """Cut the low margin off a span; the far piece is the wanted one.

    A fence takes the edge opposite, so that the wanted piece lies between fence and
    blade. Anything else cuts to a pencil line: there is no distance worth a stop.
    """
    for way in ways:
        kerf = min(way.kerf, span.low)
        at, keeps = span.low - kerf, span.size - span.low
        fenced = way.guide is Guide.FENCE
        if not way.makes(run, keeps if fenced else at):
            continue
        if fenced:
            measure: Ticks | None = keeps
        else:
            measure = at if way.guide is Guide.LINE else None
        return Stroke(
            at=at,
            kerf=kerf,
            way=way,
            guide=Guide.FENCE if fenced else Guide.LINE,
            measure=measure,
            from_="high" if fenced else "low",
            keeps_near=False,
            trims=True,
        )
    return None


def strokes_to_size(
    ways: Sequence[Way], run: Ticks, span: Span, size: Ticks
) -> list[Stroke] | None:
    """Return the cuts that bring a span to a size; None where no saw can.

    Parameters
    ----------
    ways
        The ways to try, best first.
    run
        How long the cuts are, in ticks.
    span
        The axis with its margins; neither may be left on the piece.
    size
        The wanted size, at most what lies between the margins.
    """
    if not span.low:
        if span.size == size:
            return []
        only = sizing(ways, run, span, size)
        return None if only is None else [only]
    first = low_trim(ways, run, span)
    if first is not None:
        left = span.far(span.low)
        if left.size == size:
            return [first]
        second = sizing(ways, run, left, size)
        if second is not None:
            return [first, second]
    return _oversize_first(ways, run, span, size)


def _oversize_first(
    ways: Sequence[Way], run: Ticks, span: Span, size: Ticks
) -> list[Stroke] | None:
    """Cut too wide by the margin, then take the margin off from the clean edge."""
    strokes = []
    oversize = size + span.low
    if span.size > oversize:
        first = sizing(ways, run, span, oversize)
        if first is None:
            return None
        strokes.append(first)
    last = low_trim(ways, run, span.near(oversize))
    return None if last is None else [*strokes, last]
