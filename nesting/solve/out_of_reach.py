"""Why no saw of the shop cuts a blank out of a sheet, in words: which limits of which.

A blank takes two cuts: one over the whole sheet, and one over what that leaves. It may
begin with either. Where the first is beyond every saw both ways round, the limits that
forbid it are named, else those that forbid the second.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from nesting.model.blank import Blank
from nesting.model.stock import Stock
from nesting.model.terms import Grain, Plane
from nesting.solve.reach import Way, first_way
from nesting.units import Ticks

_Cut = tuple[Plane, Ticks, Ticks]
"""Plane, run and measure."""
Limits = dict[str, dict[str, None]]
"""The limits that forbid something, by saw."""


def why_out_of_reach(blank: Blank, stock: Sequence[Stock], ways: Sequence[Way]) -> str:
    """Return which limits of which saws stand in the way of a blank.

    Parameters
    ----------
    blank
        One that lies on some of the sheets.
    stock
        Of one material.
    ways
        All that the shop's saws can do with it.
    """
    first, second = _found(_orders(blank, stock), ways)
    if not first and not second:
        first, second = _found(_orders(blank, stock, trims=True), ways)
    said = "no saw of the shop reaches the cuts it needs"
    if second:
        return f"{said}: on the strip it is cut from they are beyond {listed(second)}"
    if first:
        return (
            f"{said}: over the whole sheet they are beyond {listed(first)}; a smaller "
            "sheet would do, or a saw that reaches further"
        )
    return said


def _found(
    orders: Iterable[tuple[_Cut, ...]], ways: Sequence[Way]
) -> tuple[Limits, Limits]:
    """Return what forbids the first cut, and what the second, in every order."""
    found: tuple[Limits, Limits] = {}, {}
    for cuts in orders:
        for number, (plane, run, measure) in enumerate(cuts):
            if first_way(ways, plane, run, measure) is None:
                for saw, limit in _limits(ways, plane, run, measure):
                    found[min(number, 1)].setdefault(saw, {})[limit] = None
                break
    return found


def _orders(
    blank: Blank, stock: Sequence[Stock], *, trims: bool = False
) -> Iterator[tuple[_Cut, ...]]:
    """Yield the cuts of a blank on every sheet, either way round and either one first.

    Trims are taken to be there still where a cut goes over the whole sheet, and with
    `trims` on the strip too.
    """
    for sheet in stock:
        turned = sheet.grain is Grain.WIDTH
        lies = [(blank.width, blank.length) if turned else (blank.length, blank.width)]
        if blank.grain is Grain.ANY:
            lies.append(lies[0][::-1])
        for x, y in lies:
            if x > sheet.usable_length or y > sheet.usable_width:
                continue
            full_x, full_y = sheet.length, sheet.width
            crosscut = (Plane.CROSSCUT, full_y, x + sheet.trim.low_x)
            rip = (Plane.RIP, full_x, y + sheet.trim.low_y)
            yield tuple(
                cut
                for cut, is_needed in (
                    (crosscut, x < full_x),
                    ((Plane.RIP, x, y + trims * sheet.trim.low_y), y < full_y),
                )
                if is_needed
            )
            yield tuple(
                cut
                for cut, is_needed in (
                    (rip, y < full_y),
                    ((Plane.CROSSCUT, y, x + trims * sheet.trim.low_x), x < full_x),
                )
                if is_needed
            )


def _limits(
    ways: Sequence[Way], plane: Plane, run: Ticks, measure: Ticks
) -> Iterator[tuple[str, str]]:
    """Yield (saw, limit): what forbids a cut in each way of cutting a plane."""
    for way in ways:
        if way.plane is plane:
            for limit in limits_of_way(way, run, measure):
                yield way.saw.name, limit


def limits_of_way(way: Way, run: Ticks, measure: Ticks) -> Iterator[str]:
    """Yield what forbids a cut so long and so far in one way; nothing if it is open."""
    saw = way.saw
    if way.longest_run is not None and run > way.longest_run:
        is_long = saw.longest_cut is not None and run > saw.longest_cut
        yield "longest_cut" if is_long else "widest_crosscut"
    elif way.largest_measure is not None and measure > way.largest_measure:
        yield "widest_rip"
    elif measure < way.smallest_measure:
        yield "narrowest_rip"
    elif way.run_covers_measure and run < measure:
        yield "too short an edge along the fence"


def listed(limits: Limits) -> str:
    """Return the limits of all saws, in words."""
    named = [f"{saw} ({', '.join(found)})" for saw, found in limits.items()]
    return " and ".join(named) or "all of them"
