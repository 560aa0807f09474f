"""Blemishes are wood to most parts, and damage to those that are to be clear."""

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
from nesting.model.terms import Form, Guide, Origin, Plane, ZoneKind
from nesting.pipeline import plan_job
from nesting.units import TICKS_PER_MM as MM
from nesting.units import Display, Unit
from nesting.verify import verify

TABLE = Saw(
    name="table",
    kerf=2 * MM,
    planes=(Plane.RIP, Plane.CROSSCUT),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
)
SIZES = {
    Form.STICK: (2400, 89, 38),
    Form.BOARD: (2400, 184, 38),
    Form.SHEET: (2440, 1220, 18),
}


def blemish(
    x: int, length: int, y: int = 0, width: int = 89, kind: ZoneKind = ZoneKind.BLEMISH
) -> Zone:
    """Return a zone in mm."""
    return Zone(x=x * MM, y=y * MM, length=length * MM, width=width * MM, kind=kind)


def stock(
    *zones: Zone,
    name: str = "knotty",
    form: Form = Form.STICK,
    limit: int | None = None,
    price: int = 500,
) -> Stock:
    """Return stock of the usual size of its form."""
    length, width, thickness = SIZES[form]
    return Stock(
        id=name,
        material="fir",
        section="" if form is Form.SHEET else f"38x{width}",
        form=Form.SHEET if form is Form.SHEET else Form.STICK,
        length=length * MM,
        width=width * MM,
        thickness=thickness * MM,
        trim=Edges(),
        price_cents=price,
        limit=limit,
        origin=Origin.STORE if price else Origin.RACK,
        zones=zones,
    )


def part(
    name: str,
    length: int,
    quantity: int = 1,
    *,
    clear: bool = False,
    width: int = 89,
    form: Form = Form.STICK,
) -> Part:
    """Return a part in mm."""
    lumber = form is not Form.SHEET
    return Part(
        name=name,
        quantity=quantity,
        material="fir",
        length=length * MM,
        width=width * MM,
        thickness=38 * MM if lumber else None,
        section=f"38x{SIZES[form][1]}" if lumber else None,
        is_clear=clear,
    )


def planned(
    parts: list[Part], *stocks: Stock, work: int = 5_000, leave_out: bool = False
) -> Plan:
    """Plan parts on stock of one form."""
    lumber = bool(stocks[0].section)
    sections = {
        one.section: Section(name=one.section, thickness=one.thickness, width=one.width)
        for one in stocks
        if lumber
    }
    made = Job(
        name="frame",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=(TABLE,), longest_rough=1200 * MM),
        materials=(
            Material(
                name="fir",
                kind=MaterialKind.LUMBER if lumber else MaterialKind.SHEET,
                thickness=None if lumber else 18 * MM,
                sections=tuple(sections.values()),
                stock=stocks,
            ),
        ),
        parts=tuple(parts),
        offcuts=OffcutRule(stick=300 * MM, sheet=((300 * MM, 300 * MM),)),
    )
    return plan_job(made, budget=Budget(work=work), leave_out=leave_out)


def test_a_part_may_have_a_blemish_and_a_clear_one_may_not() -> None:
    """A part as long as the stick; the sound knot is in its middle."""
    knotty = stock(blemish(1000, 50))
    plan = planned([part("rail", 2400)], knotty)
    assert plan.bounds[0].proven
    with pytest.raises(InfeasibleError, match="no clear piece of fir"):
        planned([part("rail", 2400, clear=True)], knotty)


