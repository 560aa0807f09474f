"""The samples: each is planned whole, and its sizes hold together as furniture.

The sums here are a joiner's, written again from the drawing: they start from the sizes
a rule would read off the finished piece, not from the named dimensions of the job.
"""

from __future__ import annotations

import math
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from nesting import Budget, Job, Plan, plan_job, read_job, verify_plan
from nesting.model.terms import Fate, Grain, Origin
from nesting.trade.lumber import nominal_section
from nesting.trade.panels import panel_category

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("hall-bench", "wardrobe", "garden-bench", "tea-cabinet")
INCH = Fraction(40_640)
MM = Fraction(1_600)
WORK = 20_000
ROUNDED = 4
"""Ticks that a sum of sizes, each rounded down once, may differ by."""


class Sizes:
    """The sizes of a job's parts, in one unit."""

    def __init__(self, job: Job, unit: Fraction) -> None:
        self._parts = {part.name: part for part in job.parts}
        self._unit = unit
        self.slack = ROUNDED / unit

    def length(self, part: str) -> Fraction:
        return self._parts[part].length / self._unit

    def width(self, part: str) -> Fraction:
        width = self._parts[part].width
        assert width is not None
        return width / self._unit

    def same(self, one: Fraction, other: Fraction) -> bool:
        return abs(one - other) <= self.slack


@pytest.fixture(scope="module")
def bench() -> Sizes:
    return Sizes(read_job(SAMPLES / "hall-bench"), INCH)


@pytest.fixture(scope="module")
def wardrobe() -> Sizes:
    return Sizes(read_job(SAMPLES / "wardrobe"), MM)


@pytest.fixture(scope="module")
def potting() -> Sizes:
    return Sizes(read_job(SAMPLES / "garden-bench"), INCH)


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {
        name: plan_job(read_job(SAMPLES / name), budget=Budget(work=WORK))
        for name in NAMES
    }


# --- the plans -----------------------------------------------------------------------


def test_every_folder_is_here() -> None:
    """No sample goes without these tests."""
    folders = {path.parent.name for path in SAMPLES.glob("*/job.toml")}
    assert folders == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_is_a_whole_piece_of_furniture(name: str) -> None:
    """A sample has at least 25 parts of at least a dozen kinds, and says what it is."""
    job = read_job(SAMPLES / name)
    assert sum(part.quantity for part in job.parts) >= 25
    assert len(job.parts) >= 12
    assert 10 <= len((SAMPLES / name / "README.md").read_text().splitlines()) <= 40


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_is_planned_whole(name: str, plans: dict[str, Plan]) -> None:
    """With a little work every part gets its place, in a plan that is sound."""
    job, plan = read_job(SAMPLES / name), plans[name]
    assert plan.unplaced == ()
    assert verify_plan(plan) == ()
    cut = Counter(
        piece.blank
        for layout in plan.layouts
        for piece in layout.pieces
        if piece.fate == Fate.PART
    )
    assert cut == {blank.id: blank.qty for blank in plan.blanks}
    assert {part.id: part.qty for part in plan.parts} == {
        part.name: part.quantity for part in job.parts
    }
    assert all(bound.lower_bound <= bound.value for bound in plan.bounds)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_owned_is_used_before_anything_is_bought(
    name: str, plans: dict[str, Plan]
) -> None:
    """Every sample has something on the rack, and its plan starts there."""
    origins = Counter(layout.stock.origin for layout in plans[name].layouts)
    assert origins[Origin.RACK] >= 1


@pytest.mark.parametrize("name", NAMES)
def test_grain_runs_where_it_shows(name: str, plans: dict[str, Plan]) -> None:
    """No part whose grain is bound lies across the grain of its sheet."""
    bound = {part.name for part in plans[name].parts if part.grain == Grain.LENGTH}
    turned = {
        piece.blank
        for layout in plans[name].layouts
        for piece in layout.pieces
        if piece.turned
    }
    assert not bound & turned


@pytest.mark.parametrize("name", NAMES)
def test_the_same_work_gives_the_same_plan(name: str, plans: dict[str, Plan]) -> None:
    """Planning a sample again with the same seed and work gives an equal plan."""
    again = plan_job(read_job(SAMPLES / name), budget=Budget(work=WORK))
    assert again == plans[name]


# --- the hall bench ------------------------------------------------------------------


def test_half_inch_plywood_measures_what_it_may() -> None:
    """The measured 0.47 in lies within what PS 1 allows for its 15/32 category."""
    thickness = _thickness("hall-bench", "ply")
    category = panel_category("15/32")  # PS 1-19: 0.438 to 0.500 in
    assert category.minimum <= thickness <= category.maximum


def test_the_bays_and_their_walls_make_up_the_bench(bench: Sizes) -> None:
    """Four panels of 0.47 in and three bays, each a front and its gaps, are 54 in."""
    ply = Fraction("0.47")
    bay = bench.length("shallow front") + 2 * Fraction(1, 8)
    assert bench.same(4 * ply + 3 * bay, Fraction(54))
    assert bench.length("carcass bottom") == bench.length("carcass top") == 54


