"""Trees on rectangles of several sheets come together on few of them."""

from __future__ import annotations

from nesting.model.stock import Edges
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node
from nesting.solve.clear import Dissection, Rect
from nesting.solve.regroup import regrouped, sheets_of
from nesting.solve.sheets.problem import SheetPart, SheetProblem

BIG, SMALL = Rect(0, 110, 0, 50), Rect(114, 200, 0, 50)
LONG, SHORT = Rect(0, 160, 0, 50), Rect(164, 200, 0, 50)


def way(*rects: Rect) -> Dissection:
    return Dissection(None, rects, 0.0, dict.fromkeys(rects, Edges()))


def question(*parts: tuple[str, int, int]) -> SheetProblem:
    return SheetProblem(
        parts=tuple(
            SheetPart(id=name, length=x, width=y, quantity=9, grain_bound=False)
            for name, x, y in parts
        ),
        stock=(),
        kerf_x=2,
        kerf_y=2,
        least_kerf_x=2,
        least_kerf_y=2,
    )


def test_what_lies_on_four_small_rectangles_shares_two_sheets() -> None:
    """Each of them would do in the large one beside it."""
    filled = {0: {SMALL: [Leaf("door")] * 4}}
    found = regrouped(filled, [way(BIG, SMALL)], question(("door", 80, 45)))
    assert {rect: len(trees) for rect, trees in found[0].items()} == {SMALL: 2, BIG: 2}


def test_a_sheet_is_begun_in_the_way_that_serves_the_others_too() -> None:
    """Two doors on long pieces of two sheets lie on one sheet that is halved."""
    filled = {0: {LONG: [Leaf("door")] * 2}}
    found = regrouped(
        filled, [way(LONG, SHORT), way(BIG, SMALL)], question(("door", 80, 45))
    )
    assert {number: sheets_of(by_rect) for number, by_rect in found.items()} == {1: 1}


def test_what_is_on_few_sheets_stays_as_it_is() -> None:
    """The very same, where nothing is gained; kerfs count."""
    row = Node(Plane.CROSSCUT, (50, 50), (Leaf("a"), Leaf("a", turned=True)))
    filled = {0: {BIG: [row], SMALL: [Leaf("a")]}}
    same = regrouped(filled, [way(BIG, SMALL)], question(("a", 50, 50)))
    assert same is filled
