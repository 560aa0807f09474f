"""Branching finds a cover exactly where there is one."""

from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.kernel import seeded
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.sets_branch import Branching
from nesting.solve.sheets.sets_master import Verdict, cover

KINDS = 6
TOPS = st.lists(
    st.sets(st.integers(0, KINDS - 1), min_size=1, max_size=3), min_size=2, max_size=7
)


def closed(tops):
    """Return all parts of some sets, as rows of counts."""
    rows = set()
    for top in tops:
        for size in range(1, len(top) + 1):
            for chosen in combinations(sorted(top), size):
                rows.add(tuple(int(kind in chosen) for kind in range(KINDS)))
    return sorted(rows)


def has_cover(rows, wanted, most):
    return any(
        all(sum(row[kind] for row in chosen) >= wanted[kind] for kind in range(KINDS))
        for chosen in product(rows, repeat=most)
    )


@settings(deadline=None, derandomize=True, max_examples=80)
@given(TOPS, st.integers(1, 3), st.lists(st.integers(0, 1), min_size=6, max_size=6))
def test_a_cover_is_found_where_there_is_one(tops, most, wanted):
    """Held against every way to choose so many of the largest sets."""
    largest = [tuple(int(k in top) for k in range(KINDS)) for top in tops]
    rows = closed(tops)
    search = Branching(line_of(rows), wanted, most)
    for _ in search.run(1_000):
        pass
    expected = has_cover(largest, wanted, most)
    assert not search.is_stuck
    assert search.cover.verdict is (Verdict.FOUND if expected else Verdict.NONE)
    if expected:
        assert sum(search.cover.times) <= most
    if any(wanted):
        other = cover(rows, wanted, most, most_work=1.0)
        assert other.verdict is search.cover.verdict


def test_it_goes_on_where_it_stopped():
    """A ring of five pairs, one sheet too few: by hand, 3 sheets take at most 6.

    Five parts, of which only neighbours share a sheet, take three sheets; two hold
    four. The linear program says 2.5.
    """
    ring = [{0, 1}, {1, 2}, {2, 3}, {3, 4}, {0, 4}]
    rows = line_of(closed(ring))
    wanted = [1, 1, 1, 1, 1, 0]
    for most, verdict in ((2, Verdict.NONE), (3, Verdict.FOUND)):
        search = Branching(rows, wanted, most)
        rounds = 0
        while search.cover.verdict is Verdict.OPEN:
            assert not search.is_stuck
            list(search.run(1))
            rounds += 1
        assert search.cover.verdict is verdict
        assert rounds < 50


@settings(deadline=None, derandomize=True, max_examples=40)
@given(TOPS, st.integers(1, 3), st.integers(0, 9))
def test_begun_again_it_comes_to_the_same(tops, most, seed):
    """In another order, from wherever it had come to."""
    rows = line_of(closed(tops))
    wanted = [1] * KINDS
    search = Branching(rows, wanted, most, sizes=[3.0, 1.0, 2.0, 2.0, 5.0, 1.0])
    rng = [seeded(seed)]
    for _ in range(3):
        next(search.run(1), None)
        if search.cover.verdict is Verdict.OPEN:
            search.restart(rng)
    for _ in search.run(1_000):
        pass
    largest = [tuple(int(k in top) for k in range(KINDS)) for top in tops]
    expected = has_cover(largest, wanted, most)
    assert search.cover.verdict is (Verdict.FOUND if expected else Verdict.NONE)


def test_it_tells_when_even_parts_of_sets_are_too_few():
    """The ring again: a part is half a sheet, so two sheets are too few; not three."""
    rows = line_of(closed([{0, 1}, {1, 2}, {2, 3}, {3, 4}, {0, 4}]))
    short = {}
    for most in (2, 3):
        search = Branching(rows, [1, 1, 1, 1, 1, 0], most)
        for _ in search.run(1_000):
            pass
        short[most] = search.is_short
    assert short == {2: True, 3: False}
