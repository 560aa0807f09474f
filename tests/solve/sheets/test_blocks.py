"""A block says how many levels of cuts it takes, whichever way it lies."""

from __future__ import annotations

from nesting.model.stock import Edges
from nesting.solve.sheets.blocks import join
from nesting.solve.sheets.forest import LEVELS, MAKE
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock


def test_two_kerfs_may_take_a_level_more_once_turned():
    """What is equally wide one way may not be the other, with a kerf along x only.

    By hand: 23 x 4 over 23 x 40 are 23 + 1 wide, and 4 x 4 beside 19 x 4 are 4 + 1 + 19
    + 1. Laid one over the other, the first two lose 1 at the side and are then cut
    apart: 2 levels. Turned, both are 23 high, and one more level of cuts is all.
    """
    sizes = ((23, 4), (23, 40), (4, 4), (19, 4))
    problem = SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{n}", length=a, width=b, quantity=1, grain_bound=False)
            for n, (a, b) in enumerate(sizes)
        ),
        stock=(
            SheetStock(
                id="s",
                length=100,
                width=100,
                cost=1,
                limit=None,
                grain_along_length=False,
                trim=Edges(),
            ),
        ),
        kerf_x=1,
        kerf_y=0,
        least_kerf_x=1,
        least_kerf_y=0,
    )
    for turned in (0, 1):
        kinds, stocks, rules = _given(problem)
        assert join(kinds, stocks, rules, 4, 2 * 0, 2 * 1, 1)
        assert join(kinds, stocks, rules, 5, 2 * 2, 2 * 3, 0)
        assert join(kinds, stocks, rules, 6, 2 * 4 + turned, 2 * 5 + turned, 1 - turned)
        sizes_now = kinds[0][4 * 6 : 4 * 7]
        assert sizes_now[2 * turned : 2 * turned + 2] == [25, 48]
        assert kinds[3][MAKE * 6 + LEVELS] == 2


def _given(problem):
    instance = instance_of(problem)
    return instance.kinds, instance.stocks, instance.rules
