"""Cut damaged stock into clear rectangles, edge to edge.

Problem: a rectangle R with damaged zones. A dissection is a tree of cuts from edge to
edge whose leaves are clear rectangles or waste; the kerf of a cut that frees one side
of a zone is taken out of the zone where that is wide enough.

Method: every cut worth making lies at a side of some zone. `best(R)` tries them all and
keeps the few dissections with the largest sum of area^1.5 of their clear rectangles,
for one large rectangle is worth more than two small ones; the same R is looked at once.
A stick is only crosscut, and so is crooked lumber. A board is ripped where it is short
enough for it, so that for boards a length of just so much at either end of R is cut
off, too. Lumber has every crosscut and all those rips, so that what could be cut from
what another dissection leaves is left out; of a sheet the saw might reach the smaller
piece only. Where a zone runs from end to end (pith), a long board is cut to lengths
that are ripped, equal ones too. With more than `MOST_ZONES` zones the nearest are taken
together first.

Guarantee: no leaf touches a zone. That the best dissection for some parts is among
those returned is not guaranteed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final, TypeAlias

from nesting.model.shop import Haul, SheetHaul
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Plane
from nesting.model.tree import Node, SheetTree, Split, Tree
from nesting.solve.hauled import Sawing
from nesting.solve.rect import Rect as Rect
from nesting.units import Ticks

MOST_ZONES: Final = 4
_KEPT: Final = 4
"""Dissections of one rectangle."""
_KEPT_OF_ALL: Final = 24
_PLANES: Final = (Plane.CROSSCUT, Plane.RIP)
NOTHING: Final = Node(Plane.RIP, (), ())
"""A piece that is put aside as it is."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut of a dissection; see `nesting.model.tree.Split`."""

    axis: int
    near: Ticks
    far: Ticks
    low: Plan
    high: Plan
    haul: Haul | SheetHaul | None = None


Plan: TypeAlias = Rect | Cut | None
"""A clear rectangle, a piece that is cut, or waste."""


@dataclass(frozen=True, slots=True)
class Dissection:
    """One way to cut stock into clear rectangles."""

    plan: Plan
    rects: tuple[Rect, ...]
    """The clear ones, the largest first."""
    score: float
    edges: Mapping[Rect, Edges] = field(default_factory=dict)
    """What is still to be trimmed beside each of them."""

    @property
    def cuts_at_store(self) -> int:
        """How many of its cuts are made there."""
        return _cuts_at_store(self.plan)

    def tree(self, filled: Mapping[Rect, Tree]) -> SheetTree | None:
        """Return the tree of the stock, given those of its rectangles."""
        return _planted(self.plan, filled)


def usable(stock: Stock) -> Rect:
    """Return what lies between the trims."""
    trim = stock.trim
    return Rect(
        trim.low_x,
        stock.length - trim.high_x,
        trim.low_y,
        stock.width - trim.high_y,
    )


def is_damaged(stock: Stock) -> bool:
    """Tell whether some zone lies between the trims."""
    return any(box.meets(usable(stock)) for box in _boxes(stock))


def holds(stock: Stock, length: Ticks, width: Ticks) -> bool:
    """Tell whether a rectangle, as it lies, has a clear place on stock at all."""
    whole = usable(stock)
    zones = _boxes(stock)
    starts = [
        {whole[2 * axis], *(zone[2 * axis + 1] for zone in zones)} for axis in (0, 1)
    ]
    for x in sorted(starts[0]):
        for y in sorted(starts[1]):
            place = Rect(x, x + length, y, y + width)
            inside = (
                x >= whole.low_x
                and y >= whole.low_y
                and place.high_x <= whole.high_x
                and place.high_y <= whole.high_y
            )
            if inside and not any(place.meets(zone) for zone in zones):
                return True
    return False


