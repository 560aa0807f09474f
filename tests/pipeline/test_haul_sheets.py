"""Sheets that cannot be carried home are cut at the store; `verify` is the judge."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from nesting.cli.summary import summary
from nesting.errors import InfeasibleError
from nesting.model.carried import sawn_at_store
from nesting.model.job import Job, Material, MaterialKind, Part
from nesting.model.plan import Cut, Layout, Plan
from nesting.model.problem import Budget
from nesting.model.shop import Saw, SheetHaul, Shop
from nesting.model.stock import Edges, OffcutRule, Stock, Zone
from nesting.model.terms import Form, Grain, Guide, Origin, Place, Plane
from nesting.pipeline import plan_job, plan_ways
from nesting.render.document import compose
from nesting.render.page import A4
from nesting.render.scene import Line, Text
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
PANEL = Saw(name="panel", place=Place.STORE, kerf=4 * MM, planes=BOTH)


def haul(length: int, width: int, cuts: int = 2, **more: Any) -> SheetHaul:
    usual = {"saw": PANEL, "tolerance": 6 * MM, "called": "as much"}
    return SheetHaul(
        length=length * MM, width=width * MM, cuts=cuts, **{**usual, **more}
    )


def sheet(
    *zones: Zone, size: tuple[int, int] = (2440, 1220), trim: int = 0, **more: Any
) -> Stock:
    usual: dict[str, Any] = {
        "id": f"ply {size[0]}",
        "price_cents": 5000,
        "trim": Edges(
            low_x=trim * MM, high_x=trim * MM, low_y=trim * MM, high_y=trim * MM
        ),
    }
    return Stock(
        material="ply",
        form=Form.SHEET,
        length=size[0] * MM,
        width=size[1] * MM,
        thickness=18 * MM,
        zones=zones,
        **{**usual, **more},
    )


def part(name: str, mm: tuple[int, int], quantity: int, **more: Any) -> Part:
    return Part(
        name=name,
        quantity=quantity,
        material="ply",
        length=mm[0] * MM,
        width=mm[1] * MM,
        thickness=None,
        **more,
    )


def job(
    parts: list[Part],
    *stock: Stock,
    carried: SheetHaul | None,
    saws: tuple[Saw, ...] = (RAIL, TABLE, PANEL),
) -> Job:
    return Job(
        name="cupboard",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=saws, haul_sheet=carried),
        materials=(
            Material(
                name="ply", kind=MaterialKind.SHEET, thickness=18 * MM, stock=stock
            ),
        ),
        parts=tuple(parts),
        offcuts=OffcutRule(sheet=((300 * MM, 300 * MM),)),
    )


def plan_of(made: Job, work: int = 1_000) -> Plan:
    return plan_job(made, budget=Budget(work=work), leave_out=True)


def at_store(layout: Layout) -> list[Cut]:
    return [cut for cut in layout.cuts if cut.purpose == "haul"]


def test_a_sheet_is_cut_where_its_parts_allow() -> None:
    """2440 to a part of 1500 and one of 900, with 6 off each new edge.

    By hand: 1500 + 6, a kerf of 4, 6 off, and 924 are left; in the middle neither half
    would hold the longer part.
    """
    plan = plan_of(
        job(
            [part("top", (1500, 1220), 1), part("side", (900, 1220), 1)],
            sheet(),
            carried=haul(1600, 1300),
        )
    )
    assert verify(plan) == ()
    assert not plan.unplaced
    assert [line.qty for line in plan.purchases] == [1]
    (cut,) = at_store(plan.layouts[0])
    assert (cut.step, cut.saw, cut.plane) == (1, "panel", "crosscut")
    assert 1506 * MM <= cut.at <= (2440 - 900 - 6 - 4) * MM
    assert plan.bounds[0].proven


def test_halves_are_bought_by_the_sheet() -> None:
    """Five parts of half a sheet: three sheets, as many as without a car."""
    made = job([part("door", (1200, 1200), 5)], sheet(), carried=haul(1300, 1300))
    plan = plan_of(made)
    assert verify(plan) == ()
    assert [line.qty for line in plan.purchases] == [3]
    assert sorted(cut.step for lay in plan.layouts for cut in at_store(lay)) == [
        1,
        2,
        3,
    ]


def test_sheets_of_one_kind_may_be_cut_in_several_ways() -> None:
    """One part needs a long piece of a sheet, the others want halves.

    By hand: 1700 + 712 for the long part; the doors of 1200 lie two to a sheet, so that
    no single way to cut every sheet does with three.
    """
    parts = [part("top", (1700, 1200), 1), part("door", (1200, 1200), 4)]
    plan = plan_of(job(parts, sheet(), carried=haul(1800, 1300)), work=4_000)
    assert verify(plan) == ()
    assert [line.qty for line in plan.purchases] == [3]
    places = {cut.at for lay in plan.layouts for cut in at_store(lay)}
    assert len(places) == 2


@pytest.mark.parametrize(
    "carried", [None, haul(2440, 1220), haul(1220, 2440), haul(2500, 1300)]
)
def test_nothing_is_cut_where_whole_sheets_can_be_carried(
    carried: SheetHaul | None,
) -> None:
    """Either way round; and the saw at the store makes no cut at all."""
    plan = plan_of(job([part("door", (1200, 600), 3)], sheet(), carried=carried))
    assert not any(at_store(layout) for layout in plan.layouts)
    assert {cut.saw for layout in plan.layouts for cut in layout.cuts} <= {
        "rail",
        "table",
    }


def test_what_is_on_the_rack_is_at_home_already() -> None:
    """However large it is."""
    rack = sheet(origin=Origin.RACK, price_cents=0, limit=1)
    plan = plan_of(job([part("top", (2400, 1200), 1)], rack, carried=haul(1300, 1300)))
    assert not plan.unplaced
    assert not any(at_store(layout) for layout in plan.layouts)


def test_a_part_larger_than_can_be_carried_is_refused() -> None:
    """In one sentence: the part, what can be carried, what to do."""
    made = job(
        [part("top", (1400, 600), 2), part("side", (700, 300), 1)],
        sheet(),
        carried=haul(1300, 1300, called="1.3 m x 1.3 m"),
    )
    with pytest.raises(InfeasibleError) as caught:
        plan_job(made, budget=Budget(work=100))
    said = str(caught.value)
    assert caught.value.parts == ("top",)
    assert (
        "2 x top: it is larger than any piece of ply that can be carried home "
        "(haul_sheet 1.3 m x 1.3 m)"
    ) in said
    assert "make it of two" in said


def test_a_sheet_that_takes_more_cuts_is_refused() -> None:
    """To pieces of 700 x 700 it takes far more than two."""
    made = job([part("box", (300, 300), 1)], sheet(), carried=haul(700, 700))
    with pytest.raises(InfeasibleError, match="with 2 cuts at the store no sheet"):
        plan_job(made, budget=Budget(work=100))


def test_four_pieces_take_three_cuts_both_ways() -> None:
    """And no more are made than are allowed."""
    made = job([part("box", (1150, 550), 4)], sheet(), carried=haul(1300, 650, cuts=3))
    plan = plan_of(made)
    assert verify(plan) == ()
    assert not plan.unplaced
    for layout in plan.layouts:
        cuts = at_store(layout)
        assert len(cuts) == 3
        assert {cut.plane for cut in cuts} == {"rip", "crosscut"}


def test_a_thin_blade_to_the_line_proves_nothing_false() -> None:
    """A store that cuts closer than the shop: the bound is that of its kerf."""
    fine = replace(PANEL, kerf=MM // 2)
    plan = plan_of(
        job(
            [part("half", (1219, 1220), 2)],
            sheet(),
            carried=haul(1300, 1300, saw=fine, tolerance=0),
            saws=(RAIL, TABLE, fine),
        )
    )
    assert verify(plan) == ()
    assert [line.qty for line in plan.purchases] == [1]


def test_the_checker_notices_what_is_left_large_or_cut_late() -> None:
    """A sound plan spoilt in every way that the rule names."""
    made = job([part("box", (1100, 550), 4)], sheet(), carried=haul(1300, 1300))
    plan = plan_of(made)
    assert verify(plan) == ()
    most = plan.shop.haul_sheet
    assert most is not None
    (layout, *others) = plan.layouts
    (cut,) = at_store(layout)

    def shop(**more: Any) -> Plan:
        return replace(plan, shop=replace(plan.shop, **more))

    def with_cut(**more: Any) -> Plan:
        cuts = tuple(
            replace(each, **more) if each is cut else each for each in layout.cuts
        )
        return replace(plan, layouts=(replace(layout, cuts=cuts), *others))

    def saws(**more: Any) -> Plan:
        return shop(
            saws=tuple(
                replace(saw, **more) if saw.place == "store" else saw
                for saw in plan.shop.saws
            )
        )

    small, none = replace(most, length=700 * MM), replace(most, cuts=0)
    spoilt = {
        "a smaller car": shop(haul_sheet=small),
        "a larger car": shop(haul_sheet=replace(most, length=2440 * MM)),
        "no car": shop(haul_sheet=None),
        "too many cuts": shop(haul_sheet=none),
        "a cut at home": saws(place="shop"),
        "a store that is farther off": saws(tolerance=200 * MM),
        "a cut that is not said to be at the store": with_cut(purpose="divide"),
        "a saw at home": with_cut(saw="rail", kerf=cut.kerf),
    }
    for name, bad in spoilt.items():
        assert "haul" in {violation.rule for violation in verify(bad)}, name
    late = max(each.step for each in layout.cuts)
    swapped = {cut.step: late, late: cut.step}
    cuts = tuple(
        replace(each, step=swapped.get(each.step, each.step)) for each in layout.cuts
    )
    bad = replace(plan, layouts=(replace(layout, cuts=cuts), *others))
    assert any(
        violation.rule == "haul" and "come before it" in violation.what
        for violation in verify(bad)
    )


def test_a_saw_at_the_store_makes_no_cut_at_home() -> None:
    """Told by where it stands alone."""
    plan = plan_of(job([part("box", (1100, 550), 4)], sheet(), carried=None))
    saws = tuple(
        replace(saw, place="store" if saw.name == "rail" else "shop")
        for saw in plan.shop.saws
    )
    told = verify(replace(plan, shop=replace(plan.shop, saws=saws)))
    assert {violation.rule for violation in told} == {"haul"}


def test_a_shop_at_the_store_cuts_everything_there() -> None:
    """Where no saw stands at home there is nothing to carry first."""
    made = job([part("box", (1100, 550), 4)], sheet(), carried=None, saws=(PANEL,))
    plan = plan_of(made)
    assert verify(plan) == ()
    assert not plan.unplaced


def test_the_summary_and_the_pages_say_where() -> None:
    """On the terminal, on the page for the store, in the drawing and in its list."""
    made = job([part("door", (1200, 1200), 3)], sheet(), carried=haul(1300, 1300))
    plan = plan_of(made)
    (sawn,) = sawn_at_store(plan)
    assert (sawn.stock, sawn.qty, sawn.places) == ("ply 2440", 2, ())
    (cut,) = sawn.cuts
    assert cut.is_across
    assert (cut.length, cut.width) == (2440 * MM, 1220 * MM)
    assert sum(length for length, _ in sawn.pieces) == 2440 * MM - PANEL.kerf
    title = (
        "To be cut at the store, for no sheet larger than 1300 x 1300 mm can be "
        "carried home"
    )
    assert title in summary(plan)
    items = [item for page in compose(plan, A4) for item in page.items]
    words = [item.words for item in items if isinstance(item, Text)]
    assert "Have it sawn there" in words
    assert any(word.startswith("2 × ply 2440: across, at ") for word in words)
    assert any("At the store, crosscut whole sheet" in word for word in words)
    assert "at the store" in words  # what the heavy broken line means
    lines = {item.about for item in items if isinstance(item, Line) if item.pen.dashes}
    assert any(about.startswith("store:") for about in lines)
    whole = plan_of(job([part("door", (1200, 1200), 3)], sheet(), carried=None))
    assert "at the store" not in summary(whole)


def test_other_ways_to_cut_the_job_are_carried_home_too() -> None:
    """Whatever ways are offered, each is sound."""
    made = job(
        [part("shelf", (800, 300), 9), part("side", (1100, 400), 4)],
        sheet(),
        carried=haul(1300, 1300),
    )
    for plan in plan_ways(made, budget=Budget(work=1_000)):
        assert verify(plan) == ()
        assert all(at_store(layout) for layout in plan.layouts)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Return a small job of sheets, some damaged, some too large to carry."""
    trim = draw(st.sampled_from([0, 0, 5, 10]))
    stock = []
    sizes = st.sampled_from([(2440, 1220), (1525, 1525), (1220, 610)])
    for size in draw(st.lists(sizes, min_size=1, max_size=2, unique=True)):
        zones = [
            Zone(
                x=draw(st.integers(0, size[0] - 100)) * MM,
                y=draw(st.integers(0, size[1] - 100)) * MM,
                length=draw(st.integers(5, 100)) * MM,
                width=draw(st.integers(5, 100)) * MM,
            )
            for _ in range(draw(st.sampled_from([0, 0, 0, 1, 2])))
        ]
        stock.append(
            sheet(
                *zones,
                size=size,
                trim=trim,
                price_cents=size[0],
                grain=draw(st.sampled_from([Grain.LENGTH, Grain.WIDTH])),
                limit=draw(st.sampled_from([None, None, 2])),
                origin=draw(st.sampled_from([Origin.STORE, Origin.STORE, Origin.RACK])),
            )
        )
    grains = st.sampled_from([Grain.LENGTH, Grain.WIDTH, Grain.ANY])
    parts = [
        part(
            f"p{number}",
            (draw(st.integers(60, 1300)), draw(st.integers(50, 700))),
            draw(st.integers(1, 4)),
            grain=draw(grains),
        )
        for number in range(draw(st.integers(1, 4)))
    ]
    panel = replace(
        PANEL,
        kerf=draw(st.integers(1, 5)) * MM,
        planes=draw(st.sampled_from([BOTH, BOTH, (Plane.CROSSCUT,)])),
    )
    carried = haul(
        draw(st.integers(700, 2000)),
        draw(st.integers(500, 1300)),
        draw(st.integers(1, 4)),
        saw=panel,
        tolerance=draw(st.sampled_from([0, 2, 6, 20])) * MM,
        step=draw(st.sampled_from([1, MM, 5 * MM])),
    )
    named = draw(st.booleans())
    saws = (RAIL, TABLE, panel) if named else (RAIL, TABLE)
    return job(parts, *stock, carried=carried, saws=saws)


