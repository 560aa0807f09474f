"""Boards with pith are ripped on both sides of it, and their ends are kept."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from nesting.errors import InfeasibleError
from nesting.model.job import Job, Material, MaterialKind, Part, Section
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, OffcutRule, Stock, Zone
from nesting.model.terms import Form, Guide, Plane, ZoneKind
from nesting.pipeline import plan_job
from nesting.units import Display
from nesting.verify import verify

IN = 40640
WIDTH = 29 * IN // 4
"""Of a dressed 2x8 (PS 20)."""
PITH = Zone(
    x=0,
    y=(WIDTH - IN) // 2,
    length=96 * IN,
    width=IN,
    kind=ZoneKind.PITH,
)
TABLE = Saw(
    name="table saw",
    kind="table saw",
    kerf=IN // 8,
    planes=(Plane.RIP, Plane.CROSSCUT),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
    smallest_piece=0,
)
MITRE = Saw(
    name="miter saw",
    kerf=IN // 8,
    planes=(Plane.CROSSCUT,),
    crosscut_guide=Guide.STOP,
)


def board(feet: int = 8, *more: Zone, trim: int = 0) -> Stock:
    """Return a 2x8 with an inch of pith in the middle."""
    length = feet * 12 * IN
    return Stock(
        id=f"2x8 x {feet} ft",
        material="fir",
        section="2x8",
        form=Form.STICK,
        length=length,
        width=WIDTH,
        thickness=3 * IN // 2,
        price_cents=100 * feet,
        trim=Edges(low_x=trim, high_x=trim),
        zones=(replace(PITH, length=length), *more),
    )


def part(name: str, length: int, quantity: int, width: int) -> Part:
    """Return a part as thick as the boards, sizes in eighths of an inch."""
    return Part(
        name=name,
        quantity=quantity,
        material="fir",
        length=length * IN // 8,
        width=width * IN // 8,
        thickness=3 * IN // 2,
        section="2x8",
    )


def planned(
    parts: list[Part],
    *stock: Stock,
    saws: tuple[Saw, ...] = (TABLE,),
    longest: int = 96,
    work: int = 20_000,
    leave_out: bool = False,
) -> Plan:
    """Plan parts on boards with pith."""
    job = Job(
        name="frame",
        display=Display(),
        currency="$",
        shop=Shop(saws=saws, longest_rough=longest * IN),
        materials=(
            Material(
                name="fir",
                kind=MaterialKind.LUMBER,
                sections=(Section(name="2x8", thickness=3 * IN // 2, width=WIDTH),),
                stock=stock,
            ),
        ),
        parts=tuple(parts),
        offcuts=OffcutRule(stick=12 * IN),
    )
    return plan_job(job, budget=Budget(work=work), leave_out=leave_out)


def test_a_2x8_gives_two_strips_of_3_1_8() -> None:
    """7 1/4 less an inch of pith is twice 3 1/8; the kerfs fall in the pith."""
    plan = planned([part("rail", 8 * 96, 2, 25)], board())
    (layout,) = plan.layouts
    places = sorted(p.y for p in layout.pieces if p.fate == "part")
    assert places == [0, 33 * IN // 8]
    assert layout.form == Form.BOARD
    assert {zone.kind for zone in layout.stock.zones} == {"pith"}


@pytest.mark.parametrize("saws", [(TABLE,), (MITRE,)])
def test_what_is_wider_than_a_half_is_refused(saws: tuple[Saw, ...]) -> None:
    """3 1/4 lies on no side of the pith; without a rip nothing comes of the board."""
    why = "no clear piece of fir 2x8" if saws == (TABLE,) else "no saw of the shop rips"
    with pytest.raises(InfeasibleError, match=why):
        planned([part("rail", 160, 1, 26)], board(), saws=saws)


def test_an_end_that_is_not_needed_is_kept_with_its_pith() -> None:
    """Two of 20 in: the board is crosscut behind them and only 20 in are ripped."""
    plan = planned([part("rail", 160, 2, 25)], board())
    (layout,) = plan.layouts
    first = min(layout.cuts, key=lambda cut: cut.step)
    assert (first.plane, first.at) == (Plane.CROSSCUT, 20 * IN)
    (kept,) = (p for p in layout.pieces if p.fate == "offcut")
    assert (kept.length, kept.width) == (96 * IN - 20 * IN - IN // 8, WIDTH)


def test_a_rest_too_short_to_keep_is_ripped_with_the_others() -> None:
    """Behind 86 in are 9 7/8: the board is ripped as it is."""
    plan = planned([part("rail", 8 * 86, 2, 25)], board())
    first = min(plan.layouts[0].cuts, key=lambda cut: cut.step)
    assert first.plane == Plane.RIP


def test_a_long_board_is_crosscut_to_what_is_ripped() -> None:
    """Of 12 ft, ripped to 72 in at most, come four strips of 71 in."""
    plan = planned([part("rail", 8 * 71, 4, 25)], board(12), longest=72)
    (layout,) = plan.layouts
    assert min(layout.cuts, key=lambda cut: cut.step).plane == Plane.CROSSCUT


def test_both_sides_of_one_board_are_used_where_others_are_sold() -> None:
    """Four of 30 lie in one of 8 ft; that the side of one of 12 ft is free misleads."""
    rails = [part("rail", 240, 4, 24)]
    plan = planned(rails, board(8, trim=IN), board(12, trim=IN))
    assert [line.cost_cents for line in plan.purchases] == [800]


@st.composite
def boards(draw: st.DrawFn) -> Stock:
    """Return a board with pith, and knots in some."""
    feet = draw(st.sampled_from([6, 8, 12]))
    knots = [
        Zone(
            x=draw(st.integers(0, feet * 12 - 4)) * IN,
            y=draw(st.integers(0, 6)) * IN,
            length=draw(st.integers(1, 3)) * IN,
            width=IN,
        )
        for _ in range(draw(st.sampled_from([0, 0, 1, 2])))
    ]
    return board(feet, *knots, trim=draw(st.sampled_from([0, IN])))


@settings(max_examples=40)
@given(
    stock=st.lists(boards(), min_size=1, max_size=2, unique_by=lambda each: each.id),
    sizes=st.lists(
        st.tuples(st.integers(40, 500), st.integers(1, 4), st.integers(8, 25)),
        min_size=1,
        max_size=3,
    ),
    longest=st.sampled_from([36, 60, 96]),
    saws=st.sampled_from([(TABLE,), (MITRE, TABLE)]),
)
def test_every_plan_with_pith_is_sound(
    stock: list[Stock],
    sizes: list[tuple[int, int, int]],
    longest: int,
    saws: tuple[Saw, ...],
) -> None:
    """No pith in a part, no damage in anything kept, and nothing false is proved."""
    parts = [part(f"p{n}", *size) for n, size in enumerate(sizes)]
    plan = planned(
        parts, *stock, saws=saws, longest=longest, work=1_000, leave_out=True
    )
    assert [str(violation) for violation in verify(plan)] == []
    event("some unplaced" if plan.unplaced else "all placed")
    for layout in plan.layouts:
        kept = [p for p in layout.pieces if p.fate == "offcut"]
        event(f"{len(kept)} kept")
