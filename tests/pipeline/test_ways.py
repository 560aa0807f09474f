"""The ways to cut a job trade something for something; `verify` is the judge."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from nesting.cli.summary import summary
from nesting.files import read_plan, write_plan
from nesting.files.shop import usual_shop
from nesting.model.job import Job, Material, MaterialKind, Part
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Form, Grain, Prefer
from nesting.pipeline import plan_ways
from nesting.units import TICKS_PER_INCH as INCH
from nesting.units import Display, Unit
from nesting.verify import verify

WORK = Budget(work=60_000)


def ply(price: int = 6_000) -> Material:
    return Material(
        name="ply",
        kind=MaterialKind.SHEET,
        thickness=INCH // 2,
        stock=(
            Stock(
                id="ply 96 x 48",
                material="ply",
                form=Form.SHEET,
                length=96 * INCH,
                width=48 * INCH,
                thickness=INCH // 2,
                price_cents=price,
            ),
        ),
    )


def job(*sizes: tuple[int, int, int], prefer: Prefer = Prefer.OFFCUTS) -> Job:
    """Return parts of plywood, whose grain may run any way: length, width, how many."""
    return Job(
        name="shelves",
        display=Display(unit=Unit.INCH),
        currency="$",
        shop=usual_shop(),
        materials=(ply(),),
        parts=tuple(
            Part(
                name=f"part {n}",
                quantity=count,
                material="ply",
                length=x * INCH,
                width=y * INCH,
                thickness=None,
                grain=Grain.ANY,
            )
            for n, (x, y, count) in enumerate(sizes)
        ),
        offcuts=OffcutRule(sheet=((12 * INCH, 12 * INCH),)),
        prefer=prefer,
    )


CASES = job(
    *((30, 11, 9), (24, 11, 7), (13, 12, 8), (29, 15, 4), (22, 8, 5), (17, 16, 3)),
    *((31, 9, 4), (26, 14, 2), (19, 7, 6)),
)


@pytest.fixture(scope="module")
def ways() -> tuple[Plan, ...]:
    return plan_ways(CASES, budget=WORK)


def test_every_way_is_sound_and_cuts_the_same_blanks(ways: tuple[Plan, ...]) -> None:
    """The checker replays each; each can be written and read."""
    assert len(ways) > 1
    for plan in ways:
        assert not verify(plan)
        assert plan.blanks == ways[0].blanks
        assert not plan.unplaced


def test_each_tells_of_all_and_which_it_is(ways: tuple[Plan, ...]) -> None:
    """What is told of a way is what the plan of that name holds."""
    names = [way.name for way in ways[0].ways]
    assert names[0] == ways[0].way == "cheapest"
    assert {plan.way for plan in ways} == set(names)
    for plan in ways:
        (told,) = (way for way in ways[0].ways if way.name == plan.way)
        assert told.cost_cents == plan.totals.cost_cents
        assert told.layouts == len(plan.layouts)
        assert told.cuts == plan.totals.cuts
        assert plan.order is not None
        assert told.changes == plan.order.changes
        assert told.minutes == plan.minutes
        kept = [
            (piece.length, piece.width)
            for layout in plan.layouts
            for piece in layout.pieces
            if piece.fate == "offcut"
        ]
        largest = max((x * y for x, y in kept), default=0)
        assert told.largest_length * told.largest_width == largest


def test_ways_trade(ways: tuple[Plan, ...]) -> None:
    """What is simpler has fewer changes, and is worse in something else."""
    first, *others = ways[0].ways
    for way in others:
        assert way.changes < first.changes
        assert way.layouts <= first.layouts + 1
        area = way.largest_length * way.largest_width
        room = first.largest_length * first.largest_width
        assert way.cost_cents > first.cost_cents or area < room
        assert way.why
        assert way.name in summary(ways[0])


def test_another_way_can_be_taken(ways: tuple[Plan, ...]) -> None:
    """It comes first then, and has the advice for the store."""
    name = ways[1].way
    taken, *rest = plan_ways(CASES, budget=WORK, take=name)
    assert taken.way == name
    assert replace(taken, advice=ways[1].advice) == ways[1]
    assert [plan.way for plan in rest] == [
        way.name for way in ways[0].ways if way.name != name
    ]


def test_it_repeats(ways: tuple[Plan, ...]) -> None:
    """Counted work, so equal bytes."""
    again = plan_ways(CASES, budget=WORK)
    assert [write_plan(plan) for plan in again] == [write_plan(plan) for plan in ways]


def test_a_way_that_there_is_none_of_is_said() -> None:
    """One part leaves nothing to choose: the cheapest is taken, and says so."""
    (plan,) = plan_ways(job((20, 10, 1)), budget=WORK, take="simplest")
    assert not plan.ways
    assert "no simplest way was found to take" in plan.warnings
    assert not verify(plan)


def test_who_prefers_few_cuts_is_shown_the_largest_offcuts() -> None:
    """There is a way with a larger offcut, or the cheapest has the largest already."""
    plans = plan_ways(replace(CASES, prefer=Prefer.CUTS), budget=WORK)
    first = plans[0].ways[0] if plans[0].ways else None
    for plan in plans[1:]:
        assert not verify(plan)
        if plan.way == "roomiest" and first is not None:
            (told,) = (way for way in plan.ways if way.name == "roomiest")
            room = first.largest_length * first.largest_width
            assert told.largest_length * told.largest_width > room
            assert told.cost_cents <= first.cost_cents


def test_a_search_that_is_over_tells_of_no_other_way() -> None:
    """With no time left nothing is looked for."""
    over = Budget(work=100, deadline=time.monotonic())
    (plan,) = plan_ways(CASES, budget=over, leave_out=True)
    assert not plan.ways


def test_ways_are_in_the_file(ways: tuple[Plan, ...], tmp_path: Path) -> None:
    """Written and read, they are the same."""
    path = tmp_path / "plan.json"
    path.write_text(write_plan(ways[0]), encoding="utf-8")
    assert read_plan(path).ways == ways[0].ways
