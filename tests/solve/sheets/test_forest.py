"""The search's forest stays a forest, whatever is taken out and put back."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.shop import Saw
from nesting.model.stock import Edges
from nesting.model.terms import Form, Guide, Plane
from nesting.solve.kernel import seeded
from nesting.solve.reach import ways_to_cut
from nesting.solve.sheets.engine import _all_out
from nesting.solve.sheets.forest import (
    AXIS,
    COST,
    DEPTH,
    ENTRY,
    FIRST,
    HIGH,
    IS_DIVIDED,
    IS_PART,
    IS_REST,
    NEXT,
    NONE,
    OUT,
    OUT_AREA,
    PARENT,
    PART,
    PLACE,
    PREV,
    REST,
    RESTS,
    ROOTS,
    SIZE,
    SPARE,
    STATE,
    STOCK,
    USED,
    Forest,
    X,
    Y,
)
from nesting.solve.sheets.instance import Instance, instance_of, scratch_for
from nesting.solve.sheets.moves import FAR, recreate, ruin
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

ENDLESS = 10**12
RAIL = Saw(
    name="rail saw",
    kerf=2,
    planes=(Plane.CROSSCUT, Plane.RIP),
    rip_guide=Guide.LINE,
    crosscut_guide=Guide.LINE,
    longest_cut=70,
)


def check(forest: Forest, instance: Instance) -> None:
    """Assert everything that holds of a forest between two moves."""
    nodes, rests, roots, out, tally = forest
    placed: Counter[int] = Counter(out[: tally[OUT]])
    known_rests = set()
    live = 0
    for place in range(tally[ROOTS]):
        root = roots[place]
        assert nodes[root + PARENT] == NONE
        assert nodes[root + PREV] == place
        stock = nodes[root + STOCK]
        assert nodes[root + X] == instance.stocks[0][2 * stock]
        assert nodes[root + Y] == instance.stocks[0][2 * stock + 1]
        live += check_piece(forest, instance, root, placed, known_rests)
    listed = [rests[at] for at in range(0, tally[RESTS], ENTRY)]
    assert set(listed) == known_rests
    assert len(listed) == len(known_rests)
    for at in range(0, tally[RESTS], ENTRY):
        v = rests[at]
        assert nodes[v + PLACE] == at
        assert rests[at + 1 : at + 4] == [nodes[v + k] for k in (X, Y, STOCK)]
    assert placed == Counter(
        {n: part.quantity for n, part in enumerate(instance.problem.parts)}
    )
    assert tally[OUT_AREA] == sum(instance.kinds[1][k] for k in out[: tally[OUT]])
    used = Counter(nodes[root + STOCK] for root in roots[: tally[ROOTS]])
    for stock, cost in enumerate(instance.stocks[1]):
        assert tally[USED + stock] == used[stock] <= instance.stocks[2][stock]
        used[stock] *= cost
    assert tally[COST] == used.total()
    spare = 0
    v = tally[SPARE]
    while v != NONE:
        spare += 1
        v = nodes[v + NEXT]
    assert (live + spare) * SIZE == tally[HIGH]


def check_piece(
    forest: Forest,
    instance: Instance,
    v: int,
    placed: Counter[int],
    known_rests: set[int],
) -> int:
    """Assert everything that holds of a piece; return how many nodes it has."""
    nodes = forest[0]
    assert min(nodes[v + X], nodes[v + Y]) > 0
    assert nodes[v + DEPTH] <= instance.rules[0][0]
    if nodes[v + STATE] == IS_REST:
        known_rests.add(v)
        return 1
    if nodes[v + STATE] == IS_PART:
        kind, turned = divmod(nodes[v + PART], 2)
        own = 4 * kind + 2 * turned
        assert [nodes[v + X], nodes[v + Y]] == instance.kinds[0][own : own + 2]
        lies = instance.kinds[2][kind * len(instance.problem.stock) + nodes[v + STOCK]]
        assert lies & (1 + turned)
        placed[kind] += 1
        return 1
    assert nodes[v + STATE] == IS_DIVIDED
    axis = nodes[v + AXIS]
    children = []
    u, before = nodes[v + FIRST], NONE
    while u != NONE:
        assert (nodes[u + PARENT], nodes[u + PREV]) == (v, before)
        assert nodes[u + STOCK] == nodes[v + STOCK]
        assert nodes[u + DEPTH] == nodes[v + DEPTH] + 1
        assert nodes[u + X + 1 - axis] == nodes[v + X + 1 - axis]
        assert nodes[u + STATE] != IS_DIVIDED or nodes[u + AXIS] == 1 - axis
        children.append(u)
        u, before = nodes[u + NEXT], u
    assert len(children) > 1
    assert sum(nodes[u + X + axis] for u in children) == nodes[v + X + axis]
    resting = [u for u in children if nodes[u + STATE] == IS_REST]
    assert resting == [nodes[v + REST]] * (nodes[v + REST] != NONE)
    return 1 + sum(
        check_piece(forest, instance, u, placed, known_rests) for u in children
    )


sizes = st.integers(4, 60)


@settings(max_examples=120)
@given(
    parts=st.lists(
        st.tuples(sizes, sizes, st.integers(1, 4), st.booleans()),
        min_size=1,
        max_size=9,
    ),
    stock=st.lists(
        st.tuples(
            st.integers(30, 100),
            st.integers(30, 100),
            st.integers(0, 5),
            st.none() | st.integers(1, 2),
            st.booleans(),
            st.integers(0, 3),
        ),
        min_size=1,
        max_size=3,
    ),
    kerf=st.tuples(st.integers(0, 3), st.integers(0, 3)),
    stages=st.none() | st.integers(1, 4),
    with_saw=st.booleans(),
    most=st.sampled_from([ENDLESS, 12]),
    seed=st.integers(0, 10**9),
)
def test_a_forest_stays_one(
    parts: list[tuple[int, int, int, bool]],
    stock: list[tuple[int, int, int, int | None, bool, int]],
    kerf: tuple[int, int],
    stages: int | None,
    with_saw: bool,
    most: int,
    seed: int,
) -> None:
    """After every ruin and every recreation, all that is written down is true."""
    problem = SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{n}", length=a, width=b, quantity=q, grain_bound=bound)
            for n, (a, b, q, bound) in enumerate(parts)
        ),
        stock=tuple(
            SheetStock(
                id=f"s{n}",
                length=a,
                width=b,
                cost=cost,
                limit=limit,
                grain_along_length=along,
                trim=Edges(low_x=trim, high_x=trim, low_y=trim),
            )
            for n, (a, b, cost, limit, along, trim) in enumerate(stock)
        ),
        kerf_x=kerf[0],
        kerf_y=kerf[1],
        least_kerf_x=kerf[0],
        least_kerf_y=kerf[1],
        ways=ways_to_cut([RAIL], Form.SHEET, 1) if with_saw else (),
        stages=stages,
    )
    instance = instance_of(problem)
    forest = _all_out(instance)
    scratch = scratch_for(instance)
    rng = [seeded(seed)]
    given_ = (instance.kinds, instance.stocks)
    for _ in range(12):
        recreate(forest, *given_, instance.rules, scratch, most, 1, FAR, 0, rng)
        check(forest, instance)
        assert forest[4][COST] <= most
        ruin(forest, *given_, scratch, rng)
        check(forest, instance)