def test_clear_parts_lie_beside_the_blemish() -> None:
    """1000 mm before it, 1350 behind it."""
    parts = [part("a", 1000, clear=True), part("b", 1350, clear=True)]
    plan = planned(parts, stock(blemish(1000, 50)))
    places = {p.blank: p.x // MM for p in plan.layouts[0].pieces if p.fate == "part"}
    assert (len(plan.layouts), places) == (1, {"a": 0, "b": 1050})


def test_clear_parts_and_others_share_a_stick_beside_its_blemish() -> None:
    """990 and 1340 are one stick, although only one of them is to be clear."""
    parts = [part("a", 990, clear=True), part("b", 1340)]
    plan = planned(parts, stock(blemish(1000, 50)))
    assert len(plan.layouts) == 1
    assert plan.bounds[0].proven


def test_clear_parts_take_a_stick_and_others_another_over_its_blemish() -> None:
    """Two sticks: one gives 990 and 1340, the other is used whole."""
    parts = [
        part("a", 990, clear=True),
        part("b", 1340, clear=True),
        part("whole", 2400),
    ]
    plan = planned(parts, stock(blemish(1000, 50), limit=2))
    assert len(plan.layouts) == 2
    assert plan.bounds[0].lower_bound == 1000
    over = [
        piece.blank
        for layout in plan.layouts
        for piece in layout.pieces
        if piece.fate == "part"
        and piece.x < 1050 * MM
        and piece.x + piece.length > 1000 * MM
    ]
    assert over == ["whole"]


def test_a_rest_with_a_blemish_is_kept() -> None:
    """What is behind a part of 900 has the knot, and is an offcut all the same."""
    plan = planned([part("a", 900)], stock(blemish(1000, 50)))
    (kept,) = (p for p in plan.layouts[0].pieces if p.fate == "offcut")
    assert kept.length == (2400 - 900 - 2) * MM


def test_a_clear_panel_of_a_sheet_lies_beside_the_stain() -> None:
    """A stain over 200 mm of one end; a panel of the whole length may have it."""
    stain = blemish(0, 200, 0, 1220)
    panel = part("panel", 2240, width=1220, form=Form.SHEET, clear=True)
    whole = part("whole", 2440, width=1220, form=Form.SHEET)
    sheet = stock(stain, form=Form.SHEET)
    plan = planned([panel, whole], sheet, work=300)
    assert len(plan.layouts) == 2
    with pytest.raises(InfeasibleError):
        planned([replace(whole, is_clear=True)], sheet, work=300)


@st.composite
def zones(draw: st.DrawFn, form: Form) -> Zone:
    length, width, _ = SIZES[form]
    x, y = draw(st.integers(0, length - 20)), draw(st.integers(0, width - 8))
    return blemish(
        x,
        draw(st.integers(5, min(300, length - x))),
        y,
        draw(st.integers(3, min(300, width - y))),
        draw(st.sampled_from([ZoneKind.BLEMISH, ZoneKind.BLEMISH, ZoneKind.DAMAGE])),
    )


def test_a_strip_is_not_crosscut_where_its_end_is_cut_off_already() -> None:
    """The end of a rough length is kept whole; the strip ends before its blemish."""
    marks = (
        blemish(1020, 239, 21, 24),
        blemish(463, 139, 71, 11),
        blemish(1374, 253, 81, 8),
        blemish(174, 276, 42, 47),
    )
    knotty = stock(*marks, price=0, limit=3)
    parts = [
        part("rail", 512),
        part("post", 166, 3, clear=True),
        part("slat", 486, 2, width=40),
        part("block", 89, 2, width=40),
    ]
    plan = planned(parts, knotty, work=600, leave_out=True)
    assert verify(plan) == ()
    assert any(piece.fate == "offcut" for piece in plan.layouts[0].pieces)


@settings(max_examples=40)
@given(data=st.data(), form=st.sampled_from(Form))
def test_every_plan_with_blemishes_is_sound(data: st.DataObject, form: Form) -> None:
    """No blemish in a clear part, no damage in any, and nothing false is proved."""
    stocks = [
        stock(
            *data.draw(st.lists(zones(form), min_size=1, max_size=4)),
            name=f"knotty {number}",
            form=form,
            price=data.draw(st.sampled_from([0, 500])),
            limit=data.draw(st.integers(1, 3)),
        )
        for number in range(data.draw(st.integers(1, 2)))
    ]
    whole = min(SIZES[form][1], 400)
    parts = [
        part(
            f"p{number}",
            data.draw(st.integers(60, 1300)),
            data.draw(st.integers(1, 3)),
            clear=data.draw(st.booleans()),
            width=data.draw(st.sampled_from([whole, 70, 40])),
            form=form,
        )
        for number in range(data.draw(st.integers(1, 4)))
    ]
    plan = planned(parts, *stocks, work=600, leave_out=True)
    assert [str(violation) for violation in verify(plan)] == []
    mixed = len({each.is_clear for each in parts}) > 1
    out = "some unplaced" if plan.unplaced else "all placed"
    event(f"{form} {'mixed' if mixed else 'alike'} {out}")
