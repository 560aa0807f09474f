"""Joints make a part longer or wider before any rough allowance."""

from __future__ import annotations

import pytest
from workshop import inches, lumber, needs, part, rough, sheet

from nesting.milling.joints import addition, between_and_overall, grown, on_sides
from nesting.model.mill import Allowances, Joint, JointKind, Side
from nesting.units import Display, Unit

ENDS = (Side.LEFT, Side.RIGHT)
EDGES = (Side.FRONT, Side.BACK)
ALL = (*ENDS, *EDGES)


def joint(kind: JointKind, depth: str, sides: tuple[Side, ...] = ENDS) -> Joint:
    """Return a joint."""
    return Joint(kind=kind, depth=inches(depth), sides=sides)


@pytest.mark.parametrize(
    ("made", "is_sheet", "length", "width"),
    [
        (joint(JointKind.TENON, "1"), False, "2", "0"),
        (joint(JointKind.TENON, "1 1/4", (Side.LEFT,)), False, "1 1/4", "0"),
        # left 1/8 long, to be trimmed flush (teaching practice)
        (joint(JointKind.THROUGH_TENON, "2 1/2"), False, "5 1/4", "0"),
        (joint(JointKind.TONGUE, "1/4", EDGES), False, "0", "1/2"),
        (joint(JointKind.LAP, "3/8", (Side.FRONT,)), False, "0", "3/8"),
        (joint(JointKind.HORN, "3/4"), False, "1 1/2", "0"),
        # groove 3/8 deep, 1/8 free on each side of a solid panel (teaching practice)
        (joint(JointKind.PANEL, "3/8", ALL), False, "1/2", "1/2"),
        # and 1/16 for plywood, which does not move
        (joint(JointKind.PANEL, "3/8", ALL), True, "5/8", "5/8"),
        # a groove no deeper than its gap adds nothing, and takes nothing away
        (joint(JointKind.PANEL, "1/16", ALL), False, "0", "0"),
    ],
)
def test_what_a_joint_adds(
    made: Joint, is_sheet: bool, length: str, width: str
) -> None:
    """By hand: its depth on each of its sides, less the gap of a panel."""
    piece = part("20 x 4 x 1", joints=(made,))
    added = grown(piece, Allowances(), is_sheet=is_sheet)
    zero = [0 if each == "0" else inches(each) for each in (length, width)]
    assert added == tuple(zero)


def test_joints_come_before_rough_allowances() -> None:
    """A rail 20 between with 1 in tenons is 22 overall and 23 rough (Griffith)."""
    piece = part("20 x 2 1/2 x 1", joints=(joint(JointKind.TENON, "1"),))
    (need,) = needs(piece, lumber("2x4"))
    assert rough(need) == [("23", "2 3/4", "1", 1)]


def test_overall_sizes_have_their_joints_in_them() -> None:
    """A rail 22 overall is the same rail."""
    piece = part(
        "22 x 2 1/2 x 1", joints=(joint(JointKind.TENON, "1"),), is_overall=True
    )
    (need,) = needs(piece, lumber("2x4"))
    assert rough(need) == [("23", "2 3/4", "1", 1)]


def test_a_plywood_panel_grows_into_its_grooves() -> None:
    """Opening 12 x 10, groove 3/8, 1/16 free all round: 12 5/8 x 10 5/8, no more."""
    piece = part(
        "12 x 10", material="ply", joints=(joint(JointKind.PANEL, "3/8", ALL),)
    )
    (need,) = needs(piece, sheet())
    assert [sizes[:2] for sizes in rough(need)] == [("12 5/8", "10 5/8")]


def test_both_sizes_are_told() -> None:
    """What is between shoulders is measured at the work, the overall is cut."""
    piece = part("35 1/2 x 3 x 1", joints=(joint(JointKind.TENON, "1"),))
    added = grown(piece, Allowances(), is_sheet=False)
    said = between_and_overall(piece, added, Display(unit=Unit.INCH))
    assert said == "35 1/2 long between, 37 1/2 overall"


def test_sides_in_words() -> None:
    """Pairs are told as pairs."""
    assert on_sides(ENDS) == "both ends"
    assert on_sides((Side.FRONT,)) == "front edge"
    assert on_sides((Side.LEFT, *EDGES)) == "left end and both edges"
    assert on_sides(ALL) == "all round"


def test_a_joint_of_no_depth_is_none() -> None:
    """Nor is one on no side."""
    with pytest.raises(ValueError, match="depth and sides"):
        Joint(kind=JointKind.TENON, depth=0, sides=ENDS)
    with pytest.raises(ValueError, match="depth and sides"):
        Joint(kind=JointKind.TENON, depth=1, sides=())


def test_addition_is_for_one_side() -> None:
    """A through tenon stands out on its own end only."""
    made = joint(JointKind.THROUGH_TENON, "2")
    assert addition(made, Allowances(), is_sheet=False) == inches("2 1/8")
