"""Jobs with damaged sticks and boards, from parts to plan, with `verify` as judge."""

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
from nesting.model.terms import Form, Guide, Origin, Plane
from nesting.pipeline import plan_job
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
    name="table",
    kerf=2 * MM,
    planes=(Plane.RIP, Plane.CROSSCUT),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
    widest_rip=600 * MM,
    widest_crosscut=500 * MM,
)
SECTIONS = {"38x89": (38, 89), "38x184": (38, 184)}


def knot(x: int, length: int, y: int = 0, width: int = 89) -> Zone:
    return Zone(x=x * MM, y=y * MM, length=length * MM, width=width * MM)


def lumber(
    *zones: Zone,
    name: str = "knotty",
    section: str = "38x89",
    length: int = 2400,
    price: int = 500,
    limit: int | None = None,
    trim: int = 0,
) -> Stock:
    thickness, width = SECTIONS[section]
    return Stock(
        id=name,
        material="fir",
        section=section,
        form=Form.STICK,
        length=length * MM,
        width=width * MM,
        thickness=thickness * MM,
        trim=Edges(low_x=trim * MM, high_x=trim * MM),
        price_cents=price,
        limit=limit,
        origin=Origin.STORE if price else Origin.RACK,
        zones=zones,
    )


def part(name: str, length: int, quantity: int, width: int = 89, **more: str) -> Part:
    return Part(
        name=name,
        quantity=quantity,
        material="fir",
        length=length * MM,
        width=width * MM,
        thickness=38 * MM,
        **more,  # type: ignore[arg-type]
    )


def job(
    parts: list[Part],
    *stock: Stock,
    saws: tuple[Saw, ...] = (MITRE, TABLE),
    longest_rough: int = 1200,
) -> Job:
    return Job(
        name="frame",
        display=Display(unit=Unit.MM),
        currency="$",
        shop=Shop(saws=saws, longest_rough=longest_rough * MM),
        materials=(
            Material(
                name="fir",
                kind=MaterialKind.LUMBER,
                sections=tuple(
                    Section(name=name, thickness=size[0] * MM, width=size[1] * MM)
                    for name, size in SECTIONS.items()
                ),
                stock=stock,
            ),
        ),
        parts=tuple(parts),
        offcuts=OffcutRule(stick=300 * MM),
    )


def bought(plan: Plan) -> dict[str, int]:
    return {line.stock: line.qty for line in plan.purchases}


def test_a_stick_is_used_on_both_sides_of_a_knot_to_the_tick() -> None:
    """A knot from 1200 to 1250: 1200 before it, and 1150 behind it."""
    plan = plan_job(
        job(
            [part("rail", 1200, 1), part("stile", 1150, 1)],
            lumber(knot(1200, 50)),
        )
    )
    assert verify(plan) == ()
    assert bought(plan) == {"knotty": 1}
    assert plan.layouts[0].form == Form.STICK
    assert plan.bounds[0].proven


def test_a_stick_with_a_knot_holds_less_than_a_clear_one() -> None:
    """Two of 1190 lie in a clear stick (2383 with the kerf), one beside the knot.

    The clear stick costs more than a knotty one and less than two.
    """
    parts = [part("rail", 1190, 2)]
    knotty = lumber(knot(1300, 50), price=500)
    alone = plan_job(job(parts, knotty))
    beside = plan_job(job(parts, knotty, lumber(name="clear", price=900)))
    assert bought(alone) == {"knotty": 2}
    assert bought(beside) == {"clear": 1}
    assert not alone.bounds[0].proven
    assert alone.bounds[0].lower_bound == 500


def test_a_knot_on_one_edge_blocks_the_whole_section_of_a_stick() -> None:
    """A stick is never ripped for the sake of a knot."""
    with pytest.raises(InfeasibleError, match="no clear piece of fir 38x89"):
        plan_job(job([part("rail", 1500, 1)], lumber(knot(1000, 50, 0, 10))))


def test_a_board_is_ripped_beside_a_knot_where_it_is_short_enough() -> None:
    """A knot on one edge of a board, 600 from its end; two laths beside it.

    The board is 1000 long and crosscut to no more than 1200, so it is ripped whole:
    184 - 60 leaves room for two of 60 with a kerf between.
    """
    board = lumber(knot(600, 40, 0, 60), section="38x184", length=1000, limit=1)
    parts = [part("lath", 900, 2, 60, section="38x184")]
    plan = plan_job(job(parts, board), budget=Budget(work=20_000))
    assert verify(plan) == ()
    assert plan.layouts[0].form == Form.BOARD
    with pytest.raises(InfeasibleError):
        plan_job(job(parts, board, longest_rough=500), budget=Budget(work=20_000))