def test_a_drawer_box_and_two_slides_fill_the_bay(bench: Sizes) -> None:
    """Box ends less their tongues, two sides and two slides of 1/2 in fill the bay."""
    bay = bench.length("deep front") + 2 * Fraction(1, 8)
    for end in ("shallow box end", "deep box end"):
        between = bench.length(end) - 2 * Fraction(3, 16)
        box = between + 2 * Fraction("0.47")
        assert bench.same(box + 2 * Fraction(1, 2), bay)


def test_the_fronts_fill_the_opening(bench: Sizes) -> None:
    """Two fronts and three gaps are as high as the ends stand out of their dadoes."""
    opening = bench.length("end") - 2 * Fraction(3, 16)
    fronts = bench.width("shallow front") + bench.width("deep front")
    assert bench.same(fronts + 3 * Fraction(1, 8), opening)
    assert bench.same(opening + 2 * Fraction("0.47"), Fraction("11.5"))
    assert bench.length("end") == bench.length("divider")


def test_each_box_has_air_above_and_below(bench: Sizes) -> None:
    """A box is lower than its front by at least 1/2 in, so it lifts onto its slides."""
    for size in ("shallow", "deep"):
        assert bench.width(f"{size} box side") == bench.width(f"{size} box end")
        spare = bench.width(f"{size} front") - bench.width(f"{size} box side")
        assert spare >= Fraction(1, 2)


def test_slides_and_front_fit_the_depth(bench: Sizes) -> None:
    """An inset front and a 14 in box end before the back of the carcass."""
    behind = 15 - bench.length("shallow box side") - Fraction("0.47")
    assert 0 < behind < 1


def test_a_drawer_bottom_sits_in_its_grooves(bench: Sizes) -> None:
    """A bottom reaches into grooves of 3/16 in on all sides and has 1/16 in of play."""
    across = bench.length("deep box end") - 2 * Fraction(3, 16)  # between the sides
    along = bench.length("deep box side") - 2 * Fraction("0.47")  # between the ends
    reach = 2 * Fraction(3, 16) - Fraction(1, 16)
    assert bench.same(bench.length("drawer bottom"), across + reach)
    assert bench.same(bench.width("drawer bottom"), along + reach)


def test_the_base_stands_under_the_carcass(bench: Sizes) -> None:
    """Rails between shoulders and legs of a dressed 2x4 make a base of 52 by 14 in."""
    leg = nominal_section("2x4")  # PS 20: 1 1/2 by 3 1/2 in
    tenon = Fraction(1)
    assert bench.length("long rail") - 2 * tenon + 2 * leg.width / INCH == 52
    assert bench.length("cross rail") - 2 * tenon + 2 * leg.thickness / INCH == 14
    assert tenon < leg.thickness / INCH


def test_one_sits_at_a_usual_height(bench: Sizes) -> None:
    """Base, carcass and seat are about 18 in high (common practice)."""
    height = bench.length("leg") + Fraction("11.5") + Fraction("0.47")
    assert Fraction("17.5") < height < Fraction("18.5")


def test_the_nosing_goes_round_the_seat(bench: Sizes) -> None:
    """Mitred strips of 3/4 in go along the front and both ends of the seat."""
    strip = nominal_section("1x2").thickness / INCH  # PS 20: 3/4 in
    assert bench.length("front nosing") == bench.length("seat") + 2 * strip
    assert bench.same(bench.length("end nosing"), bench.width("seat") + strip)
    # The seat's 3/4 in overhang and the back's 5.2 mm lie beside the carcass's 15 in.
    back = Fraction("5.2") / Fraction("25.4")
    assert bench.same(bench.width("seat"), 15 + back + Fraction(3, 4))


# --- the wardrobe --------------------------------------------------------------------


def test_the_carcass_is_as_wide_as_it_says(wardrobe: Sizes) -> None:
    """Two sides of 17.7 mm and the top between them are 1200 mm."""
    assert wardrobe.length("top") + 2 * Fraction("17.7") == 1200
    assert wardrobe.length("top") == wardrobe.length("bottom")
    assert wardrobe.length("plinth front") == wardrobe.length("bottom")


def test_two_bays_and_a_divider_fill_the_carcass(wardrobe: Sizes) -> None:
    """Both bays, as wide as their fixed shelves, and the divider fill the inside."""
    bays = wardrobe.length("hat shelf") + wardrobe.length("drawer lid")
    assert bays + Fraction("17.7") == wardrobe.length("top")
    assert wardrobe.length("hat shelf") - wardrobe.length("shelf") == 2


def test_the_carcass_is_as_high_as_it_says(wardrobe: Sizes) -> None:
    """Plinth, bottom, divider and top are as high as a side: 2050 mm."""
    height = 80 + wardrobe.length("divider") + 2 * Fraction("17.7")
    assert height == wardrobe.length("side") == 2050


