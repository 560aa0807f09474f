"""Whole jobs of crooked lumber: planned, checked, and never cheaper than straight."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from nesting.model.job import Job
from nesting.model.plan import Layout, Plan
from nesting.model.problem import Budget
from nesting.model.stock import Zone
from nesting.pipeline import plan_job
from nesting.verify import verify

INCH = 40_640


def crooked(job: Job, crook: int, seed: int = 0) -> Job:
    """Return a job of crooked lumber; with a seed knotty, round, some parts square."""
    rng = Random(f"crook {seed}")
    (pine,) = job.materials
    stock = []
    for each in pine.stock:
        x = rng.randint(0, each.length - 4 * INCH)
        y = rng.randint(0, each.width - INCH)
        knot = Zone(x=x, y=y, length=2 * INCH, width=INCH)
        zones = (knot,) if seed and rng.random() < 0.4 else ()
        eased = INCH // 8 if seed else 0
        stock.append(replace(each, crook=crook, zones=zones, eased=eased))
    parts = tuple(
        replace(
            part,
            width=min(part.width or 0, 6 * INCH),
            square_edges=seed > 0 and rng.random() < 0.4,
        )
        for part in job.parts
    )
    return replace(job, materials=(replace(pine, stock=tuple(stock)),), parts=parts)


def planned(job: Job) -> Plan:
    return plan_job(job, budget=Budget(work=200), leave_out=True)


@pytest.mark.parametrize("seed", range(5))
def test_a_job_of_crooked_lumber_is_planned_soundly(
    seed: int, board_job: Callable[[int], Job]
) -> None:
    """The checker lets it pass; straight boards that are proved least cost no more."""
    job = board_job(seed)
    straight = planned(crooked(job, 0))
    for crook in (INCH // 4, INCH):
        plan = planned(crooked(job, crook))
        assert not plan.unplaced
        if straight.bounds[0].proven:
            assert plan.bounds[0].value >= straight.bounds[0].value


@pytest.mark.parametrize("seed", range(1, 6))
def test_knots_and_rounded_edges_are_minded_too(
    seed: int, board_job: Callable[[int], Job]
) -> None:
    """Crooked, knotty and rounded boards: sound."""
    plan = planned(crooked(board_job(seed), INCH // 4, seed))
    assert {each.crook for each in plan.offers} == {INCH // 4}


def test_a_part_in_the_crook_is_noticed(board_job: Callable[[int], Job]) -> None:
    """The plan of straight boards is none for crooked ones."""
    plan = planned(crooked(board_job(0), 0))
    assert any(_ripped_at_the_edge(layout) for layout in plan.layouts)
    offers = tuple(replace(each, crook=INCH) for each in plan.offers)
    assert {fault.rule for fault in verify(replace(plan, offers=offers))} == {"crook"}


def _ripped_at_the_edge(layout: Layout) -> bool:
    return any(
        piece.fate == "part" and piece.y == 0 and piece.width < layout.stock.width
        for piece in layout.pieces
    )
