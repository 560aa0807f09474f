"""Which cuts are open: the levels of a tree, and the reach of the saws."""

from __future__ import annotations

from nesting.solve.kernel import Ints, kernel
from nesting.solve.sheets.forest import (
    AXIS,
    CUT_AXIS,
    DEPTH,
    LEVELS,
    MAKE,
    NONE,
    PARENT,
    STOCK,
    Forest,
    Kinds,
    Stocks,
    X,
)

Rules = tuple[Ints, Ints, Ints]
"""`rule` (below), `trims` (at 4 * stock: low x, both x, low y, both y) and `ways` (at
WAY * way: axis, longest run, largest measure, 1 if the run must cover the measure,
smallest measure)."""

WAY = 5

# The places of the rule.
STAGES = 0  # levels of alternating cuts
SAWS = 1  # 1 if some cut is out of reach
LIMITED = 2  # 1 if there is any limit at all
KERF_X = 3
KERF_Y = 4
COUNT_WAYS = 5
RULE = 6


@kernel
def made(rules: Rules, stock: int, axis: int, size: int, run: int) -> bool:
    """Tell whether some saw cuts a piece of a size off one that is `run` across.

    All factory edges are taken to be there still, for they make the cut longer and the
    distance larger; for the smallest distance they are taken to be gone.
    """
    rule, trims, ways = rules
    least = size - rule[KERF_X + axis]
    measure = least + trims[4 * stock + 2 * axis]
    across = run - rule[KERF_Y - axis]
    longest = across + trims[4 * stock + 3 - 2 * axis]
    for way in range(0, WAY * rule[COUNT_WAYS], WAY):
        if (
            ways[way] == axis
            and longest <= ways[way + 1]
            and measure <= ways[way + 2]
            and (ways[way + 3] == 0 or across >= measure)
            and least >= ways[way + 4]
        ):
            return True
    return False


@kernel
def sized(
    forest: Forest, stocks: Stocks, rules: Rules, v: int, axis: int, size: int, run: int
) -> bool:
    """Tell whether a rest comes to a size: it has it, or some saw cuts it."""
    full = forest[0][v + X + axis]
    stock = forest[0][v + STOCK]
    if full == size and (
        rules[1][4 * stock + 2 * axis + 1] == 0 or full < stocks[0][2 * stock + axis]
    ):
        return True
    return made(rules, stock, axis, size, run)


@kernel
def may_carve(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    kind: int,
    turned: int,
    v: int,
    first: int,
) -> bool:
    """Tell whether a part or block may be cut from a rest, one axis first.

    Every piece that is kept beside others must be one a saw can cut, even the last one,
    which need not be cut while the others stay as they are.
    """
    nodes = forest[0]
    dims, _, _, make = kinds
    second = 1 - first
    size = dims[4 * kind + 2 * turned + first]
    other = dims[4 * kind + 2 * turned + second]
    parent = nodes[v + PARENT]
    above = nodes[parent + AXIS] if parent != NONE else NONE
    full = nodes[v + X + first]
    across = nodes[v + X + second]
    levels = nodes[v + DEPTH]
    now = above
    if full != size and now != first:
        levels += 1
        now = first
    if across != other and now != second:
        levels += 1
        now = second
    axis = make[MAKE * kind + CUT_AXIS]
    if axis != NONE:
        levels += make[MAKE * kind + LEVELS]
        if axis ^ turned != now:
            levels += 1
    if levels > rules[0][STAGES]:
        return False
    if rules[0][SAWS] == 0:
        return True
    stock = nodes[v + STOCK]
    if above == first:
        if not made(rules, stock, first, size, across):
            return False
    else:
        if above == second and not made(rules, stock, second, across, full):
            return False
        if not sized(forest, stocks, rules, v, first, size, across):
            return False
    return sized(forest, stocks, rules, v, second, other, size)
