"""Which saw makes which cut."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.shop import Saw
from nesting.model.terms import Form, Guide, Plane
from nesting.solve.reach import first_way, kerfs, narrowest_kerfs, ways_to_cut

BOTH = (Plane.RIP, Plane.CROSSCUT)
TABLE = Saw(
    name="table",
    kind="table saw",
    kerf=30,
    planes=BOTH,
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
    widest_rip=750,
    widest_crosscut=500,
    tallest=80,
)
RAIL = Saw(name="rail", kind="track saw", kerf=22, planes=BOTH, longest_cut=1250)
CHOP = Saw(
    name="chop",
    kind="miter saw",
    kerf=32,
    planes=(Plane.CROSSCUT,),
    crosscut_guide=Guide.STOP,
    widest_crosscut=300,
)
BAND = Saw(
    name="band",
    kind="band saw",
    kerf=10,
    planes=(Plane.RESAW, Plane.RIP),
    rip_guide=Guide.FENCE,
)


@pytest.mark.parametrize(
    ("plane", "run", "measure", "saw", "guide"),
    [
        # a rip against the fence, as wide as it opens
        (Plane.RIP, 2440, 750, "table", Guide.FENCE),
        # one tick wider needs the rail, which is too short for the whole length
        (Plane.RIP, 2440, 751, None, None),
        (Plane.RIP, 1250, 751, "rail", Guide.LINE),
        (Plane.RIP, 1251, 751, None, None),
        # a rip shorter than its distance would turn on the fence: the sled takes it
        (Plane.RIP, 400, 401, "table", Guide.STOP),
        (Plane.RIP, 400, 400, "table", Guide.FENCE),
        # and what is too long for the sled goes under the rail
        (Plane.RIP, 600, 700, "rail", Guide.LINE),
        # a wide panel may be crosscut on the fence
        (Plane.CROSSCUT, 700, 700, "table", Guide.FENCE),
        # a narrow one not: it goes on the sled
        (Plane.CROSSCUT, 500, 501, "table", Guide.STOP),
        # too wide for the sled and too narrow for the fence: the rail
        (Plane.CROSSCUT, 600, 700, "rail", Guide.LINE),
        (Plane.CROSSCUT, 1251, 1300, None, None),
    ],
)
def test_sheet_cuts_go_to_the_first_saw_that_reaches(
    plane: Plane, run: int, measure: int, saw: str | None, guide: Guide | None
) -> None:
    """Reach is inclusive, and each limit binds the cut it is meant for."""
    way = first_way(ways_to_cut((TABLE, RAIL), Form.SHEET, 18), plane, run, measure)
    assert (way.saw.name if way else None) == saw
    assert (way.guide if way else None) == guide


def test_nothing_narrower_than_the_least_rip_passes_the_fence() -> None:
    """On the fence, in either plane; the sled and the rail have no such limit."""
    saw = replace(TABLE, narrowest_rip=30)
    ways = ways_to_cut((saw, RAIL), Form.SHEET, 18)
    at_least = first_way(ways, Plane.RIP, 800, 30)
    narrower = first_way(ways, Plane.RIP, 800, 29)
    short = first_way(ways, Plane.RIP, 400, 29)
    assert at_least is not None
    assert at_least.guide is Guide.FENCE
    assert narrower is not None
    assert narrower.saw is RAIL
    assert short is not None
    assert (short.saw, short.guide) == (saw, Guide.STOP)
    across = first_way(ways_to_cut((saw,), Form.SHEET, 18), Plane.CROSSCUT, 600, 29)
    assert across is None


def test_sticks_are_crosscut_at_the_crosscut_saw_first() -> None:
    """A saw that only crosscuts is preferred for lengths, whatever the shop's order."""
    ways = ways_to_cut((TABLE, RAIL, CHOP), Form.STICK, 38)
    way = first_way(ways, Plane.CROSSCUT, 89, 2000)
    assert way is not None
    assert way.saw is CHOP
    assert all(
        way.guide is not Guide.FENCE for way in ways if way.plane is Plane.CROSSCUT
    )


def test_a_rail_does_not_rip_lumber_and_a_band_saw_cuts_no_sheet() -> None:
    """Both are common practice: narrow lumber gives a rail no support."""
    stick = ways_to_cut((RAIL, BAND), Form.STICK, 38)
    assert [way.saw for way in stick if way.plane is Plane.RIP] == [BAND]
    sheet = ways_to_cut((RAIL, BAND), Form.SHEET, 18)
    assert {way.saw.name for way in sheet} == {"rail"}


def test_a_saw_cuts_nothing_thicker_than_it_reaches_through() -> None:
    """`tallest` is inclusive."""
    assert ways_to_cut((TABLE,), Form.SHEET, 80)
    assert not ways_to_cut((TABLE,), Form.SHEET, 81)


def test_only_boards_are_resawn_at_a_band_saw_first_and_on_edge() -> None:
    """The width of the piece is what the blade must reach through."""
    table = replace(TABLE, planes=(*BOTH, Plane.RESAW))
    low = replace(BAND, tallest=150)
    ways = ways_to_cut((table, low), Form.BOARD, 38)
    way = first_way(ways, Plane.RESAW, 600, 18, standing=150)
    assert way is not None
    assert (way.saw, way.guide) == (low, Guide.FENCE)
    assert first_way(ways, Plane.RESAW, 600, 18, standing=151) is None
    assert first_way(ways, Plane.RESAW, 600, 18, standing=80) is not None
    assert first_way((*ways[:-2],), Plane.RESAW, 600, 18) is None
    for form in (Form.SHEET, Form.STICK):
        assert kerfs(ways_to_cut((table, low), form, 38), Plane.RESAW) is None


def test_kerfs_are_those_of_the_saws_that_cut_the_plane() -> None:
    """The narrowest and the widest, or nothing where no saw cuts."""
    ways = ways_to_cut((TABLE, RAIL), Form.SHEET, 18)
    assert kerfs(ways, Plane.RIP) == (22, 30)
    assert kerfs(ways_to_cut((CHOP,), Form.STICK, 38), Plane.RIP) is None


def test_a_certificate_takes_any_saw_that_cuts_so_thick() -> None:
    """Guides are nothing to it; a low saw cuts nothing, a band saw no sheet."""
    assert narrowest_kerfs((TABLE, RAIL, BAND), Form.SHEET, 18) == (22, 22)
    assert narrowest_kerfs((TABLE, RAIL, BAND), Form.STICK, 18) == (22, BAND.kerf)
    assert narrowest_kerfs((CHOP,), Form.STICK, 38) == (CHOP.kerf, 0)
    assert narrowest_kerfs((TABLE,), Form.SHEET, 81) == (0, 0)
