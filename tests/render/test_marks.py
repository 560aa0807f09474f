"""Tests of the numbers of cuts."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.render.marks import CutLine, place_marks, spread
from nesting.render.scene import Box

STOCK = Box(0, 0, 200, 100)


@pytest.mark.parametrize(
    ("wanted", "places"),
    [
        # Worked by hand: least squares with every neighbour 4 apart.
        ([0.0, 10.0], [0.0, 10.0]),
        ([5.0, 5.0], [3.0, 7.0]),
        ([0.0, 1.0, 2.0], [-3.0, 1.0, 5.0]),
        ([0.0, 0.0, 9.0], [-2.0, 2.0, 9.0]),
        ([0.0, 0.0, 5.0], [-7 / 3, 5 / 3, 17 / 3]),
    ],
)
def test_spread_moves_no_more_than_it_must(
    wanted: list[float], places: list[float]
) -> None:
    """Neighbours that collide move apart around their common mean."""
    assert spread(wanted, [3.0] * len(wanted), 1.0) == pytest.approx(places)


@given(st.lists(st.floats(min_value=0, max_value=200), min_size=1, max_size=40))
def test_spread_leaves_the_gap(wanted: list[float]) -> None:
    """Whatever is wanted, neighbours keep their order and their distance."""
    places = spread(sorted(wanted), [3.0] * len(wanted), 1.0)
    gaps = [b - a for a, b in itertools.pairwise(places)]
    assert all(gap >= 4.0 - 1e-6 for gap in gaps)


coordinates = st.tuples(
    st.floats(min_value=0, max_value=195),
    st.floats(min_value=0, max_value=95),
    st.floats(min_value=0.5, max_value=100),
    st.booleans(),
)


@given(st.lists(coordinates, min_size=1, max_size=50))
def test_no_ring_covers_another(cuts: list[tuple[float, float, float, bool]]) -> None:
    """However the cuts lie, each gets one ring, and no two rings meet."""
    lines = []
    for number, (x, y, run, upright) in enumerate(cuts, 1):
        end = (x, min(100, y + run)) if upright else (min(200, x + run), y)
        lines.append(CutLine(number=str(number), start=(x, y), end=end))
    marks = place_marks(lines, STOCK, [])
    assert sorted(int(mark.number) for mark in marks) == list(range(1, len(cuts) + 1))
    for count, mark in enumerate(marks):
        for other in marks[count + 1 :]:
            assert not mark.box.overlaps(other.box)


def test_a_cut_from_the_edge_has_its_ring_outside() -> None:
    """A rip that enters at the left edge is numbered left of the stock."""
    cut = CutLine(number="7", start=(0, 40), end=(200, 40))
    (mark,) = place_marks([cut], STOCK, [])
    assert mark.box.right < STOCK.x
    assert mark.leader[-1] == cut.start


def test_a_ring_gives_way_to_a_name() -> None:
    """The ring of an inner cut slides along its line until the name is free."""
    cut = CutLine(number="3", start=(100, 20), end=(100, 80))
    name = Box(90, 19, 20, 8)
    (mark,) = place_marks([cut], STOCK, [name])
    assert not mark.box.overlaps(name)
    assert mark.box.centre[0] == pytest.approx(100)
