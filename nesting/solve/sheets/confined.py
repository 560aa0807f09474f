"""The demands that parts make on the only kinds of sheet they fit.

A part that fits only some kinds of sheet makes a demand on these alone. For every set K
of kinds that comes about as a union of such sets, the parts confined to K need their
area, and their own lower bound in cost, from the sheets of K. `least_mix` says what
meeting all of them costs; `linear` adds the rows that its duals give.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.solve.least_mix import Row, least_mix
from nesting.solve.sheets.bounds import SheetBound, quick_bound
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

_MOST_SETS = 32


def confined_bound(problem: SheetProblem) -> SheetBound:
    """Return a bound by the area of parts that fit only some kinds of sheet.

    Parameters
    ----------
    problem
        Parts that fit no sheet do not count.

    Returns
    -------
    SheetBound
        On the cost of placing every part; the cost of all the sheets there are where
        limited stock does not hold the parts.
    """
    value = least_mix(
        [each.cost for each in problem.stock],
        [each.limit for each in problem.stock],
        confined_rows(problem),
    )
    return SheetBound(value, "area, and parts that fit only some sheets")


def confined_rows(problem: SheetProblem) -> list[Row]:
    """Return the demands that parts make on the only kinds of sheet they fit.

    Parameters
    ----------
    problem
        Parts that fit no sheet are left out.

    Returns
    -------
    list of Row
        Two for each set of kinds: the area, and the parts' own bound in cost.
    """
    rows = []
    for kinds, parts in confined_parts(problem).items():
        stock = [problem.stock[number] for number in sorted(kinds)]
        need = sum(
            part.quantity
            * min(area for each in stock for area in areas_on(part, each, problem))
            for part in parts
        )
        held = [
            (each.length + problem.least_kerf_x) * (each.width + problem.least_kerf_y)
            for each in problem.stock
        ]
        rows.append(_row(held, kinds, need))
        own_cost = quick_bound(
            replace(problem, parts=tuple(parts), stock=tuple(stock))
        ).value
        rows.append(_row([each.cost for each in problem.stock], kinds, own_cost))
    return rows


def confined_parts(
    problem: SheetProblem,
) -> dict[frozenset[int], list[SheetPart]]:
    """Return the parts that fit no kinds of sheet but some, for several such sets.

    Parameters
    ----------
    problem
        Parts that fit no sheet are left out.
    """
    problem = problem.apart()
    groups: dict[frozenset[int], list[SheetPart]] = {}
    for part in problem.parts:
        kinds = frozenset(
            number
            for number, each in enumerate(problem.stock)
            if each.limit != 0 and areas_on(part, each, problem)
        )
        if kinds and part.quantity:
            groups.setdefault(kinds, []).append(part)
    return {
        kinds: [part for own in groups if own <= kinds for part in groups[own]]
        for kinds in _unions(list(groups))
    }


def areas_on(part: SheetPart, stock: SheetStock, problem: SheetProblem) -> list[int]:
    """Return the inflated area of a part in each way it lies on a sheet."""
    along, across = (part.length, part.width), (part.width, part.length)
    turns = [along, across]
    if part.grain_bound:
        turns = [along] if stock.grain_along_length else [across]
    return [
        (x + problem.least_kerf_x) * (y + problem.least_kerf_y)
        for x, y in turns
        if x <= stock.length and y <= stock.width
    ]


def _unions(sets: Sequence[frozenset[int]]) -> list[frozenset[int]]:
    """Return the unions of sets, the whole first; not all where they are too many."""
    if not sets:
        return []
    found = [frozenset().union(*sets), *sets]
    for each in found:
        for other in sets:
            if len(found) < _MOST_SETS and each | other not in found:
                found.append(each | other)
    return list(dict.fromkeys(found))


def _row(measure: Sequence[int], kinds: frozenset[int], need: int) -> Row:
    return Row(
        tuple(held if number in kinds else 0 for number, held in enumerate(measure)),
        need,
    )