@settings(max_examples=30)
@given(made=jobs())
def test_every_plan_is_sound_and_can_be_carried_home(made: Job) -> None:
    """What the checker says of it, and once more by hand."""
    plan = plan_of(made, work=300)
    assert [str(violation) for violation in verify(plan)] == []
    carried = made.shop.haul_sheet
    assert carried is not None
    steps = sorted(cut.step for layout in plan.layouts for cut in at_store(layout))
    assert steps == list(range(1, len(steps) + 1))
    for layout in plan.layouts:
        cuts = at_store(layout)
        sawn = {cut.piece for cut in cuts}
        home = ({name for cut in cuts for name in cut.makes} or {layout.id}) - sawn
        assert len(cuts) <= carried.cuts
        pieces = {piece.id: piece for piece in layout.pieces}
        for name in home if layout.stock.origin == "store" else ():
            sides = sorted((pieces[name].length, pieces[name].width))
            most = sorted((carried.length, carried.width))
            assert all(side <= held for side, held in zip(sides, most, strict=True))
        for cut in cuts:
            assert cut.at % carried.step == 0
        event(f"{len(cuts)} cuts at the store")
    event("some unplaced" if plan.unplaced else "all placed")


@settings(max_examples=5)
@given(made=jobs())
def test_the_same_job_gives_the_same_plan(made: Job) -> None:
    """To the last tick."""
    assert plan_of(made, work=100) == plan_of(made, work=100)
