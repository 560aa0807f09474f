"""The ways to cut each sheet to pieces before the search: for damage, and for the car.

Damage is cut around (`clear`); what is too large to be carried home is cut at the store
before that (`hauled_sheets`), which leaves several clear rectangles as damage does. Of
the many ways to do it at the store, a quick guess (`rough_fill`) tells which to try:
the best, but of every sort of first cut one before a second of any.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.model.shop import SheetHaul
from nesting.model.stock import Stock
from nesting.model.terms import Grain, Plane
from nesting.model.tree import SheetTree
from nesting.solve.clear import (
    NOTHING,
    Cut,
    Dissection,
    Rect,
    dissections,
    is_damaged,
    is_lesser,
)
from nesting.solve.hauled_sheets import Lies, is_too_large, sawings
from nesting.solve.rough_fill import Guess, Wanted, guess
from nesting.solve.sheets.problem import SheetPart, SheetProblem
from nesting.units import Ticks

_MOST_GUESSED: Final = 40
"""Of those that hold most parts, and half as many of those that are filled best."""
_MOST_KEPT: Final = 8
_MOST_MIXED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWays:
    """The ways to cut one kind of sheet to pieces."""

    each: tuple[Dissection, ...]
    """Those that are tried for all sheets alike, the most promising first; none where
    nothing is clear or can be carried."""
    mix: tuple[Dissection, ...] = ()
    """Those that are tried side by side."""


def needs_cutting(stock: Stock, haul: SheetHaul | None) -> bool:
    """Tell whether a sheet is cut to pieces before anything else is thought of."""
    return is_damaged(stock) or is_too_large(stock, haul)


def lies_of(part: SheetPart, grain: Grain) -> tuple[Lies, ...]:
    """Return what a part takes along x and y, each way it may lie on a sheet."""
    straight, turned = (part.length, part.width), (part.width, part.length)
    if part.grain_bound:
        return (straight,) if grain is Grain.LENGTH else (turned,)
    return tuple(dict.fromkeys((straight, turned)))


def sheet_ways(
    question: SheetProblem,
    stock: Sequence[Stock],
    haul: SheetHaul | None,
    can_cut: Callable[[Stock, SheetTree], bool],
) -> dict[str, SheetWays]:
    """Return the ways to cut those sheets that need it.

    Parameters
    ----------
    question
        As if every sheet were sound and carried whole.
    stock
        What its sheets really are.
    haul
        What can be carried home, if not everything can.
    can_cut
        Tells whether the saws cut a tree.

    Returns
    -------
    dict
        By the id of the stock.
    """
    kerfs = {Plane.CROSSCUT: question.kerf_x, Plane.RIP: question.kerf_y}
    own = {each.id: each for each in stock}
    found = {}
    for name in dict.fromkeys(each.id for each in question.stock):
        sheet = own[name]
        ways: Iterable[Dissection]
        mix: Iterable[Dissection] = ()
        if haul is not None and is_too_large(sheet, haul):
            ways, mix = _carried(question, sheet, haul, kerfs)
        elif is_damaged(sheet):
            ways = sorted(
                dissections(sheet, kerfs),
                key=lambda way: -_held(question, way, sheet.grain),
            )
        else:
            continue
        each, mixed = (
            tuple(way for way in some if _is_reached(sheet, way, can_cut))
            for some in (ways, mix if sheet.limit is None else ())
        )
        found[name] = SheetWays(each=each, mix=mixed if len(mixed) > 1 else ())
    return found


def carried_lies(
    stock: Stock, haul: SheetHaul, lies: Sequence[Lies], kerfs: Mapping[Plane, Ticks]
) -> tuple[bool, bool]:
    """Tell whether a sheet can be carried in pieces, and if one holds a blank.

    Parameters
    ----------
    stock
        Too large to be carried whole.
    haul
        What can be carried.
    lies
        The ways that a blank may lie, in ticks.
    kerfs
        Of the cuts at home.
    """
    ways = [
        way
        for sawing in sawings(stock, haul, lies, kerfs)
        for way in dissections(stock, kerfs, haul=haul, sawing=sawing)
    ]
    holds = any(
        x <= rect.length and y <= rect.width
        for way in ways
        for rect in way.rects
        for x, y in lies
    )
    return bool(ways), holds


def _carried(
    question: SheetProblem,
    sheet: Stock,
    haul: SheetHaul,
    kerfs: Mapping[Plane, Ticks],
) -> tuple[list[Dissection], list[Dissection]]:
    """Return the ways to cut a sheet for the way home that are worth trying.

    First those for all sheets alike, then some that may do well side by side: the best
    of all, and those that are filled best by whatever parts they hold.
    """
    parts = sorted(
        question.parts, key=lambda part: -part.length * part.width * part.quantity
    )
    wanted = [Wanted(lies_of(part, sheet.grain), part.quantity) for part in parts]
    lies = [lie for each in wanted for lie in each.lies]
    known: dict[tuple[Lies, ...], Dissection] = {}
    for sawing in sawings(sheet, haul, lies, kerfs):
        for way in dissections(sheet, kerfs, haul=haul, sawing=sawing):
            sizes = tuple(sorted((rect.length, rect.width) for rect in way.rects))
            known.setdefault(sizes, way)  # a mirror image is nothing new
    filled = sorted(known.values(), key=lambda way: -_filled(wanted, way))
    ways = sorted(filled, key=lambda way: -_held(question, way, sheet.grain))
    ways = ways[:_MOST_GUESSED] + filled[: _MOST_GUESSED // 2]
    guesses = {
        way.rects: guess(
            wanted,
            [(rect.length, rect.width) for rect in way.rects],
            (question.kerf_x, question.kerf_y),
        )
        for way in ways
    }
    ways = sorted(
        {way.rects: way for way in ways}.values(), key=lambda way: guesses[way.rects]
    )
    ways = [
        way
        for way in ways
        if not any(is_lesser(way, one) for one in ways if one is not way)
    ]
    ways = _with_few_cuts(ways, guesses)
    dense = sorted(ways, key=lambda way: -guesses[way.rects].area_per_sheet)
    if not ways:
        return [], []
    others = _holding_the_rest(question, ways, sheet.grain)
    mix = {way.rects: way for way in [*ways[:1], *others, *dense]}
    return [*_of_every_sort(ways, guesses)][:_MOST_KEPT], [*mix.values()][:_MOST_MIXED]


def _with_few_cuts(
    ways: Sequence[Dissection], guesses: Mapping[tuple[Rect, ...], Guess]
) -> list[Dissection]:
    """Return the ways with fewest cuts, and those with more that seem to save."""
    least = min((way.cuts_at_store for way in ways), default=0)
    few = [way for way in ways if way.cuts_at_store == least]
    best = min((guesses[way.rects][:2] for way in few), default=(0, 0))
    return [way for way in ways if way in few or guesses[way.rects][:2] < best]


def _holding_the_rest(
    question: SheetProblem, ways: Sequence[Dissection], grain: Grain
) -> Iterator[Dissection]:
    """Yield the way that holds most of what the first one does not, if one does."""
    rest = tuple(
        part
        for part in question.parts
        if not _held(replace(question, parts=(part,)), ways[0], grain)
    )
    if rest:
        asked = replace(question, parts=rest)
        way = max(ways, key=lambda way: _held(asked, way, grain))
        if _held(asked, way, grain):
            yield way


def _of_every_sort(
    ways: Sequence[Dissection], guesses: Mapping[tuple[Rect, ...], Guess]
) -> Iterator[Dissection]:
    """Yield the best way, the best of every other sort that may do, then the others."""
    if not ways:
        return
    best = guesses[ways[0].rects]
    firsts: dict[tuple[int, int], Dissection] = {}
    for way in ways:
        own = guesses[way.rects]
        axis = way.plan.axis if isinstance(way.plan, Cut) else -1
        if own.unheld <= best.unheld and own.sheets <= best.sheets + 1:
            firsts.setdefault((axis, len(way.rects)), way)
    yield from firsts.values()
    taken = {way.rects for way in firsts.values()}
    yield from (way for way in ways if way.rects not in taken)


def _held(question: SheetProblem, way: Dissection, grain: Grain) -> int:
    """Return the area of the parts that some rectangle of a dissection holds."""
    return sum(
        part.length * part.width * part.quantity * part.weight
        for part in question.parts
        if any(
            x <= rect.length and y <= rect.width
            for rect in way.rects
            for x, y in lies_of(part, grain)
        )
    )


def _filled(wanted: Sequence[Wanted], way: Dissection) -> int:
    """Return how much of its rectangles like parts can fill, kerfs left out."""
    return sum(
        max(
            (rect.length // x * (rect.width // y) * x * y)
            for each in wanted
            for x, y in each.lies
        )
        for rect in way.rects
    )


def _is_reached(
    own: Stock, way: Dissection, can_cut: Callable[[Stock, SheetTree], bool]
) -> bool:
    bare = way.tree(dict.fromkeys(way.rects, NOTHING))
    return bare is not None and can_cut(own, bare)
