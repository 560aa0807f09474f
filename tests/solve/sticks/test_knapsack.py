"""The knapsack against brute force, on the fine grid and on coarse ones."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.solve.sticks import knapsack
from nesting.solve.sticks.core import Core, Size
from nesting.solve.sticks.knapsack import Pricer

ROWS = st.lists(
    st.tuples(st.integers(3, 60), st.integers(1, 3), st.integers(0, 50)),
    min_size=1,
    max_size=5,
    unique_by=lambda row: row[0],
).map(lambda rows: sorted(rows, reverse=True))


def core_of(rows, room):
    """Return a core of (weight, count, value) rows with one size."""
    return Core(
        weights=tuple(weight for weight, _, _ in rows),
        lengths=tuple(weight for weight, _, _ in rows),
        demands=tuple(count for _, count, _ in rows),
        sizes=(Size(room=room, cost=1, limit=99, endless=True),),
    )


def every_choice(rows, room):
    """Yield every choice of counts that fits a room, with its weight and value."""
    for counts in product(*(range(count + 1) for _, count, _ in rows)):
        weight = sum(n * row[0] for n, row in zip(counts, rows, strict=True))
        if weight <= room:
            value = sum(n * row[2] for n, row in zip(counts, rows, strict=True))
            yield counts, weight, value


@pytest.mark.parametrize("cells", [4_000_000, 40, 150])
@given(rows=ROWS, room=st.integers(60, 150), over=st.integers(0, 120))
def test_best_filling_is_the_brute_force_one(cells, rows, room, over):
    """`best` finds the optimum if it is over the mark; `most` is never below it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(knapsack, "MOST_CELLS", cells)
        pricer = Pricer(core_of(rows, room))
    pricer.load([value for _, _, value in rows], [count for _, count, _ in rows])
    top = max(value for _, _, value in every_choice(rows, room))
    best = pricer.best(room, over)
    assert best.most >= top
    if pricer.grain == 1:
        assert best.most == top
    assert bool(best.fills) == (top > over)
    values = []
    for fill in best.fills:
        assert sum(rows[i][0] * n for i, n in fill) <= room
        assert all(0 < n <= rows[i][1] for i, n in fill)
        values.append(sum(rows[i][2] * n for i, n in fill))
    assert values == sorted(values, reverse=True)
    assert not values or values[0] == top
    assert all(value > over for value in values)


@pytest.mark.parametrize("steps", [60_000_000, 500, 60])
@given(rows=ROWS, room=st.integers(60, 150))
def test_thorough_filling_is_exact_or_on_the_safe_side(steps, rows, room):
    """`thorough` is exact on the fine grid; beyond it, bound and fill still hold."""
    pricer = Pricer(core_of(rows, room))
    pricer.load([value for _, _, value in rows], [count for _, count, _ in rows])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(knapsack, "MOST_STEPS", steps)
        rooms = [room, room // 2]
        found = pricer.thorough(rooms, [0, 0])
    for space, best in zip(rooms, found, strict=True):
        top = max(value for _, _, value in every_choice(rows, space))
        assert best.most >= top
        got = [sum(rows[i][2] * n for i, n in fill) for fill in best.fills]
        assert all(sum(rows[i][0] * n for i, n in f) <= space for f in best.fills)
        assert all(n <= rows[i][1] for fill in best.fills for i, n in fill)
        assert all(value <= top for value in got)
        if steps == 60_000_000:
            assert best.most == top
            assert got == ([top] if top else [])


@pytest.mark.parametrize("cells", [4_000_000, 60])
@given(rows=ROWS, room=st.integers(60, 150), least=st.integers(0, 150))
def test_every_maximal_filling_is_listed(cells, rows, room, least):
    """The list has each maximal filling worth enough, once, and no other."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(knapsack, "MOST_CELLS", cells)
        pricer = Pricer(core_of(rows, room))
    pricer.load([value for _, _, value in rows], [count for _, count, _ in rows])
    fills, is_all = pricer.every_fill(room, least, 10_000, 1_000_000)
    assert is_all
    assert len(set(fills)) == len(fills)
    expected = {
        tuple((i, n) for i, n in enumerate(counts) if n)
        for counts, weight, value in every_choice(rows, room)
        if value >= least
        and all(
            n == row[1] or weight + row[0] > room
            for n, row in zip(counts, rows, strict=True)
        )
    }
    assert set(fills) == expected


def test_listing_says_when_it_gives_up():
    """With too few fills or nodes allowed, the list is marked as incomplete."""
    pricer = Pricer(core_of([(weight, 3, 1) for weight in range(20, 5, -1)], 100))
    pricer.load([1] * 15, [3] * 15)
    assert pricer.every_fill(100, 0, 50, 1_000_000)[1] is False
    assert pricer.every_fill(100, 0, 1_000_000, 50)[1] is False
