"""Bounds on boards carry a proof that the checker does again, and spoilt ones fail."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import Any

import pytest

from nesting.model.job import Job
from nesting.model.plan import Plan, PlanBound
from nesting.model.problem import Budget
from nesting.pipeline import plan_job
from nesting.verify import verify
from nesting.verify.certificate import check_certificate

EIGHTH = 40_640 // 8


def large(job: Job, seed: int) -> Job:
    """Return a job of 45 parts of the same lumber; of odd seeds some are resawn."""
    rng = Random(f"certificates {seed}")
    parts = []
    for number in range(45):
        is_thin = seed % 2 == 1 and number % 3 == 0
        parts.append(
            replace(
                job.parts[0],
                name=f"part {number}",
                length=rng.randint(12 * 8, 46 * 8) * EIGHTH,
                width=rng.randint(12, 40) * EIGHTH,
                thickness=4 * EIGHTH if is_thin else 12 * EIGHTH,
                quantity=rng.choice((1, 1, 2)),
            )
        )
    return replace(job, parts=tuple(parts))


@pytest.fixture(scope="module")
def plan(board_job: Callable[[int], Job]) -> Plan:
    """A plan with resawn parts."""
    return plan_job(large(board_job(1), 1), budget=Budget(work=1_500))


def refusals(plan: Plan, bound: PlanBound) -> list[str]:
    """Return why a bound's certificate proves nothing."""
    return [str(each) for each in check_certificate(plan, bound, "it")]


@pytest.mark.parametrize("seed", range(4))
def test_bounds_on_boards_are_proved_again(
    seed: int, board_job: Callable[[int], Job]
) -> None:
    """Of jobs too large for a search of everything, whether or not some are resawn."""
    plan = plan_job(large(board_job(seed), seed), budget=Budget(work=1_500))
    (bound,) = plan.bounds
    assert bound.certificate is not None
    assert bound.certificate["pricing"]["kind"] == "rip-crosscut"
    assert verify(plan) == ()


def spoilt(plan: Plan, change: Callable[[dict[str, Any]], None]) -> list[str]:
    """Return what the checker says of a changed certificate."""
    (bound,) = plan.bounds
    assert bound.certificate is not None
    held = {
        **bound.certificate,
        "vectors": [dict(row) for row in bound.certificate["vectors"]],
        "values": [dict(row) for row in bound.certificate["values"]],
        "pricing": dict(bound.certificate["pricing"]),
    }
    change(held)
    return refusals(plan, replace(bound, certificate=held))


def test_a_spoilt_certificate_is_refused(plan: Plan) -> None:
    """A value too low, a part that weighs more, a wide kerf, a coarse grid, no tree."""
    assert spoilt(plan, lambda held: None) == []

    def lower(held: dict[str, Any]) -> None:
        row = held["values"][0]
        name = max(row, key=row.__getitem__)
        row[name] -= 1

    def heavier(held: dict[str, Any]) -> None:
        row = held["vectors"][0]
        row.update({name: weight * 2 for name, weight in row.items()})

    def wide_kerf(held: dict[str, Any]) -> None:
        held["pricing"]["kerf"] = [40_640, 40_640]

    def coarse(held: dict[str, Any]) -> None:
        held["pricing"]["grid"] = [[1, 10**9], [1, 10**9]]

    for change in (lower, heavier, wide_kerf, coarse, lambda held: held.pop("tree")):
        assert len(spoilt(plan, change)) == 1


def test_it_rests_on_what_the_shop_says(plan: Plan) -> None:
    """A thinner kerf, or thinner slices, hold more: it is proved no longer."""
    (bound,) = plan.bounds
    thin = tuple(replace(saw, kerf=0) for saw in plan.shop.saws)
    shop = replace(plan.shop, saws=thin)
    (said,) = refusals(replace(plan, shop=shop), bound)
    assert "a saw may cut 0" in said
    sliver = tuple(
        blank if blank.slice is None else replace(blank, slice=blank.slice // 4)
        for blank in plan.blanks
    )
    assert refusals(replace(plan, blanks=sliver), bound)