def test_the_doors_cover_the_front(wardrobe: Sizes) -> None:
    """Two doors, 3 mm between them and 2 mm at each end are 1200 by 1970 mm."""
    assert 2 * wardrobe.width("door") + 3 + 2 * 2 == 1200
    assert wardrobe.length("door") + 2 * 2 == 2050 - 80


def test_an_inner_drawer_clears_the_hinges(wardrobe: Sizes) -> None:
    """Box, two slides of 12.7 mm and a packing strip of 17.7 mm fill the right bay."""
    between = wardrobe.length("box end") - 2 * 5
    box = between + 2 * Fraction("11.8")
    assert box + 2 * Fraction("12.7") + Fraction("17.7") == wardrobe.length("hat shelf")
    face = wardrobe.length("drawer face")
    assert face + 2 * 3 + Fraction("17.7") == wardrobe.length("hat shelf")


def test_three_faces_fill_the_drawer_zone(wardrobe: Sizes) -> None:
    """Three faces and four spaces of 4 mm are as high as the packing strips."""
    zone = 3 * wardrobe.width("drawer face") + 4 * 4
    assert zone == wardrobe.length("packing strip")
    assert wardrobe.width("box side") < wardrobe.width("drawer face")


def test_a_drawer_shuts_behind_the_door(wardrobe: Sizes) -> None:
    """Face and box together are shorter than the carcass is deep before its back."""
    drawer = wardrobe.length("box side") + Fraction("17.7")
    assert drawer < wardrobe.width("divider")
    assert wardrobe.width("divider") + Fraction("3.8") == wardrobe.width("side")


def test_the_bottom_of_a_box_sits_in_its_grooves(wardrobe: Sizes) -> None:
    """A bottom reaches 6 mm into the grooves on each side, less 1 mm of play in all."""
    across = wardrobe.length("box end") - 2 * 5
    along = wardrobe.length("box side") - 2 * Fraction("11.8")
    assert wardrobe.length("drawer bottom") == across + 2 * 6 - 1
    assert wardrobe.width("drawer bottom") == along + 2 * 6 - 1


def test_the_back_lies_in_its_rabbet(wardrobe: Sizes) -> None:
    """The back covers the inside and 8 mm of every rabbet, which is 9 mm wide."""
    assert wardrobe.width("wardrobe back") == wardrobe.length("top") + 2 * 8
    assert wardrobe.length("wardrobe back") == wardrobe.length("divider") + 2 * 8


def test_the_plinth_is_a_box(wardrobe: Sizes) -> None:
    """Struts and two plinth boards of 17.7 mm end 40 mm behind the front edge."""
    assert wardrobe.length("plinth strut") + 2 * Fraction("17.7") + 40 == 560
    assert wardrobe.width("plinth strut") == wardrobe.width("plinth back") == 80


# --- the potting bench ---------------------------------------------------------------


def test_the_potting_bench_is_36_inches_high(potting: Sizes) -> None:
    """A leg and a top slat of a dressed 2x6 are 36 in."""
    slat = nominal_section("2x6")  # PS 20: 1 1/2 by 5 1/2 in
    assert potting.length("leg") + slat.thickness / INCH == 36


def test_long_rails_join_the_legs(potting: Sizes) -> None:
    """Long rail and two 3 1/2 in legs are 56 in, 4 in less than the top is long."""
    leg = nominal_section("2x4")  # PS 20: 1 1/2 by 3 1/2 in
    frame = potting.length("long rail") - 2 * Fraction(5, 4) + 2 * leg.width / INCH
    assert frame == 56 == potting.length("shelf slat") == potting.length("tool rail")
    assert potting.length("top slat") == frame + 2 * 2


def test_the_top_covers_the_frame(potting: Sizes) -> None:
    """Four slats and three gaps of 1/4 in overhang the frame by 1 1/4 in."""
    leg, slat = nominal_section("2x4"), nominal_section("2x6")
    top = 4 * slat.width / INCH + 3 * Fraction(1, 4)
    between = potting.length("end rail") - 2 * 1
    frame = between + 2 * leg.thickness / INCH
    assert top - frame == Fraction(5, 4)
    assert potting.length("bearer") == between
    assert 3 * slat.width / INCH < between  # the lower shelf lies between the legs


def test_the_tenons_do_not_meet_in_a_leg(potting: Sizes) -> None:
    """A long tenon ends before the end rail's mortise in the middle of the leg."""
    leg = nominal_section("2x4")
    mortise = Fraction(leg.thickness, 3)  # a third (teaching practice)
    assert Fraction(5, 4) < (leg.width - mortise) / 2 / INCH
    assert Fraction(1) < leg.thickness / INCH


def test_a_splayed_leg_brings_the_horse_to_30_inches(potting: Sizes) -> None:
    """29 1/2 in at 15 degrees and a 1 1/2 in beam are 30 in, to a thirty-second."""
    height = float(potting.length("horse leg")) * math.cos(math.radians(15)) + 1.5
    assert height == pytest.approx(30, abs=1 / 32)


def _thickness(sample: str, material: str) -> int:
    job = read_job(SAMPLES / sample)
    found = next(m.thickness for m in job.materials if m.name == material)
    assert found is not None
    return found
