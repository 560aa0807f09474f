"""What moves with the seasons, what is warned of, and what is not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import SHOP, inches, lumber, needs, part, sheet

from nesting.milling import movements
from nesting.model.job import Material, Part
from nesting.model.mill import (
    BuildKind,
    Climate,
    Joint,
    JointKind,
    Side,
    Wish,
)
from nesting.model.plan import Movement

ENDS = (Side.LEFT, Side.RIGHT)
PANEL = Joint(kind=JointKind.PANEL, depth=inches("3/8"), sides=tuple(Side))
TENON = Joint(kind=JointKind.TENON, depth=inches("1"), sides=ENDS)
OAK = replace(lumber("2x6", "2x4"), species="oak, red")


def told(
    piece: Part, material: Material, climate: Climate | None = None
) -> tuple[tuple[Movement, ...], tuple[str, ...]]:
    """Return what moves, with the usual build."""
    (need,) = needs(piece, material)
    chosen = replace(need, builds=need.builds[:1])
    return movements([piece], [material], [chosen], climate or Climate(), SHOP)


def test_a_top_by_hand() -> None:
    """24 in of red oak, 0.00369 x (11.96 - 6.17 %) = 0.513 in (Wood Handbook)."""
    (moving,), said = told(part("30 x 24 x 1"), OAK)
    assert moving.species == "oak, red"
    assert moving.change / inches("1") == pytest.approx(0.513, abs=0.002)
    assert any("buttons, slotted holes" in text for text in said)


def test_strips_on_edge_move_less() -> None:
    """Their faces are quartersawn: 0.00158 instead of 0.00369."""
    flat, _ = told(part("30 x 14 x 1"), OAK)
    asked = part("30 x 14 x 3", wish=Wish(kind=BuildKind.ON_EDGE))
    on_edge, _ = told(asked, OAK)
    assert on_edge[0].change / flat[0].change == pytest.approx(158 / 369, abs=0.001)


def test_an_unknown_species_moves_like_southern_pine() -> None:
    """0.00265, flatsawn (an extension service): 24 x 0.00265 x 5.79 = 0.368 in."""
    (moving,), _ = told(part("30 x 24 x 1"), lumber("2x6"))
    assert moving.species == "southern pine"
    assert moving.change / inches("1") == pytest.approx(0.368, abs=0.002)


@pytest.mark.parametrize(("width", "is_tight"), [("12", False), ("20", True)])
def test_a_groove_with_too_little_room(width: str, is_tight: bool) -> None:
    """From 8 % to 11.96 %: 12 1/2 in of red oak swell 0.18 in, 20 1/2 swell 0.30.

    The grooves leave 1/8 on each side (teaching practice), 1/4 in all.
    """
    _, said = told(part(f"30 x {width} x 1", joints=(PANEL,)), OAK)
    assert any("make it narrower or of plywood" in text for text in said) is is_tight


@pytest.mark.parametrize(("depth", "is_shallow"), [("3/8", False), ("5/32", True)])
def test_a_panel_that_comes_out_of_its_groove(depth: str, is_shallow: bool) -> None:
    """20 in of red oak shrink 0.13 in from 8 to 6.17 %; 1/32 of depth is too little."""
    joint = replace(PANEL, depth=inches(depth))
    _, said = told(part("30 x 20 x 1", joints=(joint,)), OAK)
    assert any("make them deeper" in text for text in said) is is_shallow


def test_an_end_that_is_held_over_its_whole_width() -> None:
    """A tenon on the end of a glued-up top does not move with it."""
    _, said = told(part("30 x 24 x 1", joints=(TENON,)), OAK)
    assert any("glue the middle only" in text for text in said)


@pytest.mark.parametrize(
    ("piece", "material"),
    [
        (part("30 x 3 x 1"), OAK),  # too narrow to mind
        (part("30 x 3 x 1", joints=(TENON,)), OAK),
        (part("30 x 12", material="ply", joints=(PANEL,)), sheet()),  # plywood
    ],
)
def test_what_does_not_move_is_not_told(piece: Part, material: Material) -> None:
    """Rails, and sheet goods."""
    assert told(piece, material) == ((), ())


def test_a_steady_climate_moves_nothing() -> None:
    """Between 45 and 45 % of humidity."""
    (moving,), _ = told(part("30 x 24 x 1"), OAK, Climate(dry=45, humid=45))
    assert moving.change == 0


def test_lumber_that_is_not_dry() -> None:
    """A 2x6 at 19 % measures 5.367 x 1.470 in at 8 % (FPL-RP-489): 5 3/8- x 1 1/2-."""
    wet = replace(lumber("2x6"), moisture=19)
    _, said = told(part("30 x 5 1/2 x 1 1/2"), wet)
    (text,) = said
    assert "1 1/2- x 5 3/8- at 8 %" in text
    dry = replace(lumber("2x6"), moisture=8)
    assert told(part("30 x 5 1/2 x 1 1/2"), dry) == ((), ())
