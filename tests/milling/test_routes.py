"""Every part can be made of its blanks: each route is gone through with wood."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop import SHOP, inches, lumber, needs, part, sheet
from workshop.simulate import Shop, WrongError, simulate

from nesting.errors import InputError
from nesting.milling import routes
from nesting.model.blank import Need
from nesting.model.job import Material, Part
from nesting.model.mill import (
    BuildKind,
    Corner,
    Edging,
    Joint,
    JointKind,
    Side,
    Wish,
)
from nesting.model.plan import Layout, Operation, Piece, PlanRoute, PlanStock
from nesting.model.terms import Grain, Guide
from nesting.units import Unit

assert SHOP.jointer is not None
assert SHOP.planer is not None
MACHINES = Shop(
    jointer_width=SHOP.jointer.width,
    jointer_shortest=SHOP.jointer.shortest,
    planer_width=SHOP.planer.width,
    planer_shortest=SHOP.planer.shortest,
    planer_thinnest=SHOP.planer.thinnest,
)
PINE = lumber("1x4", "1x6", "2x4", "2x6", "2x8", "2x10", "2x12")
PLY = sheet("1/2")
SIXTEENTH = inches("1/16")


def routes_of(piece: Part, need: Need) -> list[PlanRoute]:
    """Return the route of each build of a need, from its blanks as they are asked."""
    found = []
    for build in need.builds:
        chosen = replace(need, builds=(build,))
        made, _ = routes([piece], [PINE, PLY], [chosen], (), SHOP)
        found += made
    return found


def check(piece: Part, *materials: Material) -> int:
    """Go through all routes of a part; return how many there are."""
    count = 0
    more = [0, 0]
    for joint in () if piece.is_overall else piece.joints:
        for side in joint.sides:
            more[0 if side.is_end else 1] += joint.depth
    for need in needs(piece, *materials):
        for route in routes_of(piece, need):
            ended = simulate(route, MACHINES, is_turned=piece.grain is Grain.WIDTH)
            assert len(ended.boxes) == need.copies
            left = sum(a * b * c for a, b, c in ended.boxes)
            # mass balance: what is not in the parts is lost under a name
            assert ended.began == left + sum(ended.lost.values())
            assert all(wood >= 0 for wood in ended.lost.values())
            for long, wide, thick in ended.boxes:
                assert thick == (piece.thickness or thick)
                assert piece.width is not None
                if not piece.is_fitted:
                    assert (long, wide) == (
                        piece.length + more[0],
                        piece.width + more[1],
                    )
            count += 1
    return count


LENGTHS = st.integers(16, 16 * 60)
WIDTHS = st.integers(12, 16 * 30)
THICKNESSES = st.integers(4, 16 * 4)
TENON = Joint(kind=JointKind.TENON, depth=inches("1"), sides=(Side.LEFT, Side.RIGHT))
TONGUE = Joint(kind=JointKind.TONGUE, depth=inches("1/4"), sides=(Side.FRONT,))


@given(
    LENGTHS,
    WIDTHS,
    THICKNESSES,
    st.integers(1, 9),
    st.sampled_from([None, *BuildKind]),
    st.sampled_from([None, None, 2, 3, 5]),
    st.sampled_from([(), (TENON,), (TENON, TONGUE)]),
    st.booleans(),
)
@settings(max_examples=600, deadline=None, derandomize=True)
def test_parts_of_lumber_come_out_of_their_blanks(
    length: int,
    width: int,
    thickness: int,
    copies: int,
    kind: BuildKind | None,
    count: int | None,
    joints: tuple[Joint, ...],
    is_fitted: bool,
) -> None:
    """Whatever its size, its build and its joints: it is refused, or it can be made."""
    piece = replace(
        part("1 x 1 x 1", quantity=copies),
        length=length * SIXTEENTH,
        width=width * SIXTEENTH,
        thickness=thickness * SIXTEENTH,
        wish=None if kind is None else Wish(kind=kind, count=count),
        joints=joints,
        is_fitted=is_fitted,
    )
    with suppress(InputError):  # what is refused is tested by hand
        check(piece, PINE)


@given(
    st.integers(16 * 8, 16 * 60),
    st.integers(16 * 8, 16 * 40),
    st.sets(st.sampled_from(list(Side)), min_size=0, max_size=4),
    st.sampled_from(list(Corner)),
    st.integers(4, 24),
    st.sampled_from(list(Grain)),
    st.booleans(),
)
@settings(max_examples=300, deadline=None, derandomize=True)
def test_panels_with_edging_come_out_at_their_size(
    length: int,
    width: int,
    sides: set[Side],
    corner: Corner,
    thickness: int,
    grain: Grain,
    is_fitted: bool,
) -> None:
    """The panel is smaller by its edging, and grows by it again."""
    edging = None
    if sides:
        edging = Edging(
            material="pine",
            thickness=thickness * SIXTEENTH,
            sides=tuple(sorted(sides)),
            corner=corner,
        )
    piece = replace(
        part("1 x 1", material="ply"),
        length=length * SIXTEENTH,
        width=width * SIXTEENTH,
        edging=edging,
        grain=grain,
        is_fitted=is_fitted,
    )
    check(piece, PLY, PINE)


def only_route(piece: Part, *materials: Material) -> PlanRoute:
    """Return the route of the first build of a part."""
    need = needs(piece, *materials)[0]
    return routes_of(piece, need)[0]


def days(route: PlanRoute, what: str) -> list[int]:
    """Return the days on which something is done."""
    return [done.day for done in route.operations if done.what == what]


def test_glue_dries_before_it_is_planed() -> None:
    """Plies are glued on the first day, the stack is planed on the second."""
    route = only_route(part("18 3/4 x 2 1/4 x 2 1/4"), PINE)
    assert days(route, "glue") == [1]
    assert days(route, "plane") == [1, 2]
    assert days(route, "crosscut") == [2]


def test_a_wide_top_is_glued_in_sections_that_pass_the_planer() -> None:
    """19 in: two sections on the first day, these together on the second."""
    route = only_route(part("33 x 19 x 1 1/4"), PINE)
    assert days(route, "glue") == [1, 1, 2]
    widest = max(o.width for o in route.operations if o.what == "plane")
    assert widest <= inches("12")
    last = route.operations[-1]
    assert (last.what, last.day) == ("crosscut", 3)


def test_resawn_wood_rests_until_the_next_day() -> None:
    """It is planed on the second."""
    piece = part("20 x 3 x 1/2", wish=Wish(kind=BuildKind.RESAWN))
    (need,) = needs(piece, PINE)
    blank = need.builds[0].takes[0].blank
    assert blank.resawn is not None
    layout = Layout(
        id="board-1",
        material="pine",
        form="board",
        stock=PlanStock(
            name="2x4",
            length=blank.length,
            width=blank.width,
            thickness=inches("1 1/2"),
            grain="length",
            origin="store",
        ),
        pieces=(
            Piece(
                id="slice",
                x=0,
                y=0,
                length=blank.length,
                width=blank.width,
                thickness=blank.resawn,
                fate="part",
                blank=blank.id,
            ),
        ),
        cuts=(),
    )
    ((route,), _) = routes([piece], [PINE], [need], [layout], SHOP)
    assert days(route, "cut") == [1]
    assert days(route, "plane") == [2]
    assert "before it is resawn" in route.operations[0].note


def test_final_cuts_name_saw_and_setting() -> None:
    """The rail is ripped at the fence and cut to length at the stop."""
    route = only_route(part("30 x 2 x 1"), PINE)
    cuts = [(o.what, o.machine, o.setting) for o in route.operations[-2:]]
    assert cuts == [
        ("rip", "table saw", inches("2")),
        ("crosscut", "miter saw", inches("30")),
    ]


def test_a_rail_does_not_rip_narrow_lumber() -> None:
    """Under 8 in it carries no rail (common practice); wide panels it crosscuts."""
    rail = replace(SHOP.saws[1], name="track saw", rip_guide=Guide.LINE)
    rail = replace(rail, crosscut_guide=Guide.LINE)
    mill = replace(SHOP, saws=(rail, SHOP.saws[0]))
    piece = part("30 x 2 x 1")
    (need,) = needs(piece, PINE)
    ((route,), said) = routes([piece], [PINE], [need], (), mill)
    cuts = {o.what: o.machine for o in route.operations}
    assert (cuts["rip"], cuts["crosscut"]) == ("", "miter saw")
    assert any("to rip part" in text for text in said)


def test_a_fence_goes_before_a_line() -> None:
    """A setting gives the size, whichever saw the maker likes best."""
    rail = replace(SHOP.saws[1], name="track saw", rip_guide=Guide.LINE)
    rail = replace(rail, crosscut_guide=Guide.LINE)
    mill = replace(SHOP, saws=(rail, *SHOP.saws))
    piece = part("30 x 2 x 1")
    (need,) = needs(piece, PINE)
    ((route,), _) = routes([piece], [PINE], [need], (), mill)
    cuts = {o.what: o.machine for o in route.operations}
    assert (cuts["rip"], cuts["crosscut"]) == ("table saw", "miter saw")


def test_what_no_saw_reaches_is_told() -> None:
    """A top wider than the sled and the fence take is trimmed by hand."""
    short = [replace(saw, widest_crosscut=inches("12")) for saw in SHOP.saws]
    mill = replace(SHOP, saws=tuple(short))
    piece = part("33 x 19 x 1 1/4")
    need = needs(piece, PINE)[0]
    chosen = replace(need, builds=need.builds[:1])
    made, said = routes([piece], [PINE], [chosen], (), mill)
    assert made[0].operations[-1].machine == ""
    assert any("no saw of this shop reaches to crosscut part" in text for text in said)


def test_fitted_parts_are_left_oversize_and_come_last() -> None:
    """With the place to write what was measured."""
    route = only_route(part("30 x 2 x 1", is_fitted=True), PINE)
    last = route.operations[-1]
    assert last.what == "fit"
    assert "measured: ____" in last.note
    assert (last.length, last.width) == (inches("31"), inches("2 3/16"))


def test_a_part_that_is_cut_to_size_has_no_route() -> None:
    """There is nothing more to do."""
    piece = part("30 x 3 1/2 x 1 1/2")
    assert routes_of(piece, needs(piece, PINE)[0]) == []


def test_the_simulator_notices() -> None:
    """A planer too narrow, a size that grows, wood out of nothing: it can fail."""
    route = only_route(part("33 x 19 x 1 1/4"), PINE)
    narrow = replace(MACHINES, planer_width=inches("6"))
    with pytest.raises(WrongError, match="planer"):
        simulate(route, narrow)

    def changed(place: int, **what: object) -> PlanRoute:
        operations = list(route.operations)
        operations[place] = replace(operations[place], **what)  # type: ignore[arg-type]
        return replace(route, operations=tuple(operations))

    with pytest.raises(WrongError, match="too small"):
        simulate(changed(1, width=inches("9")), MACHINES)
    glued = next(n for n, o in enumerate(route.operations) if o.what == "glue")
    with pytest.raises(WrongError, match="larger than"):
        simulate(changed(glued, width=inches("20")), MACHINES)


def test_a_metric_shop_writes_and_rounds_in_millimetres() -> None:
    """Strips are rounded up to half a millimetre."""
    metric = replace(SHOP, display=replace(SHOP.display, unit=Unit.MM))
    (need,) = needs(part("30 x 19 x 1 1/4"), PINE, mill=metric)
    width = need.builds[0].takes[0].blank.width
    assert width % 800 == 0


def test_operations_are_plain_records() -> None:
    """They are kept in the plan file as they are."""
    assert isinstance(only_route(part("30 x 2 x 1"), PINE).operations[0], Operation)
