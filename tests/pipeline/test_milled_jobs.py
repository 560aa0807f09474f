"""Jobs of milled parts, drawn from a seed: planned, sound, and made of wood."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Final

import pytest
from workshop import inches
from workshop.simulate import Shop, simulate

from nesting import read_job
from nesting.errors import InputError
from nesting.milling import offer
from nesting.model.job import Job, Part
from nesting.model.mill import (
    BuildKind,
    Corner,
    Edging,
    Joint,
    JointKind,
    Side,
    Wish,
)
from nesting.model.problem import Budget
from nesting.model.terms import Grain
from nesting.pipeline import plan_job
from nesting.pipeline.shop_record import mill_of
from nesting.verify import verify

SAMPLE = Path(__file__).parents[2] / "samples" / "tea-cabinet"
SIXTEENTH: Final = inches("1/16")
MACHINES = Shop(
    jointer_width=inches("6"),
    jointer_shortest=inches("12"),
    planer_width=inches("12 1/2"),
    planer_shortest=inches("14"),
    planer_thinnest=inches("1/4"),
)
_COUNTED = (
    BuildKind.RESAWN,
    BuildKind.LAMINATED,
    BuildKind.EDGE_GLUED,
    BuildKind.ON_EDGE,
)


def drawn_part(rng: Random, name: str) -> Part:
    """Return a part of lumber or sheet with whatever joints, build and edging."""
    material = rng.choice(["pine", "pine", "pine", "ply", "thin"])
    is_sheet = material != "pine"
    joints = tuple(
        Joint(
            kind=rng.choice(list(JointKind)),
            depth=rng.randint(2, 24) * SIXTEENTH,
            sides=tuple(rng.sample(list(Side), rng.randint(1, 4))),
        )
        for _ in range(rng.choice((0, 0, 1, 2)))
    )
    edging = None
    if material == "ply" and rng.random() < 0.5:
        edging = Edging(
            material="pine",
            thickness=rng.choice((4, 8, 12, 16, 24)) * SIXTEENTH,
            sides=tuple(rng.sample(list(Side), rng.randint(1, 4))),
            corner=rng.choice(list(Corner)),
        )
    wish = None
    if not is_sheet and rng.random() < 0.5:
        kind = rng.choice(list(BuildKind))
        count = rng.choice((None, None, 2, 3, 4)) if kind in _COUNTED else None
        wish = Wish(kind=kind, count=count)
    thick = rng.choice((4, 6, 8, 10, 12, 16, 18, 20, 24, 30, 36, 48))
    wide = rng.choice((rng.randint(12, 96), rng.randint(12, 350)))
    return Part(
        name=name,
        quantity=rng.choice((1, 1, 2, 3, 8)),
        material=material,
        length=rng.randint(32, 700) * SIXTEENTH,
        width=wide * SIXTEENTH,
        thickness=None if is_sheet else thick * SIXTEENTH,
        grain=rng.choice(list(Grain)) if is_sheet else Grain.LENGTH,
        joints=joints,
        is_overall=bool(joints) and rng.random() < 0.2,
        edging=edging,
        wish=wish,
        is_fitted=rng.random() < 0.15,
    )


def drawn_job(seed: int) -> Job:
    """Return a job of the tea cabinet's shop; what it refuses by itself is left out."""
    rng = Random(f"milled {seed}")
    job = replace(read_job(SAMPLE), hardware=())
    parts = []
    while len(parts) < 6:
        part = drawn_part(rng, f"part {len(parts)}")
        try:
            offer([part], job.materials, mill_of(job))
        except InputError:
            continue
        parts.append(part)
    return replace(job, parts=tuple(parts))


@pytest.mark.parametrize("seed", range(16))
def test_a_milled_job_is_planned_and_every_route_can_be_gone(seed: int) -> None:
    """The checker finds nothing, and boxes of wood come out as the parts."""
    job = drawn_job(seed)
    plan = plan_job(job, budget=Budget(work=400), leave_out=True)
    assert verify(plan) == ()
    needs = {need.id: need for need in plan.needs}
    parts = {part.name: part for part in job.parts}
    kinds = {blank.id: blank.grain for blank in plan.blanks}
    for route in plan.routes:
        part = parts[route.part]
        is_turned = part.grain is Grain.WIDTH and kinds.get(part.name) == "length"
        ended = simulate(route, MACHINES, is_turned=is_turned)
        assert len(ended.boxes) == needs[route.need].copies
        left = sum(a * b * c for a, b, c in ended.boxes)
        assert ended.began == left + sum(ended.lost.values())
        assert all(wood >= 0 for wood in ended.lost.values())
