"""The tea cabinet by hand arithmetic, and every route of it gone through with wood."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from workshop import inches
from workshop.simulate import Shop, simulate

from nesting import Budget, Plan, plan_job, read_job, verify_plan
from nesting.model.mill import BuildKind

SAMPLE = Path(__file__).parents[2] / "samples" / "tea-cabinet"
MACHINES = Shop(
    jointer_width=inches("6"),
    jointer_shortest=inches("12"),
    planer_width=inches("12 1/2"),
    planer_shortest=inches("14"),
    planer_thinnest=inches("1/4"),
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The plan with a little work."""
    return plan_job(read_job(SAMPLE), budget=Budget(work=20_000))


def blanks(plan: Plan, part: str) -> list[tuple[int, str, str, str]]:
    """Return quantity and size of a part's blanks, the largest first."""

    def words(size: int) -> str:
        whole, rest = divmod(size, inches("1"))
        return f"{whole} {rest * 32 // inches('1')}/32"

    found = [
        (b.qty, words(b.length), words(b.width), words(b.thickness))
        for b in plan.blanks
        if part in b.parts
    ]
    return sorted(found, key=lambda row: row[1:], reverse=True)


@pytest.mark.parametrize(
    ("part", "rough"),
    [
        # 30 3/4 + 1; 2 1/4 + 1/4 + 1/8; a 2x as it is
        ("leg", [(8, "31 24/32", "2 20/32", "1 16/32")]),
        # 25 1/2 + two tenons of 1 + 1; 1 3/4 + 1/4
        ("front rail", [(2, "28 16/32", "2 0/32", "1 0/32")]),
        # 11 1/2 + 2 + 1; 2 1/2 + 1/4
        ("side rail", [(4, "14 16/32", "2 24/32", "1 0/32")]),
        # two of 12 overall, a kerf and 1; 4 1/2 + 1/4
        ("drawer side", [(1, "25 4/32", "4 24/32", "0 16/32")]),
        # fitted: 25 3/8 + 1, 4 1/2 + 1/4, not planed
        ("drawer front", [(1, "26 12/32", "4 24/32", "0 24/32")]),
        # 24 1/2 + 2 x (1/4 - 1/16); 11 3/4 + 3/16: the back edge is open
        ("drawer bottom", [(1, "24 28/32", "11 30/32", "0 6/32")]),
        # eight of 2 1/4 + 3/8, seven kerfs, and 1; 1 1/4 + 1/4
        ("button", [(1, "22 28/32", "1 16/32", "0 20/32")]),
        ("shelf bearer", [(2, "11 8/32", "1 0/32", "0 24/32")]),
    ],
)
def test_blanks_by_hand(
    plan: Plan, part: str, rough: list[tuple[int, str, str, str]]
) -> None:
    """Finished sizes are read off the drawing, allowances off the page of figures."""
    assert blanks(plan, part) == rough


def test_the_shelf_is_smaller_by_its_edging(plan: Plan) -> None:
    """25 1/2 x 15 less 3/4 on three sides; strips 1 in long and 1/16 proud."""
    panel, *strips = sorted(
        blanks(plan, "shelf"), key=lambda b: float(b[2].split()[0]), reverse=True
    )
    assert panel == (1, "24 0/32", "14 8/32", "0 15/32")
    assert Counter({(s[1], s[0]) for s in strips}) == Counter(
        {("26 16/32", 1), ("16 0/32", 2)}
    )
    assert {frozenset(s[2:]) for s in strips} == {frozenset(("0 18/32", "0 24/32"))}


@pytest.mark.parametrize(
    ("part", "wide", "most"),
    [
        # 19 + 1/4, and 1/8 for the seam between two sections
        ("top", "19 3/8", "6"),
        # 11 1/2 + 2 x (3/8 - 1/8) = 12, + 1/4 and 1/8
        ("side panel", "12 3/8", "6"),
    ],
)
def test_strips_add_up(plan: Plan, part: str, wide: str, most: str) -> None:
    """Whichever widths were chosen: each loses a rounded edge and two jointings."""
    (need,) = (n for n in plan.needs if n.part == part)
    build = next(b for b in need.builds if b.id == need.chosen)
    assert build.kind == BuildKind.EDGE_GLUED
    widths = {b.id: b.width for b in plan.blanks}
    count = sum(take.count for take in build.takes)
    total = sum(take.count * widths[take.blank] for take in build.takes)
    assert total >= inches(wide) + count * inches("1/4")
    assert all(widths[take.blank] <= inches(most) for take in build.takes)


def test_every_route_leads_to_its_part(plan: Plan) -> None:
    """Step by step, by a simulator that knows nothing of milling."""
    assert len(plan.routes) >= 9
    needs = {need.id: need for need in plan.needs}
    for route in plan.routes:
        ended = simulate(route, MACHINES)
        assert len(ended.boxes) == needs[route.need].copies
        left = sum(a * b * c for a, b, c in ended.boxes)
        assert ended.began == left + sum(ended.lost.values())
        assert all(wood >= 0 for wood in ended.lost.values())


def test_every_build_is_there(plan: Plan) -> None:
    """Plies, strips, slices, gangs and edging, in one piece of furniture."""
    chosen = {
        build.kind
        for need in plan.needs
        for build in need.builds
        if build.id == need.chosen
    }
    assert {
        BuildKind.AS_BOUGHT,
        BuildKind.ONE_PIECE,
        BuildKind.RESAWN,
        BuildKind.LAMINATED,
        BuildKind.EDGE_GLUED,
    } <= chosen
    assert any(need.copies == 8 for need in plan.needs)
    assert any(blank.role == "edging" for blank in plan.blanks)


def test_parts_through_the_planer_at_one_thickness_are_on_one_day(plan: Plan) -> None:
    """Rails of both kinds are planed to 1 in on the first day."""
    days = {
        (done.of, done.day)
        for route in plan.routes
        for done in route.operations
        if done.what == "plane" and done.setting == inches("1")
    }
    assert {("front rail", 1), ("back rail", 1), ("side rail", 1)} <= days


def test_the_top_moves_with_the_seasons(plan: Plan) -> None:
    """19 in of eastern white pine, 0.00212 x (12.0 - 6.2 %): 0.233 in."""
    (top,) = (m for m in plan.movements if m.part == "top")
    assert top.species == "pine, eastern white"
    assert abs(top.change / inches("1") - 0.233) < 0.002


def test_the_plan_is_sound(plan: Plan) -> None:
    """The checker goes through the routes by itself."""
    assert verify_plan(plan) == ()