def test_a_long_board_is_crosscut_before_it_is_ripped_beside_a_knot() -> None:
    """The knot is at one end of it; laths beside the knot, shelves from the rest."""
    board = lumber(knot(300, 40, 0, 60), section="38x184", length=2400, limit=1)
    parts = [
        part("lath", 1100, 2, 60, section="38x184"),
        part("shelf", 1150, 1, 184, section="38x184"),
    ]
    plan = plan_job(job(parts, board), budget=Budget(work=20_000))
    assert verify(plan) == ()
    first = min((cut for cut in plan.layouts[0].cuts), key=lambda cut: cut.step)
    assert first.plane == Plane.CROSSCUT


def test_what_is_clear_of_a_stick_and_not_used_is_kept() -> None:
    """The part lies before the knot; the clear end behind it is an offcut."""
    plan = plan_job(job([part("rail", 1000, 1)], lumber(knot(1000, 400))))
    (kept,) = (p for p in plan.layouts[0].pieces if p.fate == "offcut")
    assert (kept.x, kept.length) == (1400 * MM, 1000 * MM)


@pytest.mark.parametrize(("zones", "kept"), [((), 1797), ((knot(2300, 100),), 1697)])
def test_of_plans_of_one_cost_that_with_the_largest_rest_is_taken(
    zones: tuple[Zone, ...], kept: int
) -> None:
    """Two laths side by side leave 2400, or the 2300 before a knot, less 603."""
    board = lumber(*zones, section="38x184")
    parts = [part("lath", 600, 2, 90, section="38x184")]
    plan = plan_job(job(parts, board), budget=Budget(work=60_000))
    assert bought(plan) == {"knotty": 1}
    rests = [p.length for p in plan.layouts[0].pieces if p.fate == "offcut"]
    assert max(rests) == kept * MM


def test_damaged_lumber_on_the_rack_comes_first() -> None:
    """It costs nothing."""
    rack = lumber(knot(800, 30), name="rack", price=0, limit=1)
    plan = plan_job(job([part("rail", 700, 3)], rack, lumber(name="new")))
    assert bought(plan) == {}


@st.composite
def zones(draw: st.DrawFn, stock: Stock) -> Zone:
    length, width = stock.length // MM, stock.width // MM
    x, y = draw(st.integers(0, length - 20)), draw(st.integers(0, width - 8))
    return knot(
        x,
        draw(st.integers(5, min(300, length - x))),
        y,
        draw(st.integers(3, width - y)),
    )


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Return a job with damaged lumber, of sticks or of boards, perhaps whole too."""
    section = draw(st.sampled_from(sorted(SECTIONS)))
    trim = draw(st.sampled_from([0, 10, 25]))
    stock = []
    for number in range(draw(st.integers(1, 2))):
        price = draw(st.sampled_from([0, 400, 600]))
        sound = lumber(
            name=f"knotty {number}",
            section=section,
            length=draw(st.sampled_from([1000, 2400, 3600])),
            price=price,
            limit=draw(st.integers(1, 3) if not price else st.none()),
            trim=trim,
        )
        damage = draw(st.lists(zones(sound), min_size=1, max_size=5))
        stock.append(replace(sound, zones=tuple(damage)))
    if draw(st.booleans()):
        stock.append(lumber(name="new", section=section, trim=trim))
    width = SECTIONS[section][1]
    parts = [
        part(
            f"p{number}",
            draw(st.integers(60, 1300)),
            draw(st.integers(1, 4)),
            draw(st.sampled_from([width, width, 70, 40])),
            section=section,
        )
        for number in range(draw(st.integers(1, 4)))
    ]
    saws = draw(st.sampled_from([(MITRE, TABLE), (TABLE,)]))
    longest = draw(st.sampled_from([600, 1200, 5000]))
    return job(parts, *stock, saws=saws, longest_rough=longest)


@settings(max_examples=40)
@given(made=jobs())
def test_every_plan_with_damaged_lumber_is_sound(made: Job) -> None:
    """No damage is cut into a part or kept, and nothing false is proved."""
    plan = plan_job(made, budget=Budget(work=2_000), leave_out=True)
    assert [str(violation) for violation in verify(plan)] == []
    event("some unplaced" if plan.unplaced else "all placed")
    for layout in plan.layouts:
        event(f"{layout.form}{', damaged' * bool(layout.stock.zones)}")
        rips = any(cut.plane == Plane.RIP for cut in layout.cuts)
        event(f"{layout.form} {'ripped' if rips else 'crosscut'}")


@settings(max_examples=5)
@given(made=jobs())
def test_the_same_job_gives_the_same_plan(made: Job) -> None:
    """Nothing in it hangs on chance or on the clock."""
    one, two = (
        plan_job(made, budget=Budget(work=500), leave_out=True) for _ in range(2)
    )
    assert one == two