def dissections(
    stock: Stock,
    kerfs: Mapping[Plane, Ticks],
    longest_rip: Ticks | None = None,
    haul: Haul | SheetHaul | None = None,
    sawing: Sawing | None = None,
) -> tuple[Dissection, ...]:
    """Return ways to cut stock into clear rectangles, those with large ones first.

    Parameters
    ----------
    stock
        With damaged zones.
    kerfs
        The widest of each plane.
    longest_rip
        The longest piece that is ripped, in ticks; None for any. Sticks never are.
    haul, sawing
        How and where it is sawn at the store, before all else.
    """
    whole = usable(stock)
    zones = [zone for zone in _boxes(stock) if zone.meets(whole)]
    while len(zones) > MOST_ZONES:
        zones = _joined(zones)
    cuts = _Cuts(
        kerfs=tuple(kerfs[plane] for plane in _PLANES),
        longest_rip=0 if stock.form is Form.STICK or stock.crook else longest_rip,
        leaves_lesser_out=stock.form is not Form.SHEET,
    )
    if haul is None or sawing is None:
        found = _best(whole, tuple(zones), cuts, {}, _KEPT_OF_ALL)
        found = [_with_edges(each, whole, stock.trim) for each in found]
    else:
        found = _carried(whole, stock.trim, tuple(zones), cuts, haul, sawing)
    return tuple(each for each in found[:_KEPT_OF_ALL] if each.rects)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cuts:
    """What cuts there are."""

    kerfs: tuple[Ticks, ...]
    """On each axis."""
    longest_rip: Ticks | None
    leaves_lesser_out: bool


def _boxes(stock: Stock) -> list[Rect]:
    """Return the damage of stock; that of a stick goes through its whole section."""
    is_stick = stock.form is Form.STICK
    return [
        Rect(
            zone.x,
            zone.x + zone.length,
            0 if is_stick else zone.y,
            stock.width if is_stick else zone.y + zone.width,
        )
        for zone in stock.zones
    ]


def _joined(zones: list[Rect]) -> list[Rect]:
    """Take the two zones together that waste the least area so."""
    pairs = [
        (_around(one, two), i, j)
        for i, one in enumerate(zones)
        for j, two in enumerate(zones[:i])
    ]
    around, i, j = min(
        pairs,
        key=lambda pair: (
            _area(pair[0]) - _area(zones[pair[1]]) - _area(zones[pair[2]]),
            pair,
        ),
    )
    return [*(z for k, z in enumerate(zones) if k not in (i, j)), around]


def _around(one: Rect, two: Rect) -> Rect:
    return Rect(
        min(one.low_x, two.low_x),
        max(one.high_x, two.high_x),
        min(one.low_y, two.low_y),
        max(one.high_y, two.high_y),
    )


def _area(rect: Rect) -> int:
    return rect.length * rect.width


def _best(
    rect: Rect,
    zones: tuple[Rect, ...],
    cuts: _Cuts,
    known: dict[Rect, list[Dissection]],
    most: int,
) -> list[Dissection]:
    """Return the best dissections of a rectangle."""
    if rect in known:
        return known[rect]
    nothing = Dissection(None, (), 0.0)
    if min(rect.length, rect.width) <= 0:
        return [nothing]
    near = [zone for zone in zones if zone.meets(rect)]
    if not near:
        return [Dissection(rect, (rect,), float(_area(rect)) ** 1.5)]
    found = {nothing.rects: nothing}
    for axis, near_end, far_start in _lines(rect, near, cuts):
        low, high = rect.span(axis)
        parts = (
            rect.with_span(axis, low, max(low, near_end)),
            rect.with_span(axis, min(high, far_start), high),
        )
        lower, upper = (_best(part, zones, cuts, known, _KEPT) for part in parts)
        for one in lower:
            for two in upper:
                rects = tuple(
                    sorted((*one.rects, *two.rects), key=lambda r: (-_area(r), r))
                )
                if rects and rects not in found:
                    plan = Cut(axis, near_end, far_start, one.plan, two.plan)
                    found[rects] = Dissection(plan, rects, one.score + two.score)
    kept: list[Dissection] = []
    for each in sorted(found.values(), key=lambda each: (-each.score, each.rects)):
        if cuts.leaves_lesser_out and any(is_lesser(each, one) for one in kept):
            continue
        kept.append(each)
        if len(kept) == most:
            break
    known[rect] = kept
    return kept


