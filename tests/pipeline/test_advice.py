"""What to know at the store, on a job that can be worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.job import Job, Material, MaterialKind, Part, Section
from nesting.model.problem import Budget, Problem
from nesting.model.result import Result
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Origin, Plane, StoppedBy
from nesting.pipeline import advice, plan_job
from nesting.solve import solve
from nesting.units import Display, Unit

MM = 1600
SECTION = Section(name="45x95", thickness=45 * MM, width=95 * MM)


def stick(length: int, price: int, **more: object) -> Stock:
    """Return a stick of a length in mm and a price in cents."""
    return Stock(
        id=f"spruce {length}",
        material="spruce",
        section="45x95",
        form=Form.STICK,
        length=length * MM,
        width=95 * MM,
        thickness=45 * MM,
        price_cents=price,
        **more,  # type: ignore[arg-type]
    )


def job(*stock: Stock, spare: int = 0) -> Job:
    """Return four rails of 950 mm from these sticks, without kerf or trim."""
    rail = Part(
        name="rail",
        quantity=4,
        material="spruce",
        length=950 * MM,
        width=None,
        thickness=None,
        section="45x95",
    )
    saw = Saw(name="saw", kerf=0, planes=(Plane.CROSSCUT,), crosscut_guide=Guide.STOP)
    material = Material(
        name="spruce",
        kind=MaterialKind.LUMBER,
        sections=(SECTION,),
        stock=stock,
        spare_percent=spare,
    )
    return Job(
        name="rails",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=(saw,)),
        materials=(material,),
        parts=(rail,),
    )


SHORT, LONG = stick(2000, 700), stick(4000, 1200)
SMALL = Budget(work=2_000)


def test_what_to_take_instead() -> None:
    """One long stick holds all four for 12.00; without it two short ones cost 14.00."""
    plan = plan_job(job(SHORT, LONG), budget=SMALL, advice=True)
    assert [(p.stock, p.qty) for p in plan.purchases] == [("spruce 4000", 1)]
    (other,) = plan.advice.alternatives
    assert other.missing == "spruce 4000"
    assert [(p.stock, p.qty) for p in other.instead] == [("spruce 2000", 2)]
    assert (other.more_cents, other.unplaced) == (200, 0)
    assert plan.advice.rack == ()
    assert plan.advice.spares == ()


def test_nothing_else_does() -> None:
    """There is no other stick: four rails cannot be cut."""
    plan = plan_job(job(LONG), budget=SMALL, advice=True)
    (other,) = plan.advice.alternatives
    assert (other.instead, other.unplaced) == ((), 4)


def test_what_the_rack_saves() -> None:
    """An owned 2 m stick holds two; the other two cost 7.00 instead of 12.00."""
    owned = replace(
        stick(2000, 0),
        id="spruce 2000, A",
        price_cents=None,
        limit=1,
        origin=Origin.RACK,
    )
    plan = plan_job(job(SHORT, LONG, owned), budget=SMALL, advice=True)
    assert plan.totals.stock_cents == 700
    (saving,) = plan.advice.rack
    assert (saving.material, saving.pieces, saving.saved_cents) == ("spruce", 1, 500)


@pytest.mark.parametrize(("percent", "extra"), [(15, 1), (50, 1), (60, 2), (100, 2)])
def test_spares_are_rounded_up_and_in_no_total(percent: int, extra: int) -> None:
    """Two short sticks at 5.00 are cheaper than a long one; a spare costs the same."""
    cheap = replace(SHORT, price_cents=500)
    plan = plan_job(job(cheap, LONG, spare=percent), budget=SMALL, advice=True)
    (spare,) = plan.advice.spares
    assert (spare.stock, spare.qty, spare.cost_cents) == (
        "spruce 2000",
        extra,
        500 * extra,
    )
    assert plan.totals.cost_cents == 1000


def test_no_advice_unless_asked() -> None:
    """It takes time, and most who call plan_job want the plan."""
    plan = plan_job(job(SHORT, LONG), budget=SMALL)
    assert plan.advice.alternatives == ()


def test_the_same_advice_each_time() -> None:
    """By counted work."""
    plans = [plan_job(job(SHORT, LONG), budget=SMALL, advice=True) for _ in range(2)]
    assert plans[0] == plans[1]


def test_what_the_clock_cut_short_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """It would not repeat, and what it leaves out might have found a place."""

    def too_late(problem: Problem, budget: Budget) -> Result:
        return replace(solve(problem, budget), stopped_by=StoppedBy.CLOCK)

    monkeypatch.setattr(advice, "solve", too_late)
    plan = plan_job(job(SHORT, LONG), budget=SMALL, advice=True)
    assert plan.advice.alternatives == ()
