"""Jobs that fit, made by cutting stock up."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from made_jobs.draft import Draft
from made_jobs.kinds import MadeJob, Verdict
from made_jobs.sheets import add_sheets
from made_jobs.sticks import add_sticks
from nesting.model.job import Hardware, Job
from nesting.model.mill import Allowances
from nesting.model.shop import Saw, Shop
from nesting.model.stock import OffcutRule
from nesting.model.terms import Guide, Plane
from nesting.units import TICKS_PER_INCH as INCH
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Display, Unit

MOST_PIECES = 60

KERFS = {
    Unit.MM: [0, 1.6, 2.2, 3, 3.2, 4],
    Unit.INCH: [0, 1 / 16, 3 / 32, 1 / 8, 9 / 64],
}


def fitting_job(seed: int) -> MadeJob:
    """Return a job that fits, because it was made by cutting stock up."""
    rng = Random(f"fits {seed}")
    sheets, lumber = rng.choice(
        [(1, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1), (1, 2)]
    )
    return make(rng, seed, sheets=sheets, lumber=lumber)


def make(
    rng: Random,
    seed: int,
    *,
    sheets: int,
    lumber: int,
    limits: str | None = None,
    narrow: bool = True,
) -> MadeJob:
    unit = rng.choice([Unit.MM, Unit.INCH])
    inch = unit is Unit.INCH
    grid = rng.choice([INCH // 16, INCH // 32, INCH // 64] if inch else [MM, MM // 10])
    shop, rips_sticks = _shop(rng, unit)
    draft = Draft(
        rng=rng,
        unit=unit,
        grid=grid,
        kerf=max(saw.kerf for saw in shop.saws),
        rail=next((s.longest_cut for s in shop.saws if s.longest_cut), None),
        limits=limits or rng.choice(["free", "free", "some", "loose", "all"]),
        priced=rng.random() < 0.7,
        left=rng.randint(1, MOST_PIECES),
        fill=rng.choice([1.0, rng.uniform(0.6, 1.0), rng.uniform(0.6, 1.0)]),
    )
    goods = sheets + lumber
    pieces = draft.left
    for number in range(goods):
        draft.left = max(1, pieces * (number + 1) // goods - pieces * number // goods)
        if number < sheets:
            add_sheets(draft, number)
        else:
            add_sticks(draft, number, narrow=narrow and rips_sticks)
    sheet_names = {m.name for m in draft.materials if not m.sections}
    if rng.random() < 0.4:
        draft.parts = [
            replace(part, priority=rng.randint(1, 9))
            if part.material in sheet_names
            else part
            for part in draft.parts
        ]
    job = Job(
        name=f"made {seed}",
        display=Display(unit=unit, denominator=rng.choice([16, 32, 64])),
        allowances=Allowances.usual(unit),
        currency=rng.choice(["$", "€"]),
        shop=shop,
        materials=tuple(draft.materials),
        parts=tuple(draft.parts),
        hardware=tuple(
            Hardware(
                name=f"screw {n}", quantity=8 * n, price_cents=rng.choice([None, 9])
            )
            for n in range(1, rng.randint(1, 3))
        ),
        offcuts=OffcutRule(
            sheet=((24 * INCH, 6 * INCH), (12 * INCH, 12 * INCH)), stick=24 * INCH
        ),
    )
    count = sum(part.quantity for part in job.parts)
    traits = (
        f"limits {draft.limits}",
        "full" if draft.fill == 1.0 else "part full",
        "sheets and sticks" if sheets and lumber else "sheets" if sheets else "sticks",
        "short rail" if draft.rail else "full reach",
        f"{len(shop.saws)} saws",
        "up to 20 pieces" if count <= 20 else "over 20 pieces",
        "priced" if draft.priced else "without prices",
    )
    special = {
        "runs": any(part.match for part in job.parts),
        "damage": any(s.zones for m in job.materials for s in m.stock),
        "priorities": len({part.priority for part in job.parts}) > 1,
        "a narrowest rip": any(saw.narrowest_rip for saw in shop.saws),
    }
    traits += tuple(f"with {name}" for name, is_so in special.items() if is_so)
    return MadeJob(
        seed=seed,
        verdict=Verdict.FITS,
        job=job,
        used=dict(draft.used),
        traits=traits,
    )


def _shop(rng: Random, unit: Unit) -> tuple[Shop, bool]:
    """Return saws that reach everything, and whether one of them rips sticks."""
    scale = INCH if unit is Unit.INCH else MM
    first, second = (round(kerf * scale) for kerf in rng.choices(KERFS[unit], k=2))
    both = (Plane.RIP, Plane.CROSSCUT)
    table = Saw(
        name="table saw",
        kind="table saw",
        kerf=first,
        planes=both,
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.STOP,
        smallest_piece=12 * INCH,
        narrowest_rip=rng.choice([None, None, 20 * MM]),
    )
    rail = Saw(name="rail saw", kind="track saw", kerf=second, planes=both)
    miter = Saw(
        name="crosscut saw",
        kind="miter saw",
        kerf=second,
        planes=(Plane.CROSSCUT,),
        crosscut_guide=Guide.STOP,
        widest_crosscut=300 * MM,
        smallest_piece=8 * INCH,
    )
    plain = Saw(name="saw", kerf=first, planes=both)
    short_rail = replace(rail, longest_cut=52 * INCH)
    small_table = replace(table, widest_rip=rng.choice([610, 760]) * MM)
    saws, rips = rng.choice(
        [
            ((table,), True),
            ((plain,), False),
            ((rail, table), True),
            ((rail, small_table), True),
            ((small_table, rail), True),
            ((miter, table), True),
            ((miter, rail), False),
            ((short_rail,), False),
            ((short_rail, small_table), True),
        ]
    )
    # A fence that opens only so far rips any stick: sections are far narrower.
    return Shop(saws=saws), rips
