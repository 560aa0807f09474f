"""Each build by hand arithmetic, with the case at its limit and those beyond it.

The figures are the usual allowances (common and teaching practice, see
`nesting.trade.defaults`): 1 in of rough length, 1/4 in of width, 1/8 in to flatten
dressed stock, 1/16 in off each jointed edge, off each sawn face, off a jointed face
before resawing and off the thickness of a glue-up, 1/8 in of slip. Dressed sizes are
those of PS 20.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop import (
    BAND,
    MITER,
    SHOP,
    TABLE,
    TABLE_RESAW,
    WIDE_SAW,
    inches,
    lumber,
    needs,
    part,
    rough,
    sheet,
    want,
)

from nesting.errors import InputError
from nesting.milling import Mill
from nesting.milling.edge_glued import needed_width
from nesting.model.job import Allowance, Material
from nesting.model.mill import BuildKind, Corner, Edging, Jointer, Planer, Side, Wish


def wish(kind: BuildKind, count: int | None = None) -> Wish:
    """Return what a maker asks for."""
    return Wish(kind=kind, count=count)


def refusal(piece: object, *materials: object, mill: Mill = SHOP) -> str:
    """Return why a part is refused."""
    with pytest.raises(InputError) as caught:
        needs(piece, *materials, mill=mill)  # type: ignore[arg-type]
    (fault,) = caught.value.faults
    return str(fault)


# As bought


@pytest.mark.parametrize(
    ("size", "blank"),
    [
        ("30 x 3 1/2 x 1 1/2", ("30", "3 1/2", "1 1/2", 1)),  # a 2x4 as it is
        ("30 x 2 x 1 1/2", ("30", "2", "1 1/2", 1)),  # ripped, no more
        ("30 x 5 1/2 x 1 1/2", ("30", "5 1/2", "1 1/2", 1)),  # at its limit
        ("2 x 3 1/2 x 1 1/2", ("2", "3 1/2", "1 1/2", 1)),  # short: it is not milled
        ("30 x 1 1/2 x 3/4", ("30", "1 1/2", "3/4", 1)),
    ],
)
def test_as_bought_is_cut_to_size(size: str, blank: tuple[str, ...]) -> None:
    """A part as thick as its stock has no allowance and no planing."""
    (need,) = needs(part(size), lumber("2x4", "2x6", "1x4"))
    assert need.builds[0].kind is BuildKind.AS_BOUGHT
    assert rough(need) == [blank]
    assert not need.builds[0].takes[0].blank.minimum


@pytest.mark.parametrize(
    ("width", "sections"),
    [
        ("3", ("2x4", "2x6")),
        ("3 1/4", ("2x4", "2x6")),  # at its limit: 3 1/2 less twice 1/8
        ("3 5/16", ("2x6",)),
        ("5 1/4", ("2x6",)),
    ],
)
def test_square_edges_ask_for_a_wider_section(
    width: str, sections: tuple[str, ...]
) -> None:
    """A board gives its width less both rounded edges."""
    pine = _rounded(lumber("2x4", "2x6"))
    (need,) = needs(part(f"30 x {width} x 1 1/2", square_edges=True), pine)
    blank = need.builds[0].takes[0].blank
    assert (blank.sections or (blank.section,)) == sections
    assert blank.square_edges


def test_square_edges_are_refused_where_no_section_leaves_them() -> None:
    """A 2x6 leaves 5 1/4 in one piece."""
    asked = wish(BuildKind.ONE_PIECE)
    piece = part("30 x 5 1/2 x 1 1/2", square_edges=True, wish=asked)
    told = refusal(piece, _rounded(lumber("2x6")))
    assert "2x6 (1 1/2 x 5 1/4) between their rounded edges" in told


def _rounded(pine: Material) -> Material:
    """Return lumber with its edges rounded by 1/8 in."""
    edge = inches("1/8")
    return replace(pine, sections=tuple(replace(s, eased=edge) for s in pine.sections))


def test_as_bought_is_refused_where_nothing_is_as_thick() -> None:
    """1 3/8 is no dressed thickness."""
    piece = part("30 x 3 x 1 3/8", wish=wish(BuildKind.AS_BOUGHT))
    assert "just 1 3/8 thick" in refusal(piece, lumber("2x4"))


# One piece


@pytest.mark.parametrize(
    ("size", "blank"),
    [
        ("30 x 3 x 1 1/4", ("31", "3 1/4", "1 1/4", 1)),
        ("30 x 2 x 1 3/8", ("31", "2 1/4", "1 3/8", 1)),  # 1/8 to flatten: the limit
        ("30 x 3 1/4 x 1", ("31", "3 1/2", "1", 1)),  # the whole width of a 2x4
        ("30 x 3 1/2 x 1", ("31", "3 1/2", "1", 1)),  # no width over: it is told
        ("13 x 2 x 1", ("14", "2 1/4", "1", 1)),  # just what the planer takes
    ],
)
def test_one_piece_is_planed_down(size: str, blank: tuple[str, ...]) -> None:
    """It has the rough allowances, and may stay thicker until it is planed."""
    (need,) = needs(part(size), lumber("2x4"))
    assert need.builds[0].kind is BuildKind.ONE_PIECE
    assert rough(need) == [blank]
    assert need.builds[0].takes[0].blank.minimum


def test_a_maker_gives_other_allowances() -> None:
    """The part's go before the material's, and these before the usual ones."""
    piece = part("30 x 2 x 1", allowance=Allowance(length=inches("1/2")))
    material = replace(lumber("2x4"), allowance=Allowance(width=inches("1/8")))
    (need,) = needs(piece, material)
    assert rough(need) == [("30 1/2", "2 1/8", "1", 1)]


def test_snipe_is_added_where_a_maker_wants_it() -> None:
    """It is 0 by default; 2 in an end make a blank 4 in longer."""
    mill = replace(SHOP, allowances=replace(SHOP.allowances, snipe=inches("2")))
    (need,) = needs(part("30 x 2 x 1"), lumber("2x4"), mill=mill)
    assert rough(need)[0][0] == "35"


def test_one_piece_is_never_resawn_where_its_maker_says_so() -> None:
    """Else a slice of thicker stock may do."""
    (need,) = needs(part("30 x 2 x 1/2"), lumber("2x4"))
    assert need.builds[0].takes[0].blank.resawn == inches("19/32")
    piece = part("30 x 2 x 1/2", wish=wish(BuildKind.ONE_PIECE))
    (need,) = needs(piece, lumber("2x4"))
    assert need.builds[0].takes[0].blank.resawn is None


# Resawn: trade arithmetic for a dressed 2x, 1 1/2 in


@pytest.mark.parametrize(
    ("thickness", "saw"),
    [
        ("5/8", BAND),  # (1 1/2 - 1/16 - 1/16) / 2 - 1/16 = 5/8: nothing to spare
        ("1/2", BAND),
        ("3/8", BAND),
        ("9/16", TABLE_RESAW),  # (1 1/2 - 1/16 - 1/8) / 2 = 21/32, cleaned 19/32
        ("1/2", TABLE_RESAW),
    ],
)
def test_two_slices_of_a_2x(thickness: str, saw: object) -> None:
    """One face is jointed, the kerf falls, each sawn face is cleaned."""
    mill = replace(SHOP, saws=(MITER, TABLE, saw))
    piece = part(f"20 x 3 x {thickness}", wish=wish(BuildKind.RESAWN, 2))
    (need,) = needs(piece, lumber("2x4"), mill=mill)
    blank = need.builds[0].takes[0].blank
    assert blank.resawn == blank.thickness + inches("3/32")
    assert 2 * blank.resawn + saw.kerf <= inches("1 1/2")  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("thickness", "count", "saws"),
    [
        ("3/4", 2, (BAND,)),  # never 3/4 of a 2x
        ("5/8", 2, (TABLE_RESAW,)),  # not without a thinner blade
        ("41/64", 2, (BAND,)),  # one step beyond the limit
        ("3/8", 3, (BAND,)),  # 9/8 + 5/16 + 1/8 = 1 9/16
        ("5/8", 2, ()),  # no saw
    ],
)
def test_slices_that_cannot_be(thickness: str, count: int, saws: tuple) -> None:
    """The fault says what they would take, or that no saw does it."""
    mill = replace(SHOP, saws=(MITER, TABLE, *saws))
    piece = part(f"20 x 3 x {thickness}", wish=wish(BuildKind.RESAWN, count))
    why = refusal(piece, lumber("2x4"), mill=mill)
    assert ("slices" in why) if saws else ("no saw" in why)


def test_three_slices_where_they_fit() -> None:
    """3/4 + 5/16 + 1/8 = 1 3/16 of 1 1/2."""
    piece = part("20 x 3 x 1/4", wish=wish(BuildKind.RESAWN, 3))
    (need,) = needs(piece, lumber("2x4"))
    assert need.builds[0].kind is BuildKind.RESAWN


def test_a_blank_wider_than_the_saw_is_tall_is_not_resawn() -> None:
    """6 in under the guide: 5 3/4 and 1/4 go, 6 and 1/4 do not."""
    at_limit = part("20 x 5 3/4 x 1/2", wish=wish(BuildKind.RESAWN))
    assert needs(at_limit, lumber("2x8"))
    beyond = part("20 x 6 x 1/2", wish=wish(BuildKind.RESAWN))
    assert "more than 6" in refusal(beyond, lumber("2x8"))
    taller = replace(SHOP, saws=(MITER, TABLE, WIDE_SAW))
    assert needs(beyond, lumber("2x8"), mill=taller)


# Laminated


@pytest.mark.parametrize(
    ("size", "count", "blank"),
    [
        # a leg 2 1/4 square: two plies, 2 1/4 + 1/4 + 1/8 wide
        ("18 3/4 x 2 1/4 x 2 1/4", 2, ("19 3/4", "2 5/8", "1 1/2", 2)),
        # 2 x 1 3/8 - 1/16 = 2 11/16: the limit of two plies
        ("20 x 2 x 2 11/16", 2, ("21", "2 3/8", "1 1/2", 2)),
        ("20 x 2 x 2 3/4", 3, ("21", "2 3/8", "1 1/2", 3)),
        ("20 x 3 x 3", 3, ("21", "3 3/8", "1 1/2", 3)),
        ("20 x 2 x 4", 3, ("21", "2 3/8", "1 1/2", 3)),
        ("20 x 2 x 4 1/8", 4, ("21", "2 3/8", "1 1/2", 4)),
    ],
)
def test_plies(size: str, count: int, blank: tuple[object, ...]) -> None:
    """As few as leave 1/8 to flatten each and 1/16 to plane the stack."""
    (need,) = needs(part(size), lumber("2x4"))
    (build,) = need.builds
    assert build.kind is BuildKind.LAMINATED
    assert rough(need) == [blank]
    assert build.takes[0].count == count


def test_plies_of_each_thickness_are_offered() -> None:
    """Two of 1 1/2 or four of 3/4: 4 x 5/8 - 1/16 = 2 7/16."""
    (need,) = needs(part("20 x 2 x 2 1/4"), lumber("2x4", "1x4"))
    assert [build.takes[0].count for build in need.builds] == [2, 4]


def test_a_maker_who_wants_two_plies_has_two() -> None:
    """3 in of two 1 1/2 leave nothing to plane: it is told, not overruled."""
    piece = part("20 x 2 x 3", wish=wish(BuildKind.LAMINATED, 2))
    (need,) = needs(piece, lumber("2x4"))
    assert need.builds[0].takes[0].count == 2


def test_too_few_plies_are_refused() -> None:
    """Two of 1 1/2 are no 3 1/4, and no 2x4 gives a ply 4 in wide."""
    piece = part("20 x 2 x 3 1/4", wish=wish(BuildKind.LAMINATED, 2))
    assert "do not give 3 1/4" in refusal(piece, lumber("2x4"))
    piece = part("20 x 4 x 2 1/4", wish=wish(BuildKind.LAMINATED))
    assert "4 3/8 wide" in refusal(piece, lumber("2x4"))


def test_never_laminated_for_want_of_a_planing_allowance() -> None:
    """1 1/2 is used as bought."""
    (need,) = needs(part("20 x 2 x 1 1/2"), lumber("2x4"))
    assert need.builds[0].kind is BuildKind.AS_BOUGHT


# Edge-glued


@pytest.mark.parametrize(
    ("width", "count", "strip"),
    [
        # 14 + 1/4, a seam's 1/8, three times 1/4: 15 1/8, of three: 5 1/16 up
        ("14", 3, "5 1/16"),
        ("11 1/4", 3, "4 1/8"),  # 11 1/2 + 3/4 = 12 1/4, one section, 4 1/8 up
        ("7", 2, "3 7/8"),  # 7 1/4 + 1/2 = 7 3/4
        # 10 + 1/4 + 1/2 = 10 3/4: two of 5 3/8, a 2x6 less one rounded edge
        ("10", 2, "5 3/8"),
        ("10 1/16", 3, "3 11/16"),  # beyond it: 10 5/16 + 3/4 = 11 1/16
        ("19", 4, "5 1/8"),  # 19 1/4 + 1/8 + 1 = 20 3/8
    ],
)
def test_equal_strips_come_first(width: str, count: int, strip: str) -> None:
    """As few as jointer and boards allow; each strip loses 1/8 and twice 1/16."""
    (need,) = needs(part(f"30 x {width} x 1 1/4"), lumber("2x6"))
    assert need.builds[0].kind is BuildKind.EDGE_GLUED
    assert rough(need) == [("31", strip, "1 5/16", count)]


def test_a_glued_2x_top_is_1_5_16_at_most() -> None:
    """It is planed twice: 1 1/2 - 1/8 - 1/16 (common practice), never 1 3/8."""
    piece = part("30 x 14 x 1 5/16", wish=wish(BuildKind.EDGE_GLUED))
    assert needs(piece, lumber("2x6"))
    piece = part("30 x 14 x 1 3/8", wish=wish(BuildKind.EDGE_GLUED))
    assert "it is 1 5/16 at most" in refusal(piece, lumber("2x6"))


def test_all_sets_of_strips_add_up() -> None:
    """Each is as wide as the top needs with its edges, none wider than the jointer."""
    piece, material = part("30 x 19 x 1 1/4"), lumber("2x4", "2x6", "2x8", "2x10")
    (need,) = needs(piece, material)
    assert len(need.builds) > 3
    for build in need.builds:
        count = sum(take.count for take in build.takes)
        total = sum(take.count * take.blank.width for take in build.takes)
        assert total >= needed_width(want(piece, material), count, SHOP)
        assert max(take.blank.width for take in build.takes) <= inches("6")
        assert min(take.blank.width for take in build.takes) >= inches("1 1/2")


def test_a_maker_who_wants_seven_strips_has_seven() -> None:
    """However the widths are chosen."""
    piece = part("30 x 19 x 1 1/4", wish=wish(BuildKind.EDGE_GLUED, 7))
    (need,) = needs(piece, lumber("2x4", "2x6"))
    for build in need.builds:
        assert sum(take.count for take in build.takes) == 7
    piece = part("30 x 19 x 1 1/4", wish=wish(BuildKind.EDGE_GLUED, 3))
    assert "more strips" in refusal(piece, lumber("2x6"))


def test_a_wider_jointer_takes_wider_strips() -> None:
    """With 8 in, two of a 2x8 do: 13 1/4 + 1/8 + 1/2 = 13 7/8, 6 15/16 each."""
    mill = replace(SHOP, jointer=replace(Jointer(), width=inches("8")))
    (need,) = needs(part("30 x 13 x 1 1/4"), lumber("2x8"), mill=mill)
    assert rough(need)[0][3] == 2


def test_no_glue_up_without_a_planer() -> None:
    """A part in one piece is told to be planed by hand instead."""
    mill = replace(SHOP, planer=None)
    piece = part("30 x 14 x 1", wish=wish(BuildKind.EDGE_GLUED))
    assert "no planer" in refusal(piece, lumber("2x6"), mill=mill)


# On edge


@pytest.mark.parametrize(
    ("width", "thickness", "count", "tall"),
    [
        # 10 + 1/4 = 10 1/4 of 1 3/8 each: 8; 3 and two rounded edges of 1/8 tall
        ("10", "3", 8, "3 1/4"),
        ("10 3/4", "3", 8, "3 1/4"),  # 11 = 8 x 1 3/8: the limit
        ("10 13/16", "3", 9, "3 1/4"),
        ("24", "2 1/2", 18, "2 3/4"),  # 24 1/4 + 2 seams' 1/4
        ("2 1/2", "3 1/4", 2, "3 1/2"),  # the whole width of a 2x4
    ],
)
def test_strips_on_edge(width: str, thickness: str, count: int, tall: str) -> None:
    """The width comes of planed thicknesses, the thickness of the rip."""
    piece = part(f"30 x {width} x {thickness}", wish=wish(BuildKind.ON_EDGE))
    (need,) = needs(piece, lumber("2x4"))
    assert rough(need) == [("31", tall, "1 1/2", count)]


def test_on_edge_beyond_the_width_of_boards_is_refused() -> None:
    """3 3/8 + 1/4 is more than a 2x4 is wide."""
    piece = part("30 x 10 x 3 3/8", wish=wish(BuildKind.ON_EDGE))
    assert "3 5/8 wide" in refusal(piece, lumber("2x4"))


def test_a_thick_wide_part_is_offered_on_edge() -> None:
    """1 3/8 x 14 is too thick to glue flat of 2x and too wide for plies."""
    (need,) = needs(part("30 x 14 x 1 3/8"), lumber("2x4"))
    assert need.builds[0].kind is BuildKind.ON_EDGE


# Ganged


@pytest.mark.parametrize(
    ("length", "copies", "gangs"),
    [
        # four of 3 with three kerfs and 1 in: 13 3/8, short of 14; five are 16 1/2
        ("3", 10, [(5, 2, "16 1/2")]),
        ("3", 5, [(5, 1, "16 1/2")]),
        ("3", 6, [(6, 1, "19 5/8")]),
        ("3", 11, [(6, 1, "19 5/8"), (5, 1, "16 1/2")]),
        ("3", 3, [(3, 1, "14")]),  # raised to what the planer takes
        # two of 6 7/16 with a kerf and 1 in are 14: the limit
        ("6 7/16", 4, [(2, 2, "14")]),
        ("13", 3, [(1, 3, "14")]),  # long enough alone
    ],
)
def test_short_parts_are_milled_in_gangs(
    length: str, copies: int, gangs: list[tuple[int, int, str]]
) -> None:
    """One rough length, a kerf between copies, no shorter than 14 in (manuals)."""
    piece = part(f"{length} x 2 x 1", quantity=copies)
    found = needs(piece, lumber("2x4"))
    assert [(n.copies, n.quantity, rough(n)[0][0]) for n in found] == gangs
    assert sum(n.copies * n.quantity for n in found) == copies


def test_one_short_part_is_left_long() -> None:
    """There is nothing to gang it with."""
    (need,) = needs(part("5 x 2 x 1"), lumber("2x4"))
    assert rough(need)[0][0] == "14"


def test_short_legs_are_laminated_in_gangs() -> None:
    """Four of 5 in: two in one, 10 1/8 + 1 = 11 1/8, so three; four are shared out."""
    (need,) = needs(part("5 x 2 1/4 x 2 1/4", quantity=4), lumber("2x4"))
    assert (need.copies, need.quantity) == (4, 1)
    assert need.builds[0].kind is BuildKind.LAMINATED


def test_without_machines_nothing_is_ganged() -> None:
    """No machine, no shortest piece."""
    mill = replace(SHOP, planer=None, jointer=None)
    (need,) = needs(part("3 x 2 x 1", quantity=8), lumber("2x4"), mill=mill)
    assert need.copies == 1


# Edged panels


FRONT = (Side.FRONT,)
THREE = (Side.FRONT, Side.LEFT, Side.RIGHT)


@pytest.mark.parametrize(
    ("sides", "corner", "panel", "strips"),
    [
        (FRONT, Corner.BUTT, ("30", "11 1/4"), [("31", 1)]),
        (THREE, Corner.BUTT, ("28 1/2", "11 1/4"), [("29 1/2", 1), ("13", 2)]),
        (THREE, Corner.MITRE, ("28 1/2", "11 1/4"), [("31", 1), ("13", 2)]),
        (tuple(Side), Corner.MITRE, ("28 1/2", "10 1/2"), [("13", 2), ("31", 2)]),
        ((Side.LEFT,), Corner.BUTT, ("29 1/4", "12"), [("13", 1)]),
    ],
)
def test_edging_makes_its_panel_smaller(
    sides: tuple[Side, ...],
    corner: Corner,
    panel: tuple[str, str],
    strips: list[tuple[str, int]],
) -> None:
    """A shelf 30 x 12 with 3/4 edging; strips are 1 in long and 1/16 proud."""
    edging = Edging(
        material="pine", thickness=inches("3/4"), sides=sides, corner=corner
    )
    piece = part("30 x 12", material="ply", edging=edging)
    (need,) = needs(piece, sheet("1/2"), lumber("1x4"))
    for build in range(len(need.builds)):
        (long, wide, thick, count), *others = rough(need, build)
        assert (long, wide, thick, count) == (*panel, "1/2", 1)
        assert sorted((s[0], s[3]) for s in others) == sorted(strips)
        assert {frozenset(s[1:3]) for s in others} == {frozenset(("9/16", "3/4"))}


def test_edging_that_leaves_nothing_or_has_no_wood_is_refused() -> None:
    """And so is edging on lumber."""
    wide = Edging(material="pine", thickness=inches("6"), sides=(Side.FRONT, Side.BACK))
    piece = part("30 x 12", material="ply", edging=wide)
    assert "leaves nothing" in refusal(piece, sheet(), lumber("2x10"))
    oak = Edging(material="oak", thickness=inches("3/4"), sides=FRONT)
    piece = part("30 x 12", material="ply", edging=oak)
    assert "no lumber 'oak'" in refusal(piece, sheet(), lumber("1x4"))
    pine = replace(oak, material="pine")
    assert "for sheet goods" in refusal(part("9 x 2 x 1", edging=pine), lumber("2x4"))


# Limits of the shop


@pytest.mark.parametrize(
    ("size", "shop", "word"),
    [
        ("30 x 7 x 1", {"jointer": Jointer(width=inches("6"))}, "jointer"),
        ("30 x 7 x 1", {"planer": Planer(width=inches("6"))}, "planer"),
        ("30 x 2 x 1/8", {}, "carrier board"),
        ("30 x 2 x 1 7/16", {}, "pick flat pieces"),
        ("30 x 2 x 1", {"planer": None}, "no planer"),
    ],
)
def test_a_limit_that_is_broken_is_told_with_a_way_out(
    size: str, shop: dict[str, object], word: str
) -> None:
    """Never silently."""
    from nesting.milling import offer

    mill = replace(SHOP, **shop)  # type: ignore[arg-type]
    asked = part(size, wish=wish(BuildKind.ONE_PIECE))
    offered = offer([asked], [lumber("2x10")], mill)
    assert any(word in text for text in offered.warnings)


def test_a_part_that_breaks_no_limit_says_nothing() -> None:
    """The other side of the test before."""
    from nesting.milling import offer

    offered = offer([part("30 x 3 x 1")], [lumber("2x4")], SHOP)
    assert offered.warnings == ()
