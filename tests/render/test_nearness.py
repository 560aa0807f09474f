"""Tests of the words on how near the best a plan is."""

from dataclasses import replace

import pytest

from nesting.model.plan import Layout, Plan, PlanBound
from nesting.render.nearness import say_nearness
from nesting.render.wording import read_wording


def bound(objective: str, value: int, floor: int, *, proven: bool = False) -> PlanBound:
    """Return a bound on the birch of the bench."""
    return PlanBound(
        scope=("birch ply",),
        objective=objective,
        value=value,
        lower_bound=floor,
        proven=proven,
        basis="areas",
    )


def said(plan: Plan, a_bound: PlanBound) -> str:
    """Return the sentence for a bound."""
    return say_nearness(a_bound, plan, read_wording(plan))


def grown(plan: Plan, count: int) -> Plan:
    """Return the plan with many more sheets of birch."""
    sheet = next(lay for lay in plan.layouts if lay.material == "birch ply")
    more: tuple[Layout, ...] = tuple(
        replace(sheet, id=f"extra-{number}") for number in range(count)
    )
    return replace(plan, layouts=(*plan.layouts, *more))


def test_a_proved_plan_is_said_to_be_proved(bench: Plan) -> None:
    """A proof is claimed only where the plan carries one."""
    claim = bound("cost", 24800, 24800, proven=True)
    proved = said(bench, replace(claim, certificate={"scale": 1}))
    assert proved == ("birch ply: proved and re-checked, no plan is cheaper (areas).")
    searched = said(bench, replace(claim, basis="search: every layout"))
    assert searched == (
        "birch ply: proved by search: every layout; not re-checked; no plan is cheaper."
    )
    free = bound("cost", 0, 0, proven=True)
    bought = said(bench, replace(free, basis="nothing has to be bought"))
    assert bought == "birch ply: no plan is cheaper: nothing has to be bought."
    open_ = said(bench, bound("cost", 24800, 24800))
    assert "proved" not in open_
    assert "not re-checked" in open_


def test_a_small_job_is_not_made_to_look_bad(bench: Plan) -> None:
    """With four sheets a gap of one is said without a percentage, and softened."""
    words = said(bench, bound("count", 4, 3))
    assert "at most 1 sheet above the best there can be" in words
    assert "no plan needs fewer than 3, this one takes 4" in words
    assert "perhaps none" in words
    assert "%" not in words


def test_a_large_job_shows_the_gap_in_percent(bench: Plan) -> None:
    """With many sheets the gap is given in sheets and in percent: 2 of 50 are 4 %."""
    words = said(grown(bench, 50), bound("count", 52, 50))
    assert "at most 2 sheets (4.0 %) above the best there can be" in words
    assert "perhaps none" not in words


@pytest.mark.parametrize(
    ("value", "floor", "share"),
    [(1001, 1000, "0.1 %"), (10001, 10000, "0.1 %"), (1200, 1000, "20 %")],
)
def test_a_gap_is_rounded_up(bench: Plan, value: int, floor: int, share: str) -> None:
    """A gap is never shown smaller than it is."""
    assert f"({share})" in said(grown(bench, 50), bound("cost", value, floor))


def test_a_gap_below_one_sheet_says_so(bench: Plan) -> None:
    """A gap in money below the price of a sheet leaves room for one sheet at most."""
    words = said(bench, bound("cost", 24800, 20000))
    assert "at most $48.00 above" in words
    assert "one piece of stock less, if that" in words
    words = said(bench, bound("cost", 24800, 10000))
    assert "one piece of stock less" not in words
