"""Every way to cut a sheet at the store leaves only pieces that can be carried."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from nesting.model.shop import Saw, SheetHaul
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Origin, Place, Plane
from nesting.solve.hauled import Sawing
from nesting.solve.hauled_sheets import is_too_large, sawings

BOTH = (Plane.CROSSCUT, Plane.RIP)
KERFS = dict.fromkeys(BOTH, 3)


def haul(length: int, width: int, cuts: int, **more: object) -> SheetHaul:
    saw = Saw(
        name="panel",
        place=Place.STORE,
        kerf=int(str(more.pop("kerf", 4))),
        planes=BOTH,
        **more,  # type: ignore[arg-type]
    )
    return SheetHaul(length=length, width=width, saw=saw, tolerance=6, cuts=cuts)


def sheet(
    length: int = 2440, width: int = 1220, trim: int = 3, **more: object
) -> Stock:
    return Stock(
        id="ply",
        material="ply",
        form=Form.SHEET,
        length=length,
        width=width,
        thickness=18,
        trim=Edges(low_x=trim, high_x=trim, low_y=trim, high_y=trim),
        **more,  # type: ignore[arg-type]
    )


def pieces(
    way: Sawing | None, kerf: int, box: tuple[int, int, int, int]
) -> list[tuple[int, int]]:
    """Return the sizes of what a way leaves, cut by cut."""
    low_x, high_x, low_y, high_y = box
    if way is None:
        return [(high_x - low_x, high_y - low_y)]
    at, far = way.at, way.at + kerf
    if way.axis == 0:
        assert low_x < at <= far < high_x
        near, other = (low_x, at, low_y, high_y), (far, high_x, low_y, high_y)
    else:
        assert low_y < at <= far < high_y
        near, other = (low_x, high_x, low_y, at), (low_x, high_x, far, high_y)
    return [*pieces(way.low, kerf, near), *pieces(way.high, kerf, other)]


@given(
    size=st.tuples(st.integers(600, 3000), st.integers(600, 1600)),
    car=st.tuples(st.integers(300, 2500), st.integers(300, 1300)),
    cuts=st.integers(1, 4),
    lies=st.lists(st.tuples(st.integers(50, 1500), st.integers(50, 1200)), max_size=6),
    kerf=st.integers(0, 6),
)
def test_every_piece_fits_and_no_cut_is_too_many(
    size: tuple[int, int],
    car: tuple[int, int],
    cuts: int,
    lies: list[tuple[int, int]],
    kerf: int,
) -> None:
    """Whatever the sheet, the car and the blanks."""
    stock, carried = sheet(*size), haul(*car, cuts, kerf=kerf)
    if not is_too_large(stock, carried):
        return
    ways = sawings(stock, carried, lies, KERFS)
    assert len(set(ways)) == len(ways)
    for way in ways:
        assert way.cuts <= cuts
        for length, width in pieces(way, kerf, (0, size[0], 0, size[1])):
            assert carried.carries(length, width)


def test_half_a_sheet_and_what_a_blank_needs() -> None:
    """By hand: (2440 - 4) / 2; 1500 with its trim and 6 off; 900 from the far end."""
    ways = sawings(sheet(), haul(1600, 1300, 1), [(1500, 400), (900, 400)], KERFS)
    places = {way.at for way in ways}
    assert {1218, 3 + 1500 + 6, 2440 - 3 - 900 - 6 - 4} <= places
    assert {way.axis for way in ways} == {0}


def test_too_many_cuts_give_no_way() -> None:
    """Four pieces take three cuts; so do four strips."""
    assert sawings(sheet(), haul(1300, 650, 2), [], KERFS) == ()
    assert sawings(sheet(), haul(1300, 650, 3), [], KERFS) != ()


def test_a_saw_is_asked_for_no_more_than_it_reaches() -> None:
    """One that crosscuts only 1000 wide sheets cuts none of 1220 across."""
    short = haul(1300, 650, 3, widest_crosscut=1000)
    ways = sawings(sheet(), short, [], KERFS)
    assert all(way.axis == 1 for way in ways)


def test_whole_sheets_and_those_at_home_are_not_too_large() -> None:
    """Either way round; and without a car nothing is."""
    assert is_too_large(sheet(), haul(1300, 1300, 2))
    assert not is_too_large(sheet(), haul(1220, 2440, 2))
    assert not is_too_large(sheet(), None)
    rack = sheet(origin=Origin.RACK)
    assert not is_too_large(rack, haul(1300, 1300, 2))


def test_a_sheet_a_little_too_large_is_cut_in_two() -> None:
    """What is over is less than the kerf; and no more cuts are made than it takes."""
    ways = sawings(sheet(1302, 1220), haul(1300, 1220, 3), [], KERFS)
    assert min(way.cuts for way in ways) == 1


def test_pieces_may_lie_either_way_round() -> None:
    """By hand: 750 off the length lies upright, what is left is cut along at 750."""
    ways = sawings(sheet(), haul(1800, 750, 2), [], KERFS)
    assert {way.cuts for way in ways} == {2}
    assert Sawing(0, 750, None, Sawing(1, 750)) in ways
