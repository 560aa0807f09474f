"""Lumber too long to be carried home is sawn at the store; `verify` is the judge."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from nesting.cli.summary import summary
from nesting.errors import InfeasibleError
from nesting.model.carried import Sawn, sawn_at_store
from nesting.model.job import Job, Material, MaterialKind, Part, Section
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.shop import Haul, Saw, Shop
from nesting.model.stock import Edges, OffcutRule, Stock, Zone
from nesting.model.terms import Form, Guide, Origin, Place, Plane
from nesting.pipeline import plan_job
from nesting.render.document import compose
from nesting.render.page import A4
from nesting.render.scene import Text
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Display, Unit
from nesting.verify import verify

MITRE = Saw(
    name="mitre",
    kerf=3 * MM,
    planes=(Plane.CROSSCUT,),
    crosscut_guide=Guide.STOP,
    widest_crosscut=300 * MM,
)
TABLE = Saw(
    name="table", kerf=3 * MM, planes=(Plane.RIP, Plane.CROSSCUT), rip_guide=Guide.FENCE
)
STORE = Saw(name="yard", place=Place.STORE, kerf=5 * MM, planes=(Plane.CROSSCUT,))
WIDTHS = {"45x95": 95, "45x220": 220}


def haul(length: int, tolerance: int = 6) -> Haul:
    return Haul(length=length * MM, saw=STORE, tolerance=tolerance * MM)


def lumber(length: int, *zones: Zone, **more: object) -> Stock:
    section = str(more.pop("section", "45x95"))
    usual = Stock(
        id=f"spruce {length}",
        material="spruce",
        section=section,
        form=Form.STICK,
        length=length * MM,
        width=WIDTHS[section] * MM,
        thickness=45 * MM,
        price_cents=length,
        zones=zones,
    )
    return replace(usual, **more)  # type: ignore[arg-type]


def part(name: str, length: int, quantity: int, width: int = 95) -> Part:
    return Part(
        name=name,
        quantity=quantity,
        material="spruce",
        length=length * MM,
        width=width * MM,
        thickness=45 * MM,
    )


def job(parts: list[Part], *stock: Stock, carried: Haul | None) -> Job:
    sections = {one.section for one in stock}
    return Job(
        name="trestle",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=(MITRE, TABLE), longest_rough=2000 * MM, haul=carried),
        materials=(
            Material(
                name="spruce",
                kind=MaterialKind.LUMBER,
                sections=tuple(
                    Section(name=name, thickness=45 * MM, width=WIDTHS[name] * MM)
                    for name in sorted(sections)
                ),
                stock=stock,
            ),
        ),
        parts=tuple(parts),
        offcuts=OffcutRule(stick=300 * MM),
    )


def plan_of(made: Job, work: int = 2_000) -> Plan:
    return plan_job(made, budget=Budget(work=work), leave_out=True)


def at_store(plan: Plan) -> list[int]:
    """Return the steps made at the store."""
    return [
        cut.step
        for layout in plan.layouts
        for cut in layout.cuts
        if cut.purpose == "haul"
    ]


def test_a_long_stick_is_sawn_where_its_parts_allow() -> None:
    """4800 to two pieces of at most 3000, for 2900 and 1870 with 6 off each new end.

    By hand: 2900 + 6, a kerf of 5, 6 off, and 1883 are left. In the middle, at 2400,
    no piece would hold the longer part.
    """
    plan = plan_of(
        job(
            [part("rail", 2900, 1), part("leg", 1870, 1)],
            lumber(4800),
            carried=haul(3000),
        )
    )
    assert verify(plan) == ()
    assert not plan.unplaced
    assert [line.qty for line in plan.purchases] == [1]
    assert at_store(plan) == [1]
    assert plan.layouts[0].cuts[0].saw == "yard"
    assert plan.layouts[0].cuts[0].at == 2906 * MM
    assert plan.bounds[0].proven


def test_no_cut_at_the_store_leaves_some_of_a_trim() -> None:
    """4800 to pieces of at most 1592: three and 9, and 9 + 5 is less than a trim of 25.

    So the first is cut off at 20, where the blade takes the last of the trim.
    """
    trimmed = lumber(4800, trim=Edges(low_x=25 * MM, high_x=25 * MM))
    parts = [part("post", 60, 4), part("rail", 1568, 3, 45)]
    plan = plan_of(job(parts, trimmed, carried=haul(1592, 0)))
    assert verify(plan) == ()
    cuts = [cut for layout in plan.layouts for cut in layout.cuts]
    assert min(cut.at for cut in cuts if cut.purpose == "haul") >= 20 * MM


def test_nothing_is_sawn_where_all_can_be_carried() -> None:
    """A haul as long as the stick, or none."""
    parts = [part("rail", 2900, 1)]
    for carried in (haul(4800), None):
        plan = plan_of(job(parts, lumber(4800), carried=carried))
        assert at_store(plan) == []


def test_what_is_on_the_rack_is_at_home_already() -> None:
    """However long it is."""
    rack = lumber(4800, origin=Origin.RACK, price_cents=0, limit=1)
    plan = plan_of(job([part("rail", 4000, 1)], rack, carried=haul(3000)))
    assert at_store(plan) == []
    assert not plan.unplaced


def test_a_part_longer_than_can_be_carried_is_refused() -> None:
    """And the reason is told."""
    made = job([part("beam", 3500, 1)], lumber(4800), carried=haul(3000))
    with pytest.raises(InfeasibleError, match="that can be carried home"):
        plan_job(made, budget=Budget(work=100))


def test_three_pieces_need_two_cuts_and_both_come_first() -> None:
    """6000 to pieces of at most 2400."""
    plan = plan_of(job([part("leg", 1900, 6)], lumber(6000), carried=haul(2400)))
    assert verify(plan) == ()
    assert [line.qty for line in plan.purchases] == [2]
    assert sorted(at_store(plan)) == [1, 2, 3, 4]


def test_the_checker_notices_what_is_left_long_or_sawn_late() -> None:
    """A plan for longer hauls, held against a shorter; and cuts at home put first."""
    parts = [part("rail", 2900, 1), part("leg", 1870, 1)]
    plan = plan_of(job(parts, lumber(4800), carried=haul(3000)))
    short = replace(plan, shop=replace(plan.shop, haul=2000 * MM))
    assert {violation.rule for violation in verify(short)} == {"haul"}
    gone = replace(plan, shop=replace(plan.shop, haul=None))
    assert {violation.rule for violation in verify(gone)} == {"haul"}
    saws = tuple(replace(saw, place="shop") for saw in plan.shop.saws)
    home = replace(plan, shop=replace(plan.shop, saws=saws))
    assert {violation.rule for violation in verify(home)} == {"haul"}
    (layout,) = plan.layouts
    cuts = tuple(
        replace(cut, purpose="divide") if cut.purpose == "haul" else cut
        for cut in layout.cuts
    )
    quiet = replace(plan, layouts=(replace(layout, cuts=cuts),))
    assert {violation.rule for violation in verify(quiet)} == {"haul"}


def test_the_summary_and_the_page_for_the_store_say_where() -> None:
    """Two pieces alike in one line, each place from the end of the whole piece."""
    plan = plan_of(job([part("leg", 1900, 6)], lumber(6000), carried=haul(2400)))
    (sawn,) = sawn_at_store(plan)
    assert sawn == Sawn(stock="spruce 6000", qty=2, places=sawn.places)
    kerf, whole = 5 * MM, 6000 * MM
    one, two = sawn.places
    assert max(one, two - one - kerf, whole - two - kerf) <= 2400 * MM
    title = "To be sawn at the store, for no more than 2400 mm can be carried home"
    assert title in summary(plan)
    words = [
        item.words
        for page in compose(plan, A4)
        for item in page.items
        if isinstance(item, Text)
    ]
    assert "Have it sawn there" in words
    assert any(word.startswith("2 × spruce 6000: at ") for word in words)
    near = plan_of(job([part("leg", 1900, 6)], lumber(6000), carried=None))
    assert "at the store" not in summary(near)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Return a job of sticks or boards, short, long and very long, damaged or not."""
    section = draw(st.sampled_from(sorted(WIDTHS)))
    width = WIDTHS[section]
    trim = draw(st.sampled_from([0, 10, 25]))
    stock = []
    lengths = st.sampled_from([1500, 3000, 4800, 6000])
    for length in draw(st.lists(lengths, min_size=1, max_size=2, unique=True)):
        zones = [
            Zone(
                x=draw(st.integers(0, length - 100)) * MM,
                y=draw(st.sampled_from([0, width // 2])) * MM,
                length=draw(st.integers(5, 100)) * MM,
                width=draw(st.integers(5, width // 2)) * MM,
            )
            for _ in range(draw(st.sampled_from([0, 0, 1, 2])))
        ]
        stock.append(
            lumber(
                length,
                *zones,
                section=section,
                trim=Edges(low_x=trim * MM, high_x=trim * MM),
                limit=draw(st.sampled_from([None, None, 2])),
            )
        )
    parts = [
        part(
            f"p{number}",
            draw(st.integers(60, 2300)),
            draw(st.integers(1, 4)),
            draw(st.sampled_from([width, width, 80, 45])),
        )
        for number in range(draw(st.integers(1, 3)))
    ]
    carried = haul(draw(st.integers(1400, 3500)), draw(st.sampled_from([0, 2, 6, 20])))
    return job(parts, *stock, carried=carried)


@settings(max_examples=40)
@given(made=jobs())
def test_every_plan_is_sound_and_can_be_carried_home(made: Job) -> None:
    """What the checker says of it, and once more by hand."""
    plan = plan_of(made)
    assert [str(violation) for violation in verify(plan)] == []
    assert made.shop.haul is not None
    steps = sorted(at_store(plan))
    assert steps == list(range(1, len(steps) + 1))
    for layout in plan.layouts:
        carried = {
            name for cut in layout.cuts if cut.purpose == "haul" for name in cut.makes
        } or {layout.id}
        sawn = {cut.piece for cut in layout.cuts if cut.purpose == "haul"}
        for piece in layout.pieces:
            if piece.id in carried - sawn:
                assert piece.length <= made.shop.haul.length
        event(f"{layout.form}, {len(sawn)} cuts at the store")
    event("some unplaced" if plan.unplaced else "all placed")
