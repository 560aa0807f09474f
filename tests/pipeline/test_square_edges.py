"""Whole jobs with square edges: planned, checked, and bounded by what is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from nesting.model.job import Job
from nesting.model.problem import Budget
from nesting.model.stock import Zone
from nesting.pipeline import plan_job
from nesting.verify.certificate import check_certificate

INCH = 40_640
EASED = INCH // 8


def asking(job: Job, share: float, seed: int) -> Job:
    """Return a job of rounded lumber; so many of its parts are to have square edges."""
    rng = Random(f"edges {seed}")
    (pine,) = job.materials
    pine = replace(
        pine,
        sections=tuple(replace(each, eased=EASED) for each in pine.sections),
        stock=tuple(replace(each, eased=EASED) for each in pine.stock),
    )
    parts = tuple(
        replace(
            part,
            width=min(part.width or 0, 7 * INCH - 1),  # of a 2x8 are left 7 in
            square_edges=rng.random() < share,
        )
        for part in job.parts
    )
    return replace(job, materials=(pine,), parts=parts)


@pytest.mark.parametrize("share", [0.5, 1.0])
@pytest.mark.parametrize("seed", range(4))
def test_a_job_with_square_edges_is_planned_soundly(
    seed: int, share: float, board_job: Callable[[int], Job]
) -> None:
    """The checker lets it pass, it costs no less than without, and nothing is out."""
    job = board_job(seed)
    least = plan_job(asking(job, 0.0, seed), budget=Budget(work=200))
    plan = plan_job(asking(job, share, seed), budget=Budget(work=200))
    assert not plan.unplaced
    if least.bounds[0].proven:
        assert plan.bounds[0].value >= least.bounds[0].value
    asks = {blank.id for blank in plan.blanks if blank.square_edges}
    assert asks
    for layout in plan.layouts:
        for piece in layout.pieces:
            if piece.blank in asks:
                assert piece.y >= EASED
                assert piece.y + piece.width <= layout.stock.width - EASED


@pytest.mark.parametrize("seed", range(6))
def test_boards_with_damage_lose_their_rounded_edges_too(
    seed: int, board_job: Callable[[int], Job]
) -> None:
    """Damage at an edge or inside, cut around by saws of other kerfs: sound."""
    rng = Random(seed)
    job = asking(board_job(seed), 0.6, seed)
    (pine,) = job.materials
    stock = []
    for each in pine.stock:
        at = rng.choice((0, EASED // 2, each.width // 2))
        wide = min(rng.choice((EASED // 3, INCH)), each.width - at)
        x = rng.randint(0, each.length - 4 * INCH)
        zones = (Zone(x=x, y=at, length=3 * INCH, width=wide),)
        stock.append(replace(each, zones=zones if rng.random() < 0.7 else ()))
    table = next(saw for saw in job.shop.saws if saw.name == "table")
    thin = replace(table, kerf=INCH // 16, name="thin")
    job = replace(
        job,
        materials=(replace(pine, stock=tuple(stock)),),
        shop=replace(job.shop, saws=(thin, *job.shop.saws)),
    )
    plan = plan_job(job, budget=Budget(work=200))
    assert not plan.unplaced


def test_a_bound_for_square_edges_alone_is_proved_again(
    board_job: Callable[[int], Job],
) -> None:
    """Boards count without their rounded edges there, and only there."""
    (part, *_) = board_job(0).parts
    # Two of 2 5/8 lie in a 2x6 of 5 1/2, but not in what is left of it, 5 1/4.
    many = replace(
        part,
        quantity=40,
        length=20 * INCH,
        width=21 * INCH // 8,
        thickness=3 * INCH // 2,
        section="2x6",
    )
    job = asking(replace(board_job(0), parts=(many,)), 1.0, 0)
    plan = plan_job(job, budget=Budget(work=400))
    (bound,) = plan.bounds
    assert bound.proven
    assert bound.certificate is not None
    spoilt = replace(
        plan, blanks=tuple(replace(b, square_edges=False) for b in plan.blanks)
    )
    assert list(check_certificate(plan, bound, "it")) == []
    assert list(check_certificate(spoilt, bound, "it"))
