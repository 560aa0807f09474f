"""A sheet problem as the flat integers that the kernels work on."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.model.terms import Plane
from nesting.solve.kernel import Ints
from nesting.solve.sheets.cuts import (
    COUNT_WAYS,
    KERF_X,
    KERF_Y,
    LIMITED,
    RULE,
    SAWS,
    STAGES,
    WAY,
    Rules,
    made,
    may_carve,
)
from nesting.solve.sheets.forest import (
    CUT_AXIS,
    ENTRY,
    LEVELS,
    MAKE,
    NONE,
    SIZE,
    SPARE,
    TURNS,
    USED,
    Forest,
    Kinds,
    Stocks,
    open_sheet,
)
from nesting.solve.sheets.moves import Scratch
from nesting.solve.sheets.problem import SheetPart, SheetProblem
from nesting.solve.sheets.search import LIMITLESS

AXIS_OF = {Plane.CROSSCUT: 0, Plane.RIP: 1}
_MANY = 1_000_000
_LARGEST_RUIN = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """The unchanging side of a search; every length is inflated by a kerf."""

    problem: SheetProblem
    kinds: Kinds
    stocks: Stocks
    rules: Rules
    count: int
    """Parts in all."""
    area: int
    """Of all the parts, in square ticks times their weights."""

    def fits(self, kind: int) -> bool:
        """Tell whether some stock holds a part, and some saw can cut it out."""
        return self.kinds[3][MAKE * kind + TURNS] != 0


def instance_of(problem: SheetProblem) -> Instance:
    """Turn a problem into flat integers.

    Parameters
    ----------
    problem
        With its stage limit, or without where that is lifted.

    Returns
    -------
    Instance
        The kinds are numbered as the parts, the stocks as in the problem.
    """
    kerf = (problem.kerf_x, problem.kerf_y)
    dims: list[int] = []
    for part in problem.parts:
        dims += [part.length + kerf[0], part.width + kerf[1]]
        dims += [part.width + kerf[0], part.length + kerf[1]]
    count = sum(part.quantity for part in problem.parts)
    stocks: Stocks = (
        [
            size
            for each in problem.stock
            for size in (each.length + kerf[0], each.width + kerf[1])
        ],
        [each.cost for each in problem.stock],
        [count if each.limit is None else each.limit for each in problem.stock],
    )
    rules = _rules_of(problem)
    area = [part.length * part.width * part.weight for part in problem.parts]
    slots = len(problem.parts) + count  # each part, and the blocks made of them
    kinds: Kinds = (
        dims + [0] * (4 * count),
        area + [0] * count,
        [0] * (slots * len(problem.stock)),
        [0, 0, NONE, 0, 0, NONE] * slots,
    )
    for kind, part in enumerate(problem.parts):
        if part.members:
            _note_members(part, kinds[3], MAKE * kind)
    for number in range(len(problem.stock)):
        _note_lies(problem, kinds, stocks, rules, number)
    return Instance(
        problem=problem,
        kinds=kinds,
        stocks=stocks,
        rules=rules,
        count=count,
        area=sum(
            each * part.quantity
            for each, part in zip(area, problem.parts, strict=False)
        ),
    )


def _note_members(part: SheetPart, make: Ints, at: int) -> None:
    """Say how a run is cut up after it has been cut out."""
    across = {each.width if part.along_length else each.length for each in part.members}
    make[at + CUT_AXIS] = 0 if part.along_length else 1
    make[at + LEVELS] = int(len(across) > 1)


def _members_made(
    part: SheetPart, rules: Rules, stock: int, turned: int, kerf: tuple[int, int]
) -> bool:
    """Tell whether some saw cuts a run up into its members on a stock."""
    axis = (0 if part.along_length else 1) ^ turned
    sizes = [
        (each.length, each.width) if not turned else (each.width, each.length)
        for each in part.members
    ]
    inflated = [(x + kerf[0], y + kerf[1]) for x, y in sizes]
    across = max(size[1 - axis] for size in inflated)
    return rules[0][SAWS] == 0 or all(
        made(rules, stock, axis, size[axis], across)
        and (
            size[1 - axis] == across
            or made(rules, stock, 1 - axis, size[1 - axis], size[axis])
        )
        for size in inflated
    )


def _note_lies(
    problem: SheetProblem, kinds: Kinds, stocks: Stocks, rules: Rules, stock: int
) -> None:
    """Find out how each part may lie on a fresh sheet of a stock."""
    forest = empty_forest(1, len(problem.stock))
    root = open_sheet(forest, stocks, stock)
    for kind, part in enumerate(problem.parts):
        if stocks[2][stock] == 0:
            continue
        for turned in _turns(part, problem.stock[stock].grain_along_length):
            x, y = kinds[0][4 * kind + 2 * turned : 4 * kind + 2 * turned + 2]
            if x > stocks[0][2 * stock] or y > stocks[0][2 * stock + 1]:
                continue
            kerf = (problem.kerf_x, problem.kerf_y)
            if part.members and not _members_made(part, rules, stock, turned, kerf):
                continue
            if any(
                may_carve(forest, kinds, stocks, rules, kind, turned, root, axis)
                for axis in (0, 1)
            ):
                kinds[2][kind * len(problem.stock) + stock] |= 1 + turned
                kinds[3][MAKE * kind + TURNS] |= 1 + turned


def _turns(part: SheetPart, grain_along_length: bool) -> tuple[int, ...]:
    if part.grain_bound:
        return (0,) if grain_along_length else (1,)
    return (0,) if part.length == part.width and not part.members else (0, 1)


def _rules_of(problem: SheetProblem) -> Rules:
    trims = [
        size
        for each in problem.stock
        for size in (
            each.trim.low_x,
            each.trim.across_x,
            each.trim.low_y,
            each.trim.across_y,
        )
    ]
    ways: list[int] = []
    for way in problem.ways:
        if way.plane in AXIS_OF:
            ways += [
                AXIS_OF[way.plane],
                LIMITLESS if way.longest_run is None else way.longest_run,
                LIMITLESS if way.largest_measure is None else way.largest_measure,
                int(way.run_covers_measure),
                way.smallest_measure,
            ]
    rule = [0] * RULE
    rule[STAGES] = _MANY if problem.stages is None else problem.stages
    rule[SAWS] = int(bool(problem.ways) and not _all_open(problem))
    rule[LIMITED] = int(rule[SAWS] == 1 or problem.stages is not None)
    rule[KERF_X] = problem.kerf_x
    rule[KERF_Y] = problem.kerf_y
    rule[COUNT_WAYS] = len(ways) // WAY
    return rule, trims, ways


def _all_open(problem: SheetProblem) -> bool:
    """Tell whether some way of each plane makes every cut on the largest sheets."""
    longest = max(
        (
            max(each.length + each.trim.across_x, each.width + each.trim.across_y)
            for each in problem.stock
        ),
        default=0,
    )
    return all(
        any(
            not way.run_covers_measure
            and not way.smallest_measure
            and way.makes(longest, longest)
            for way in problem.ways
            if way.plane is plane
        )
        for plane in AXIS_OF
    )


def empty_forest(count: int, stocks: int) -> Forest:
    """Return a forest with no sheet, with room for so many parts."""
    nodes = 24 * count + 256
    tally = [0] * (USED + stocks)
    tally[SPARE] = NONE
    return (
        [0] * (nodes * SIZE),
        [0] * (nodes * ENTRY),
        [0] * (count + 1),
        [0] * (count + 1),
        tally,
    )


def scratch_for(instance: Instance) -> Scratch:
    """Return the working space of a search, and how many parts a ruin takes out."""
    draws = [round(_LARGEST_RUIN ** (step / 63)) for step in range(64)]
    room = 32 * instance.count + 512
    return [0] * room, [0] * room, [0] * (len(instance.problem.parts) + 1), draws
