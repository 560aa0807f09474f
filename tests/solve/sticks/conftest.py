"""Small problems, a checker of answers and a brute-force oracle for the stick tests."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import TYPE_CHECKING

import pytest

from nesting.solve.sticks.problem import StickPart, StickProblem, StickStock

if TYPE_CHECKING:
    from collections.abc import Callable

    from nesting.solve.sticks.problem import StickAnswer


def build(stock, parts, kerf=0, least_kerf=None):
    """Return a problem from (length, cost, limit) and (length, quantity) rows."""
    return StickProblem(
        parts=tuple(
            StickPart(id=f"part{i}", length=length, quantity=quantity)
            for i, (length, quantity) in enumerate(parts)
        ),
        stock=tuple(
            StickStock(id=f"stick{k}", length=length, cost=cost, limit=limit)
            for k, (length, cost, limit) in enumerate(stock)
        ),
        kerf=kerf,
        least_kerf=kerf if least_kerf is None else least_kerf,
    )


def assert_sound(problem: StickProblem, answer: StickAnswer) -> None:
    """Check an answer against the words of the problem, by its own arithmetic."""
    parts = {part.id: part for part in problem.parts}
    stock = {stick.id: stick for stick in problem.stock}
    made: Counter[str] = Counter()
    used: Counter[str] = Counter()
    for pattern in answer.patterns:
        stick = stock[pattern.stock]
        assert pattern.times > 0
        assert all(count > 0 for _, count in pattern.counts)
        pieces = sum(count for _, count in pattern.counts)
        body = sum(parts[part].length * count for part, count in pattern.counts)
        assert pieces > 0
        # A cut between neighbours each; what is left after the last needs no room.
        assert body + (pieces - 1) * problem.kerf <= stick.length
        used[stick.id] += pattern.times
        for part, count in pattern.counts:
            made[part] += count * pattern.times
    for part, count in answer.unplaced:
        assert count > 0
        made[part] += count
    assert made == Counter({p.id: p.quantity for p in problem.parts if p.quantity})
    for name, count in used.items():
        limit = stock[name].limit
        assert limit is None or count <= limit
    assert answer.cost == sum(stock[name].cost * n for name, n in used.items())
    if not answer.unplaced:
        assert answer.lower_bound <= answer.cost


def least(problem: StickProblem) -> tuple[int, int, int]:
    """Return the least (length lost, cost, sticks) by trying everything."""
    pieces = [p.length for p in problem.parts for _ in range(p.quantity)]
    count = len(pieces)
    weights = [
        sum(pieces[i] + problem.kerf for i in _bits(m)) for m in range(1 << count)
    ]
    stock = problem.stock

    @cache
    def best(left: int, used: tuple[int, ...]) -> tuple[int, int, int]:
        if not left:
            return 0, 0, 0
        first = left & -left
        lost, cost, sticks = best(left ^ first, used)
        found = lost + pieces[first.bit_length() - 1], cost, sticks
        rest = left ^ first
        inside = rest
        while True:
            for k, stick in enumerate(stock):
                if stick.limit is not None and used[k] >= stick.limit:
                    continue
                if weights[inside | first] <= stick.length + problem.kerf:
                    more = tuple(n + (j == k) for j, n in enumerate(used))
                    # Only limited sizes need counting.
                    more = tuple(
                        n if stock[j].limit is not None else 0
                        for j, n in enumerate(more)
                    )
                    lost, cost, sticks = best(rest ^ inside, more)
                    found = min(found, (lost, cost + stick.cost, sticks + 1))
            if not inside:
                break
            inside = (inside - 1) & rest
        return found

    return best((1 << count) - 1, (0,) * len(stock))


def _bits(mask: int) -> list[int]:
    return [i for i in range(mask.bit_length()) if mask >> i & 1]


@pytest.fixture(scope="session")
def make() -> Callable[..., StickProblem]:
    """Return the maker of problems."""
    return build


@pytest.fixture(scope="session")
def check() -> Callable[[StickProblem, StickAnswer], None]:
    """Return the checker of answers."""
    return assert_sound


@pytest.fixture(scope="session")
def oracle() -> Callable[[StickProblem], tuple[int, int, int]]:
    """Return the brute-force oracle: least length lost, then cost, then sticks."""
    return least
