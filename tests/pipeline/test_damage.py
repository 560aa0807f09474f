"""Jobs with damaged sheets from the parts to the plan, with `verify` as the judge."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from nesting.errors import InfeasibleError
from nesting.model.job import Job, Material, MaterialKind, Part
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, OffcutRule, Stock, Zone
from nesting.model.terms import Flow, Form, Grain, Guide, Origin, Plane
from nesting.pipeline import plan_job
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Display, Unit
from nesting.verify import verify

BOTH = (Plane.RIP, Plane.CROSSCUT)
TABLE = Saw(
    name="table",
    kerf=3 * MM,
    planes=BOTH,
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
    widest_rip=760 * MM,
    widest_crosscut=600 * MM,
)
RAIL = Saw(name="rail", kerf=2 * MM, planes=BOTH)


def zone(x: int, y: int, length: int, width: int) -> Zone:
    return Zone(x=x * MM, y=y * MM, length=length * MM, width=width * MM)


def sheet(
    *zones: Zone,
    name: str = "dented",
    size: tuple[int, int] = (2440, 1220),
    price: int = 5000,
    limit: int | None = None,
    trim: int = 0,
    grain: Grain = Grain.LENGTH,
) -> Stock:
    return Stock(
        id=name,
        material="ply",
        form=Form.SHEET,
        length=size[0] * MM,
        width=size[1] * MM,
        thickness=18 * MM,
        grain=grain,
        trim=Edges(
            low_x=trim * MM, high_x=trim * MM, low_y=trim * MM, high_y=trim * MM
        ),
        price_cents=price,
        limit=limit,
        origin=Origin.STORE if price else Origin.RACK,
        zones=zones,
    )


def part(name: str, mm: tuple[int, int], quantity: int, **more: object) -> Part:
    return Part(
        name=name,
        quantity=quantity,
        material="ply",
        length=mm[0] * MM,
        width=mm[1] * MM,
        thickness=None,
        **more,  # type: ignore[arg-type]
    )


def job(parts: list[Part], *stock: Stock, saws: tuple[Saw, ...] = (RAIL, TABLE)) -> Job:
    return Job(
        name="cupboard",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=saws),
        materials=(
            Material(
                name="ply", kind=MaterialKind.SHEET, thickness=18 * MM, stock=stock
            ),
        ),
        parts=tuple(parts),
        offcuts=OffcutRule(sheet=((300 * MM, 300 * MM),)),
    )


def bought(plan: Plan) -> dict[str, int]:
    return {line.stock: line.qty for line in plan.purchases}


def test_what_is_clear_is_used_to_the_tick() -> None:
    """A dent in a corner; the sides on either side of it fill the sheet but for it."""
    plan = plan_job(
        job(
            [part("large", (2240, 1220), 1), part("small", (197, 1020), 1)],
            sheet(zone(0, 0, 200, 200), limit=1),
        ),
        budget=Budget(work=500),
    )
    assert verify(plan) == ()
    assert bought(plan) == {"dented": 1}
    assert plan.bounds[0].proven
    assert plan.layouts[0].stock.zones == plan.offers[0].zones != ()


def test_a_part_that_only_fits_across_the_damage_is_refused() -> None:
    """The reason is the damage, and it is told."""
    with pytest.raises(InfeasibleError) as caught:
        plan_job(
            job([part("top", (1400, 700), 1)], sheet(zone(1100, 500, 200, 200))),
            budget=Budget(work=200),
        )
    assert "no clear part of a sheet" in str(caught.value)


def test_a_sheet_damaged_all_over_is_no_stock() -> None:
    """Nothing is cut from it, alone or beside a whole one."""
    ruined = sheet(zone(0, 0, 2440, 1220))
    with pytest.raises(InfeasibleError, match="no clear part"):
        plan_job(job([part("a", (60, 40), 2)], ruined), budget=Budget(work=20))
    plan = plan_job(
        job([part("a", (60, 40), 2)], ruined, sheet(name="new")), budget=Budget(work=20)
    )
    assert bought(plan) == {"new": 1}


def test_side_rectangles_are_not_taken_for_nothing() -> None:
    """Six parts each of which only fits beside the dent: a sheet for every two.

    By hand: a strip of damage down the middle of a small sheet leaves two halves.
    """
    plan = plan_job(
        job(
            [part("door", (450, 600), 6)],
            sheet(zone(450, 0, 100, 600), size=(1000, 600)),
        ),
        budget=Budget(work=2_000),
    )
    assert verify(plan) == ()
    assert bought(plan) == {"dented": 3}
    assert plan.bounds[0].value == 15_000
    assert plan.bounds[0].lower_bound <= 15_000


def test_an_owned_damaged_sheet_comes_before_a_bought_one() -> None:
    """It costs nothing, and what it holds need not be bought."""
    plan = plan_job(
        job(
            [part("shelf", (800, 300), 6)],
            sheet(zone(900, 0, 60, 60), name="rack", price=0, limit=1),
            sheet(name="new"),
        ),
        budget=Budget(work=2_000),
    )
    assert verify(plan) == ()
    assert bought(plan) == {}
    assert [layout.stock.name for layout in plan.layouts] == ["rack"]


def test_what_is_clear_and_not_used_is_kept() -> None:
    """One small part: the rest of its rectangle and the others are offcuts."""
    plan = plan_job(
        job([part("block", (300, 300), 1)], sheet(zone(1000, 0, 200, 1220), limit=1)),
        budget=Budget(work=500),
    )
    assert verify(plan) == ()
    (layout,) = plan.layouts
    kept = [piece for piece in layout.pieces if piece.fate == "offcut"]
    assert any(piece.x >= 1200 * MM for piece in kept)
    assert any(piece.x < 1000 * MM for piece in kept)


sizes = st.tuples(st.integers(60, 900), st.integers(40, 700))


@st.composite
def zones(draw: st.DrawFn, size: tuple[int, int]) -> Zone:
    x = draw(st.integers(0, size[0] - 20))
    y = draw(st.integers(0, size[1] - 20))
    return zone(
        x,
        y,
        draw(st.integers(5, min(500, size[0] - x))),
        draw(st.integers(5, min(400, size[1] - y))),
    )


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Return a job with a damaged sheet or two, perhaps a run, perhaps whole ones."""
    size = draw(st.sampled_from([(2440, 1220), (1500, 1500)]))
    trim = draw(st.sampled_from([0, 3, 9]))
    grain = draw(st.sampled_from([Grain.LENGTH, Grain.WIDTH]))
    stock = []
    for number in range(draw(st.integers(1, 2))):
        price = draw(st.sampled_from([0, 4000, 6000]))
        stock.append(
            sheet(
                *draw(st.lists(zones(size), min_size=1, max_size=5)),
                name=f"dented {number}",
                size=size,
                price=price,
                limit=draw(st.integers(1, 3) if not price else st.none()),
                trim=trim,
                grain=grain,
            )
        )
    if draw(st.booleans()):
        stock.append(sheet(name="new", size=size, trim=trim, grain=grain))
    parts = [
        part(
            f"p{number}",
            draw(sizes),
            draw(st.integers(1, 3)),
            grain=draw(st.sampled_from([Grain.LENGTH, Grain.ANY])),
            priority=draw(st.sampled_from([1, 5, 9])),
        )
        for number in range(draw(st.integers(1, 5)))
    ]
    if draw(st.booleans()):
        parts.append(
            part("front", (300, 150), 3, match="row", flow=draw(st.sampled_from(Flow)))
        )
    saws = draw(
        st.sampled_from(
            [(RAIL, TABLE), (TABLE, RAIL), (RAIL,), (TABLE,), (replace(RAIL, kerf=0),)]
        )
    )
    return job(parts, *stock, saws=saws)


