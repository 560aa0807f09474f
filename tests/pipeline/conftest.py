"""Small jobs of lumber that is ripped and resawn, drawn from a seed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import Final

import pytest

from nesting.model.job import Job, Material, MaterialKind, Part, Section
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Guide, Plane
from nesting.trade.lumber import nominal_section
from nesting.units import Display, Unit

INCH: Final = Unit.INCH.ticks
ENDS: Final = Edges(low_x=INCH // 2, high_x=INCH // 2)
"""What comes off each end of a board."""
SHOP: Final = Shop(
    saws=(
        Saw(
            name="chop",
            kind="miter saw",
            kerf=INCH // 8,
            planes=(Plane.CROSSCUT,),
            crosscut_guide=Guide.STOP,
        ),
        Saw(
            name="table",
            kind="table saw",
            kerf=INCH // 8,
            planes=(Plane.CROSSCUT, Plane.RIP),
            rip_guide=Guide.FENCE,
            crosscut_guide=Guide.STOP,
        ),
        Saw(
            name="band",
            kind="band saw",
            kerf=INCH // 16,
            planes=(Plane.RESAW,),
            rip_guide=Guide.FENCE,
            tallest=6 * INCH,
        ),
    ),
    longest_rough=72 * INCH,
)


def _board_job(seed: int) -> Job:
    """Draw a job of 8 to 14 parts from 2x4, 2x6 and 2x8."""
    rng = Random(seed)
    sections = tuple(
        Section(name=name, thickness=s.thickness, width=s.width)
        for name, s in ((n, nominal_section(n)) for n in ("2x4", "2x6", "2x8"))
    )
    stock = tuple(
        Stock(
            id=f"{s.name} x {feet}",
            material="pine",
            section=s.name,
            form=Form.STICK,
            length=feet * 12 * INCH,
            width=s.width,
            thickness=s.thickness,
            trim=ENDS,
            price_cents=feet * s.width // INCH * rng.randint(9, 12),
        )
        for s in sections
        for feet in (8, 12)
    )
    parts = tuple(
        Part(
            name=f"part {number}",
            quantity=rng.choice((1, 1, 2)),
            material="pine",
            length=rng.randint(12 * 8, 50 * 8) * INCH // 8,
            width=rng.randint(10, 56) * INCH // 8,
            thickness=rng.choice((3 * INCH // 2, 3 * INCH // 2, INCH // 2)),
        )
        for number in range(rng.randint(6, 9))
    )
    material = Material(
        name="pine", kind=MaterialKind.LUMBER, sections=sections, stock=stock
    )
    return Job(
        name=f"drawn {seed}",
        display=Display(unit=Unit.INCH),
        currency="$",
        # Without a jointer and a planer, nothing is too wide to be cut in one piece.
        shop=replace(SHOP, jointer=None, planer=None),
        materials=(material,),
        parts=parts,
    )


@pytest.fixture(scope="session")
def board_job() -> Callable[[int], Job]:
    """Return what draws a job of lumber that is ripped and resawn, from a seed."""
    return _board_job
