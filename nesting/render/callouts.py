"""Key letters outside the stock for pieces too small to hold one.

Like pieces side by side share a letter: a thin line with a dot in each of them runs to
the upper or the right margin, the way that crosses the fewest names.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.render.fonts import text_width
from nesting.render.marks import spread
from nesting.render.scene import Box
from nesting.render.style import POINT, STYLE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.render.scene import Point, Recorder

_APART = 1.2
"""Like pieces no further from one another than this, in millimetres, share a letter."""
_CALLOUT = 2.6
"""From the stock to the letters."""
_BETWEEN = 0.8
"""Between two letters."""
_DOT = 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class Callout:
    """A piece that needs a letter outside."""

    box: Box
    letter: str
    about: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """Like pieces side by side, in order along the row or column they form."""

    members: tuple[Callout, ...]

    @property
    def letter(self) -> str:
        return self.members[0].letter


@dataclass(frozen=True, slots=True, kw_only=True)
class _Leader:
    """Where a leader leaves the stock."""

    run: _Run
    inside: Point
    """The point of the run from which it goes straight to the edge."""
    upward: bool


def draw_callouts(
    page: Recorder, callouts: Sequence[Callout], stock: Box, names: Sequence[Box]
) -> None:
    """Draw the letters and their leaders.

    Parameters
    ----------
    page
        What to draw on.
    callouts
        The pieces.
    stock
        The outline of the stock.
    names
        Boxes that leaders should not cross.
    """
    leaders = [_best_leader(run, callouts, stock, names) for run in _gathered(callouts)]
    for leader in leaders:
        centres = [member.box.centre for member in leader.run.members]
        page.line(centres[0], centres[-1], STYLE.thin_line, about="leader")
        for x, y in centres:
            dot = Box(x - _DOT, y - _DOT, 2 * _DOT, 2 * _DOT)
            page.rect(dot, None, 0.0, about="leader")
    _draw_ends(page, [lead for lead in leaders if lead.upward], stock)
    _draw_ends(page, [lead for lead in leaders if not lead.upward], stock)


def _gathered(callouts: Sequence[Callout]) -> list[_Run]:
    """Return the pieces in runs: first along rows, then what is left along columns."""
    rows = _runs(callouts, along_x=True)
    single = [run.members[0] for run in rows if len(run.members) == 1]
    return [run for run in rows if len(run.members) > 1] + _runs(single, along_x=False)


def _runs(callouts: Sequence[Callout], *, along_x: bool) -> list[_Run]:
    def key(callout: Callout) -> tuple[str, float, float, float]:
        box = callout.box
        if along_x:
            return callout.letter, round(box.y, 3), round(box.height, 3), box.x
        return callout.letter, round(box.x, 3), round(box.width, 3), box.y

    runs: list[list[Callout]] = []
    for callout in sorted(callouts, key=key):
        if runs and key(runs[-1][-1])[:3] == key(callout)[:3]:
            last = runs[-1][-1].box
            end = last.right if along_x else last.top
            if key(callout)[3] - end <= _APART:
                runs[-1].append(callout)
                continue
        runs.append([callout])
    return [_Run(members=tuple(run)) for run in runs]


def _best_leader(
    run: _Run, callouts: Sequence[Callout], stock: Box, names: Sequence[Box]
) -> _Leader:
    """Return the leader of a run that is in the way of the least."""
    others = [call.box for call in callouts if call not in run.members]
    best = float("inf"), _Leader(run=run, inside=(0.0, 0.0), upward=True)
    for member in run.members:
        x, y = member.box.centre
        for upward in (False, True):
            if upward:
                path = Box(x - 0.1, member.box.top, 0.2, stock.top - member.box.top)
            else:
                path = Box(
                    member.box.right, y - 0.1, stock.right - member.box.right, 0.2
                )
            cost = path.width / 10 + path.height / 10
            cost += 10 * sum(path.overlaps(name) for name in names)
            cost += 20 * sum(path.overlaps(other) for other in others)
            if cost < best[0] - 1e-9:
                best = cost, _Leader(run=run, inside=(x, y), upward=upward)
    return best[1]


def _draw_ends(page: Recorder, leaders: list[_Leader], stock: Box) -> None:
    """Draw the leaders to one margin, their letters spread along it."""
    axis = 0 if leaders and leaders[0].upward else 1
    leaders.sort(key=lambda leader: leader.inside[axis])
    size = STYLE.mark_text
    sizes = [
        text_width(leader.run.letter, size, bold=True)
        if leader.upward
        else size * POINT
        for leader in leaders
    ]
    places = spread([leader.inside[axis] for leader in leaders], sizes, _BETWEEN)
    for leader, place in zip(leaders, places, strict=True):
        x, y = leader.inside
        about = leader.run.members[0].about
        if leader.upward:
            edge, end = (x, stock.top), (place, stock.top + _CALLOUT - 0.6)
            page.text(
                leader.run.letter,
                (place, stock.top + _CALLOUT),
                size,
                bold=True,
                align="centre",
                about=about,
            )
        else:
            edge, end = (stock.right, y), (stock.right + _CALLOUT - 0.5, place)
            page.text(
                leader.run.letter,
                (stock.right + _CALLOUT, place),
                size,
                bold=True,
                level="middle",
                about=about,
            )
        page.line((x, y), edge, STYLE.thin_line, about="leader")
        page.line(edge, end, STYLE.thin_line, about="leader")