@settings(max_examples=40)
@given(made=jobs())
def test_every_plan_with_damage_is_sound(made: Job) -> None:
    """Nothing damaged is cut into a part or kept, and nothing false is proven."""
    plan = plan_job(made, budget=Budget(work=60), leave_out=True)
    assert [str(violation) for violation in verify(plan)] == []
    event("some unplaced" if plan.unplaced else "all placed")
    event(f"{sum(bool(each.stock.zones) for each in plan.layouts)} damaged sheets")


@settings(max_examples=10)
@given(made=jobs(), data=st.data())
def test_damage_under_a_part_is_noticed(made: Job, data: st.DataObject) -> None:
    """A zone laid over a part breaks the rule, and no other."""
    plan = plan_job(made, budget=Budget(work=20), leave_out=True)
    used = [lay for lay in plan.layouts if any(p.fate == "part" for p in lay.pieces)]
    if not used:
        return
    layout = data.draw(st.sampled_from(used))
    piece = data.draw(
        st.sampled_from([p for p in layout.pieces if p.fate in ("part", "offcut")])
    )
    dent = replace(plan.offers[0].zones[0], x=piece.x, y=piece.y, length=MM, width=MM)
    spoilt = replace(
        plan,
        layouts=tuple(
            replace(lay, stock=replace(lay.stock, zones=(*lay.stock.zones, dent)))
            if lay.stock.name == layout.stock.name
            else lay
            for lay in plan.layouts
        ),
        offers=tuple(
            replace(offer, zones=(*offer.zones, dent))
            if offer.id == layout.stock.name
            else offer
            for offer in plan.offers
        ),
    )
    assert {violation.rule for violation in verify(spoilt)} == {"zone"}
