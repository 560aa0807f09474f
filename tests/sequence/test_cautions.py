"""Every caution of a cut or of the job appears where it should, and only there.

Each case is one cut, in inches; the sources of the limits are those of the rules.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from nesting.model.plan import Cut, Layout, Piece, PlanSaw, PlanStock
from nesting.sequence import put_in_order
from nesting.trade.cautions import CAUTIONS
from nesting.units import Display

INCH = 40_640
SAWS = tuple(
    PlanSaw(name=kind, kind=kind, kerf=0, cuts=("rip", "crosscut", "resaw"))
    for kind in ("table saw", "miter saw", "radial arm saw", "band saw", "track saw")
)
NOT_OF_SAWS = {
    "eased-edges": "the plan says nothing of how the edges of its lumber are",
    "jointer-short": "of milling, which checks the machine's own shortest piece",
    "planer-short": "likewise",
}


class Once(NamedTuple):
    """One cut of a piece, in inches."""

    form: str
    size: tuple[float, float, float]
    plane: str
    at: float
    saw: str = "table saw"
    guide: str = "fence"
    purpose: str = "size"
    makes: tuple[tuple[float, float, float], ...] = ()


def said(once: Once) -> set[str]:
    """Return the cautions of a plan of one cut."""
    length, width, thickness = (int(side * INCH) for side in once.size)
    at = int(once.at * INCH)
    piece = Piece(
        id="a", x=0, y=0, length=length, width=width, thickness=thickness, fate="cut"
    )
    cut = Cut(
        step=0,
        piece="a",
        plane=once.plane,
        at=at,
        kerf=0,
        saw=once.saw,
        makes=tuple(f"a.{n}" for n, _ in enumerate(once.makes)),
        setting="",
        measure=at,
        guide=once.guide,
        purpose=once.purpose,
    )
    made = [
        Piece(
            id=f"a.{number}",
            x=0,
            y=0,
            length=int(x * INCH),
            width=int(y * INCH),
            thickness=int(z * INCH),
            fate="offcut",
        )
        for number, (x, y, z) in enumerate(once.makes)
    ]
    stock = PlanStock(
        name="stock",
        length=length,
        width=width,
        thickness=thickness,
        grain="length",
        origin="store",
    )
    layout = Layout(
        id="a",
        material="oak",
        form=once.form,
        stock=stock,
        pieces=(piece, *made),
        cuts=(cut,),
    )
    ordered = put_in_order([layout], SAWS, Display())
    at_cut = {rule for lay in ordered.layouts for c in lay.cuts for rule in c.cautions}
    listed = {caution.id for caution in ordered.cautions}
    assert at_cut <= listed
    return listed


RIP = Once("sheet", (40, 20, 0.75), "rip", 8)
CHOP = Once("stick", (40, 4, 1.5), "crosscut", 12, "miter saw", "stop")
RESAW = Once("board", (40, 5, 2), "resaw", 1, "band saw")
LONG = Once("board", (97, 8, 1), "rip", 7)
CASES = {
    "push-stick": (RIP._replace(at=5.9), RIP._replace(at=6)),
    "thin-strip": (RIP._replace(at=2.9), RIP._replace(at=3)),
    "short-rip": (RIP._replace(size=(11.9, 20, 1)), RIP._replace(size=(12, 20, 1))),
    "clamp-short": (CHOP._replace(size=(15, 4, 1), at=7.5), CHOP._replace(at=8)),
    "hands": (CHOP, CHOP._replace(saw="track saw", guide="line")),
    "fence-crosscut": (
        RIP._replace(plane="crosscut", at=20.5),
        RIP._replace(plane="crosscut", at=20),
    ),
    "support-sheet": (RIP, LONG),
    "lift": (RIP._replace(size=(96, 48, 0.75)), RIP._replace(size=(48, 48, 0.75))),
    "outfeed": (LONG, LONG._replace(size=(40, 8, 1))),
    "straight-edge": (LONG, CHOP),
    "resaw": (RESAW, RIP),
    "resaw-tall": (RESAW._replace(size=(40, 6.1, 2)), RESAW._replace(size=(40, 6, 2))),
    "resaw-short": (
        RESAW._replace(size=(11.9, 5, 2)),
        RESAW._replace(size=(12, 5, 2)),
    ),
    "resaw-table-saw": (RESAW._replace(saw="table saw"), RESAW),
    "bandsaw-hands": (RESAW, RESAW._replace(saw="table saw")),
    "radial-rip": (
        RIP._replace(saw="radial arm saw"),
        RIP._replace(saw="radial arm saw", plane="crosscut"),
    ),
}


@pytest.mark.parametrize("rule", CASES)
def test_it_appears_and_stays_away(rule: str) -> None:
    """The first cut of a case has the caution, the second has not; it has a source."""
    with_it, without = CASES[rule]
    assert rule in said(with_it)
    assert rule not in said(without)
    assert CAUTIONS[rule].source


def test_the_saw_at_the_store_needs_no_caution_at_home() -> None:
    """Neither for its kind nor for the weight of what is not carried whole."""
    there = CHOP._replace(purpose="haul", size=(15, 4, 1), at=7.5)
    assert said(there) == {"general"}
    whole = RIP._replace(
        size=(96, 48, 0.75), plane="crosscut", at=48, guide="line", purpose="haul"
    )
    half = (48, 48, 0.75)
    assert "lift" not in said(whole._replace(makes=(half, half)))
    assert "lift" in said(whole._replace(makes=((90, 48, 0.75), (6, 48, 0.75))))


def test_the_general_one_needs_a_cut_only() -> None:
    """Every plan with stock has it, no empty one."""
    assert "general" in said(RIP)
    assert put_in_order([], SAWS, Display()).cautions == ()


def test_every_rule_has_a_case() -> None:
    """Nothing is said by the trade that no plan could say, but what is no saw's."""
    assert set(CAUTIONS) == {"general", *CASES, *NOT_OF_SAWS}
