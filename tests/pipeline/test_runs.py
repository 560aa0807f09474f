"""Jobs with match runs from the parts to the plan, with `verify` as the judge."""

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
from nesting.model.stock import Edges, OffcutRule, Stock
from nesting.model.terms import Flow, Form, Grain, Guide, Plane
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


def job(
    *parts: Part,
    saws: tuple[Saw, ...] = (RAIL, TABLE),
    size: tuple[int, int] = (2440, 1220),
    trim: int = 3,
    grain: Grain = Grain.LENGTH,
) -> Job:
    stock = Stock(
        id="sheet",
        material="ply",
        form=Form.SHEET,
        length=size[0] * MM,
        width=size[1] * MM,
        thickness=18 * MM,
        grain=grain,
        trim=Edges(low_x=trim * MM, high_x=trim * MM, low_y=trim * MM, high_y=0),
        price_cents=5000,
    )
    return Job(
        name="chest",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=saws),
        materials=(
            Material(
                name="ply", kind=MaterialKind.SHEET, thickness=18 * MM, stock=(stock,)
            ),
        ),
        parts=parts,
        offcuts=OffcutRule(sheet=((300 * MM, 300 * MM),)),
    )


def lain(plan: Plan, run: int = 0) -> list[tuple[str, int, int]]:
    """The members of a run as they lie: blank, x and y, by place."""
    members = set(plan.runs[run].members)
    return sorted(
        (
            (piece.blank or "", piece.x, piece.y)
            for layout in plan.layouts
            for piece in layout.pieces
            if piece.blank in members
        ),
        key=lambda each: (each[1] + each[2], each),
    )


def test_drawer_fronts_lie_one_above_the_other() -> None:
    """Three fronts of one chest, the smallest first: just a kerf between them."""
    plan = plan_job(
        job(
            part("top front", (800, 140), 1, match="fronts"),
            part("middle front", (800, 190), 1, match="fronts"),
            part("bottom front", (800, 240), 1, match="fronts"),
            part("side", (900, 450), 2),
            saws=(TABLE, RAIL),
        ),
        budget=Budget(work=3_000),
    )
    assert verify(plan) == ()
    assert plan.runs[0].axis == "across"
    names = [name for name, _, _ in lain(plan)]
    fronts = ["top front", "middle front", "bottom front"]
    assert names in (fronts, fronts[::-1])
    assert any("number its pieces 1 to 3" in said for said in plan.warnings)


def test_copies_of_one_part_make_a_run_and_a_part_of_it_missing_is_told() -> None:
    """Two runs: three copies end to end, and two doors of different heights."""
    plan = plan_job(
        job(
            part("front", (400, 200), 3, match="row", flow=Flow.ALONG),
            part("left door", (700, 300), 1, match="doors"),
            part("right door", (650, 300), 1, match="doors"),
        ),
        budget=Budget(work=3_000),
    )
    assert verify(plan) == ()
    assert [run.axis for run in plan.runs] == ["along", "across"]
    layouts = plan.layouts
    moved = replace(
        plan,
        runs=(replace(plan.runs[0], members=("front", "front")), plan.runs[1]),
        layouts=layouts,
    )
    assert {violation.rule for violation in verify(moved)} == {"run"}


def test_more_than_a_kerf_between_two_members_is_noticed() -> None:
    """Called a run without the front between them, the outer ones are none."""
    plan = plan_job(
        job(
            part("left", (500, 300), 1, match="doors"),
            part("middle", (500, 300), 1, match="doors"),
            part("right", (500, 300), 1, match="doors"),
        ),
        budget=Budget(work=500),
    )
    assert verify(plan) == ()
    (run,) = plan.runs
    outer = replace(run, members=("left", "right"))
    (fault,) = verify(replace(plan, runs=(outer,)))
    assert fault.rule == "run"
    assert "not just the kerf" in fault.what


def test_what_only_the_narrow_saw_fits_is_laid_out_with_it() -> None:
    """Two of 499 mm and a kerf of 2 fill a metre; the saw in front takes 4."""
    wide = replace(RAIL, name="wide", kerf=4 * MM)
    plan = plan_job(
        job(
            part("a", (900, 499), 2, match="row"),
            saws=(wide, RAIL),
            size=(900, 1000),
            trim=0,
        ),
        budget=Budget(work=500),
    )
    assert verify(plan) == ()
    assert {cut.saw for layout in plan.layouts for cut in layout.cuts} == {"rail"}


def test_a_run_longer_than_every_sheet_is_refused_with_its_name() -> None:
    """The members by themselves would fit."""
    with pytest.raises(InfeasibleError) as caught:
        plan_job(
            job(part("front", (900, 200), 3, match="long row", flow=Flow.ALONG)),
            budget=Budget(work=500),
        )
    assert "long row" in str(caught.value)
    assert caught.value.parts == ("front",)


sizes = st.tuples(st.integers(80, 700), st.integers(60, 400))


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Return a job with one to three runs and some other parts."""
    parts = []
    for run in range(draw(st.integers(1, 3))):
        flow = draw(st.sampled_from([None, Flow.ALONG, Flow.ACROSS]))
        same = draw(st.booleans())
        size = draw(sizes)
        grain = draw(st.sampled_from(Grain))
        for number in range(draw(st.integers(1, 3))):
            parts.append(
                part(
                    f"run {run} {number}",
                    size if same else draw(sizes),
                    draw(st.integers(1, 2)) + (number == 0),
                    match=f"run {run}",
                    flow=flow if number == 0 else None,
                    grain=grain,
                )
            )
    for number in range(draw(st.integers(0, 3))):
        parts.append(part(f"p{number}", draw(sizes), draw(st.integers(1, 3))))
    saws = draw(
        st.sampled_from(
            [(RAIL, TABLE), (TABLE, RAIL), (RAIL,), (TABLE,), (replace(TABLE, kerf=0),)]
        )
    )
    return job(
        *parts,
        saws=saws,
        size=draw(st.sampled_from([(2440, 1220), (1500, 1500), (900, 1800)])),
        trim=draw(st.sampled_from([0, 3, 8])),
        grain=draw(st.sampled_from([Grain.LENGTH, Grain.WIDTH])),
    )


@settings(max_examples=60)
@given(made=jobs())
def test_every_plan_with_runs_is_sound(made: Job) -> None:
    """Whole runs or none: in order, one kerf apart, on one sheet."""
    plan = plan_job(made, budget=Budget(work=150), leave_out=True)
    assert [str(violation) for violation in verify(plan)] == []
    missing = {miss.blank for miss in plan.unplaced}
    for run in plan.runs:
        event("left out" if missing & set(run.members) else "placed")
        assert missing & set(run.members) in (set(), set(run.members))


@given(made=jobs(), data=st.data())
@settings(max_examples=25)
def test_a_run_in_another_order_is_noticed(made: Job, data: st.DataObject) -> None:
    """The members of a placed run put in another order break the rule, and only it."""
    plan = plan_job(made, budget=Budget(work=20), leave_out=True)
    missing = {miss.blank for miss in plan.unplaced}
    for number, run in enumerate(plan.runs):
        other = tuple(data.draw(st.permutations(run.members)))
        changed = replace(run, members=other)
        runs = (*plan.runs[:number], changed, *plan.runs[number + 1 :])
        found = {violation.rule for violation in verify(replace(plan, runs=runs))}
        alike = other in (run.members, run.members[::-1])
        assert found == (set() if alike or run.members[0] in missing else {"run"})