def _carried(
    rect: Rect,
    trim: Edges,
    zones: tuple[Rect, ...],
    cuts: _Cuts,
    haul: Haul | SheetHaul,
    sawing: Sawing | None,
) -> list[Dissection]:
    """Return dissections of what a rectangle is sawn into at the store."""
    if sawing is None:
        found = _best(rect, zones, cuts, {}, _KEPT)
        return [_with_edges(each, rect, trim) for each in found]
    axis, off = sawing.axis, haul.tolerance
    at, far = sawing.at, sawing.at + haul.saw.kerf
    start, end = rect.span(axis)
    low = rect.with_span(axis, start, at - off)
    high = rect.with_span(axis, far + off, end)
    names = ("low_x", "high_x", "low_y", "high_y")
    low_trim = replace(trim, **{names[2 * axis + 1]: off})
    high_trim = replace(trim, **{names[2 * axis]: off})
    both = [
        Dissection(
            Cut(axis, at, far, one.plan, two.plan, haul),
            tuple(sorted((*one.rects, *two.rects), key=lambda r: (-_area(r), r))),
            one.score + two.score,
            {**one.edges, **two.edges},
        )
        for one in _carried(low, low_trim, zones, cuts, haul, sawing.low)
        for two in _carried(high, high_trim, zones, cuts, haul, sawing.high)
    ]
    return sorted(both, key=lambda each: (-each.score, each.rects))[:_KEPT_OF_ALL]


def _with_edges(found: Dissection, rect: Rect, trim: Edges) -> Dissection:
    """Return a dissection that knows what is still trimmed beside its rectangles."""
    edges = {
        clear: Edges(
            low_x=trim.low_x if clear.low_x == rect.low_x else 0,
            high_x=trim.high_x if clear.high_x == rect.high_x else 0,
            low_y=trim.low_y if clear.low_y == rect.low_y else 0,
            high_y=trim.high_y if clear.high_y == rect.high_y else 0,
        )
        for clear in found.rects
    }
    return replace(found, edges=edges)


def is_lesser(one: Dissection, other: Dissection) -> bool:
    """Tell whether each rectangle of one dissection lies in one of another."""
    return all(any(big.covers(rect) for big in other.rects) for rect in one.rects)


def _lines(
    rect: Rect, zones: list[Rect], cuts: _Cuts
) -> list[tuple[int, Ticks, Ticks]]:
    """Return the cuts at the sides of zones: axis, end of low and start of high.

    Where the rectangle is too long to be ripped, so are those that leave a zone in a
    piece at one end that is not.
    """
    lines = set()
    kerfs, longest = cuts.kerfs, cuts.longest_rip
    is_ripped = longest is None or rect.length <= longest
    for zone in zones:
        if longest and not is_ripped:
            low, high = rect.low_x + longest, rect.high_x - longest
            if zone.high_x <= low:
                lines.add((0, low, low + kerfs[0]))
            if zone.low_x >= high:
                lines.add((0, high - kerfs[0], high))
            if zone.low_x <= rect.low_x and zone.high_x >= rect.high_x:
                lines.update(_rough_lengths(rect, longest, kerfs[0]))
        for axis in (0, 1) if is_ripped else (0,):
            low, high = rect.span(axis)
            start, end = zone.span(axis)
            if start > low:
                lines.add((axis, start, start + kerfs[axis]))
            if end < high:
                lines.add((axis, end - kerfs[axis], end))
    return sorted(lines)


def _rough_lengths(
    rect: Rect, longest: Ticks, kerf: Ticks
) -> list[tuple[int, Ticks, Ticks]]:
    """Return the first cuts to lengths that are ripped: the longest, or equal ones."""
    count = -(-(rect.length + kerf) // (longest + kerf))
    equal = (rect.length - (count - 1) * kerf) // count
    return [
        (0, rect.low_x + longest, rect.low_x + longest + kerf),
        (0, rect.high_x - longest - kerf, rect.high_x - longest),
        (0, rect.low_x + equal, rect.low_x + equal + kerf),
    ]


def _cuts_at_store(plan: Plan) -> int:
    if not isinstance(plan, Cut) or plan.haul is None:
        return 0
    return 1 + _cuts_at_store(plan.low) + _cuts_at_store(plan.high)


def _planted(plan: Plan, filled: Mapping[Rect, Tree]) -> SheetTree | None:
    if plan is None:
        return None
    if isinstance(plan, Rect):
        return filled.get(plan)
    low, high = _planted(plan.low, filled), _planted(plan.high, filled)
    if low is None and high is None and plan.haul is None:
        return None
    return Split(_PLANES[plan.axis], plan.near, plan.far, low, high, plan.haul)
