"""Damaged stock is cut into clear rectangles, from edge to edge, with a kerf between.

What is expected is worked out by hand, or follows from replaying the cuts.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.stock import Edges, Stock, Zone
from nesting.model.terms import Form, Plane
from nesting.model.tree import Leaf, Split
from nesting.solve.clear import Cut, Plan, Rect, dissections, holds, is_damaged, usable

KERFS = {Plane.CROSSCUT: 4, Plane.RIP: 3}


def sheet(*zones: tuple[int, int, int, int], trim: int = 0) -> Stock:
    return Stock(
        id="ply",
        material="ply",
        form=Form.SHEET,
        length=1000,
        width=600,
        thickness=18,
        trim=Edges(low_x=trim, high_x=trim, low_y=trim, high_y=trim),
        zones=tuple(Zone(x=x, y=y, length=a, width=b) for x, y, a, b in zones),
    )


def test_a_dent_in_a_corner_leaves_two_rectangles() -> None:
    """By hand: 900 x 600 beside it and, the kerf out of the dent, 100 x 500 above."""
    best = dissections(sheet((0, 0, 100, 100)), KERFS)[0]
    assert best.rects == (Rect(100, 1000, 0, 600), Rect(0, 96, 100, 600))
    assert best.plan == Cut(
        0, 96, 100, Cut(1, 97, 100, None, Rect(0, 96, 100, 600)), best.rects[0]
    )


def test_a_tree_leaves_out_what_is_not_used() -> None:
    """Only the large rectangle is wanted: one cut frees it."""
    best = dissections(sheet((0, 0, 100, 100)), KERFS)[0]
    leaf = Leaf("side")
    assert best.tree({best.rects[0]: leaf}) == Split(
        Plane.CROSSCUT, 96, 100, None, leaf
    )
    assert best.tree({}) is None


def test_a_dent_within_the_trim_is_none() -> None:
    """It comes off with the edge."""
    assert not is_damaged(sheet((0, 0, 1000, 5), trim=5))
    assert is_damaged(sheet((0, 0, 1000, 6), trim=5))


def test_a_sheet_damaged_all_over_has_no_clear_part() -> None:
    """Nothing is left to cut from."""
    assert dissections(sheet((0, 0, 1000, 600)), KERFS) == ()
    assert not holds(sheet((0, 0, 1000, 600)), 1, 1)


def test_what_has_a_place_is_told_to_the_tick() -> None:
    """A dent in the middle leaves 400 on either side of it, and 250 above and below."""
    dented = sheet((400, 250, 200, 100))
    assert holds(dented, 400, 600)
    assert not holds(dented, 401, 251)
    assert holds(dented, 1000, 250)


zones = st.lists(
    st.tuples(
        st.integers(0, 900),
        st.integers(0, 500),
        st.integers(1, 100),
        st.integers(1, 99),
    ),
    min_size=1,
    max_size=6,
)


@settings(max_examples=40)
@given(zones=zones, trim=st.sampled_from([0, 5, 40]))
def test_no_rectangle_meets_a_zone_or_another(
    zones: list[tuple[int, int, int, int]], trim: int
) -> None:
    """Clear, inside, apart; and cuts from edge to edge with a kerf make just them."""
    stock = sheet(*zones, trim=trim)
    boxes = [Rect(x, x + a, y, y + b) for x, y, a, b in zones]
    whole = usable(stock)
    if not is_damaged(stock):
        return
    ways = dissections(stock, KERFS)
    for way in ways:
        for number, rect in enumerate(way.rects):
            assert min(rect.length, rect.width) > 0
            assert whole.low_x <= rect.low_x < rect.high_x <= whole.high_x
            assert whole.low_y <= rect.low_y < rect.high_y <= whole.high_y
            assert not any(rect.meets(box) for box in boxes)
            assert not any(rect.meets(other) for other in way.rects[:number])
        assert sorted(_cut(way.plan, whole)) == sorted(way.rects)
    assert [way.score for way in ways] == sorted(
        (way.score for way in ways), reverse=True
    )


def _cut(plan: Plan, rect: Rect) -> list[Rect]:
    """Make the cuts of a dissection and return what is clear."""
    if plan is None:
        return []
    if isinstance(plan, Rect):
        assert plan == rect
        return [rect]
    low, high = rect.span(plan.axis)
    kerf = KERFS[(Plane.CROSSCUT, Plane.RIP)[plan.axis]]
    assert plan.far - plan.near >= kerf
    below = _cut(plan.low, rect.with_span(plan.axis, low, plan.near))
    above = _cut(plan.high, rect.with_span(plan.axis, plan.far, high))
    return below + above


def lumber(form: Form, *zones: tuple[int, int, int, int]) -> Stock:
    return replace(sheet(*zones), form=form, section="wide")


def test_a_stick_is_crosscut_at_the_whole_of_its_damage() -> None:
    """A zone at one edge takes its length of the full width."""
    (way,) = dissections(lumber(Form.STICK, (300, 0, 100, 50)), KERFS)
    assert way.rects == (Rect(400, 1000, 0, 600), Rect(0, 300, 0, 600))
    assert not holds(lumber(Form.STICK, (300, 0, 100, 50)), 700, 100)


def test_a_board_too_long_to_rip_is_crosscut_first() -> None:
    """Rips at the edge of the damage, at 50, are in pieces of no more than 500."""
    board = lumber(Form.BOARD, (300, 0, 100, 50))
    ways = dissections(board, KERFS, 500)
    assert Rect(0, 500, 50, 600) in {rect for way in ways for rect in way.rects}
    assert all(
        rect.length <= 500 or rect.width == 600 for way in ways for rect in way.rects
    )
    longer = dissections(board, KERFS, 1000)
    assert Rect(0, 1000, 50, 600) in {rect for way in longer for rect in way.rects}
