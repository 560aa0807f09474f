"""Bounds on the cost of sheets: below every plan, above mere area if they can."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.stock import Edges
from nesting.solve.sheets.bounds import full_bound, quick_bound
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock


def stock(
    length: int,
    width: int,
    cost: int = 1,
    limit: int | None = None,
    *,
    along: bool = True,
) -> SheetStock:
    """Return a kind of sheet without trims."""
    return SheetStock(
        id=f"{length}x{width}@{cost}",
        length=length,
        width=width,
        cost=cost,
        limit=limit,
        grain_along_length=along,
        trim=Edges(),
    )


def problem(
    parts: list[tuple[int, int, int, bool]],
    *kinds: SheetStock,
    kerf_x: int = 0,
    kerf_y: int = 0,
) -> SheetProblem:
    """Return a problem with parts of (length, width, quantity, bound to the grain)."""
    return SheetProblem(
        parts=tuple(
            SheetPart(
                id=f"p{number}",
                length=length,
                width=width,
                quantity=quantity,
                grain_bound=bound,
            )
            for number, (length, width, quantity, bound) in enumerate(parts)
        ),
        stock=kinds,
        kerf_x=kerf_x,
        kerf_y=kerf_y,
        least_kerf_x=kerf_x,
        least_kerf_y=kerf_y,
    )


def test_parts_over_half_each_way_take_a_sheet_each() -> None:
    """Four 51 x 51 on 100 x 100 fill hardly one by area; no two share one."""
    asked = problem([(51, 51, 4, False)], stock(100, 100))
    bound = quick_bound(asked)
    assert (bound.value, bound.basis) == (4, "parts that cannot share a sheet")


def test_functions_pass_the_area_and_the_loners() -> None:
    """Six 40 x 60 upright on 100 x 100: area says 2, but only two stand in one sheet.

    By hand: u(1) on the width sends 60 to 1, so at most one stands above another; u(2)
    on the length sends 40 to 1/2, so at most two stand side by side.
    """
    asked = problem([(40, 60, 6, True)], stock(100, 100))
    assert quick_bound(asked).value == 2
    bound = full_bound(asked)
    assert (bound.value, bound.basis) == (3, "dual feasible functions")


def test_a_kerf_counts() -> None:
    """Eight 24 x 24 in on 48 x 96 in fill one sheet; a 1/8 in kerf makes it three.

    Only one row of three goes on a sheet then: 2 x 24 + 1/8 passes 48. In 1/8 in.
    """
    parts = [(192, 192, 8, False)]
    assert full_bound(problem(parts, stock(768, 384))).value == 1
    with_kerf = problem(parts, stock(768, 384), kerf_x=1, kerf_y=1)
    assert full_bound(with_kerf).value == 3


def test_turning_is_reckoned_with() -> None:
    """A 90 x 30 lies three to a 100 x 100 sheet either way; bound to the grain, too."""
    for bound in (False, True):
        asked = problem([(90, 30, 6, bound)], stock(100, 100))
        assert full_bound(asked).value == 2


def test_turning_lowers_the_bound_where_it_helps() -> None:
    """60 x 45 on 100 x 60: two lie side by side only when turned."""
    parts = [(60, 45, 4, True)]
    assert full_bound(problem(parts, stock(100, 60))).value == 4
    assert full_bound(problem([(60, 45, 4, False)], stock(100, 60))).value == 2
    across = problem(parts, stock(100, 60, along=False))
    assert full_bound(across).value == 2


def test_costs_and_limits_are_combined() -> None:
    """Nine 50 x 50: a free rack half holds two, so two sheets are bought for seven."""
    asked = problem([(50, 50, 9, False)], stock(100, 100, 70), stock(100, 50, 0, 1))
    assert full_bound(asked).value == 140


def test_what_cannot_be_placed_counts_without_infinity() -> None:
    """A part larger than the sheet leaves the bound a whole number."""
    asked = problem([(500, 500, 1, False), (50, 50, 1, False)], stock(100, 100, 7))
    assert full_bound(asked).value >= 7
    assert full_bound(problem([(5, 5, 1, False)])).value == 0


def cut_up(
    data: st.DataObject, length: int, width: int, kerf: tuple[int, int], depth: int
) -> list[tuple[int, int]]:
    """Cut a rectangle up edge to edge, losing a kerf at each cut."""
    if depth == 0:
        return [(length, width)]
    axis = data.draw(st.integers(0, 1))
    size = (length, width)[axis]
    if size < kerf[axis] + 2:
        return [(length, width)]
    at = data.draw(st.integers(1, size - kerf[axis] - 1))
    found = []
    for piece in (at, size - kerf[axis] - at):
        sides = (piece, width) if axis == 0 else (length, piece)
        deeper = data.draw(st.integers(0, depth - 1))
        found += cut_up(data, *sides, kerf, deeper)
    return found


@settings(max_examples=150)
@given(
    data=st.data(),
    kerf=st.tuples(st.integers(0, 3), st.integers(0, 3)),
    kinds=st.lists(
        st.tuples(st.integers(20, 120), st.integers(20, 120), st.integers(0, 50)),
        min_size=1,
        max_size=3,
        unique=True,
    ),
    along=st.booleans(),
)
def test_no_bound_passes_a_plan_that_exists(
    data: st.DataObject,
    kerf: tuple[int, int],
    kinds: list[tuple[int, int, int]],
    along: bool,
) -> None:
    """Parts cut from known sheets cost no more than those: nor may a bound say so."""
    which = st.sampled_from(range(len(kinds)))
    sheets = data.draw(st.lists(which, min_size=1, max_size=5))
    parts = []
    for number in sheets:
        length, width, _ = kinds[number]
        for x, y in cut_up(data, length, width, kerf, data.draw(st.integers(0, 5))):
            bound = data.draw(st.booleans())
            turned = not along if bound else data.draw(st.booleans())
            parts.append((y, x, 1, bound) if turned else (x, y, 1, bound))
    limits = [
        data.draw(st.none() | st.integers(sheets.count(n), sheets.count(n) + 1))
        for n in range(len(kinds))
    ]
    offered = [
        stock(*kind, limit, along=along)
        for kind, limit in zip(kinds, limits, strict=True)
    ]
    asked = problem(parts, *offered, kerf_x=kerf[0], kerf_y=kerf[1])
    cost = sum(kinds[number][2] for number in sheets)
    assert quick_bound(asked).value <= full_bound(asked).value <= cost


@pytest.mark.parametrize(("side", "sheets"), [(100, 3), (97, 6)])
def test_free_parts_share_a_sheet_where_some_way_fits(side: int, sheets: int) -> None:
    """Six 67 x 50: two go side by side in 100, 50 by 50; in 97 no way is left.

    Three sheets of 100 x 100 hold them, two to each; by area they need more than two.
    """
    asked = problem([(67, 50, 6, False)], stock(side, side))
    assert full_bound(asked).value == sheets
