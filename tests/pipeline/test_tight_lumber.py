"""Lumber in a shop with little reach is cut within it, or refused for good reason."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from workshop.lumber_shops import board_of, sections_of, tight_job
from workshop.tight_lumber import Judge, judged

from nesting.errors import InfeasibleError, InputError
from nesting.model.job import Allowance, Job, Part
from nesting.model.mill import BuildKind, Wish
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.shop import Saw, Shop
from nesting.model.terms import Guide, Plane
from nesting.pipeline import plan_job
from nesting.units import TICKS_PER_MM as MM

WORK = Budget(work=1_000)
SEEDS = range(150)
SLICES = Wish(kind=BuildKind.RESAWN, count=2)


def planned(job: Job) -> tuple[Plan | None, str]:
    """Plan a job; return the plan, or what is said instead."""
    try:
        return plan_job(job, budget=WORK), ""
    except (InfeasibleError, InputError) as error:
        return None, str(error)


@cache
def tried(seed: int) -> tuple[Plan | None, str]:
    """Plan the job of a seed."""
    return planned(tight_job(seed).job)


@pytest.mark.parametrize("seed", SEEDS)
def test_jobs_are_cut_within_reach_or_refused_with_reason(seed: int) -> None:
    """By hand reckoning, which goes through the orders of cuts of every part."""
    assert judged(tight_job(seed), *tried(seed)) == []


def test_there_are_enough_of_both() -> None:
    """Of the jobs many are refused, and many are not."""
    cut = [seed for seed in SEEDS if tried(seed)[0] is not None]
    assert len(SEEDS) // 5 <= len(cut) <= len(SEEDS) * 4 // 5


def chop(**reach: int) -> Saw:
    """Return a saw that only crosscuts; its reach in mm."""
    return saw("chop saw", (Plane.CROSSCUT,), Guide.STOP, **reach)


def ripsaw(**reach: int) -> Saw:
    """Return a saw that only rips, on its fence; its reach in mm."""
    return saw("bench saw", (Plane.RIP,), Guide.FENCE, **reach)


def band(**reach: int) -> Saw:
    """Return a saw that resaws and rips, on its fence; its reach in mm."""
    return saw("band saw", (Plane.RESAW, Plane.RIP), Guide.FENCE, **reach)


def saw(name: str, planes: tuple[Plane, ...], across: Guide, **reach: int) -> Saw:
    """Return a saw with a fence for rips; its reach in mm."""
    plain = Saw(
        name=name,
        kind=name if name == "band saw" else "",
        kerf=3 * MM,
        planes=planes,
        rip_guide=Guide.FENCE,
        crosscut_guide=across,
    )
    limits: dict[str, Any] = {name: size * MM for name, size in reach.items()}
    return replace(plain, **limits)


def part(
    section: str | None,
    length: int,
    width: int,
    thickness: int = 38,
    wish: Wish | None = None,
    quantity: int = 1,
) -> Part:
    """Return a part without allowances; sizes in mm."""
    return Part(
        name=f"{length} x {width} x {thickness}",
        quantity=quantity,
        material="fir",
        section=section,
        length=length * MM,
        width=width * MM,
        thickness=thickness * MM,
        allowance=Allowance(length=0, width=0, thickness=0),
        wish=wish,
    )


def cut(
    parts: tuple[Part, ...],
    saws: tuple[Saw, ...],
    *,
    rough: int | None = None,
    boards: tuple[tuple[str, int], ...] = (),
) -> tuple[Plan | None, str]:
    """Plan parts from boards of 2440 mm, or these; the judge has to be of one mind."""
    tight = tight_job(0)
    offered = boards or tuple((each.section or "2x6", 2440) for each in parts)
    sections = sections_of({section for section, _ in offered})
    named = {section.name: section for section in sections}
    stock = tuple(
        board_of(named[section], length) for section, length in dict.fromkeys(offered)
    )
    (material,) = tight.job.materials
    job = replace(
        tight.job,
        parts=parts,
        shop=Shop(
            saws=saws,
            longest_rough=None if rough is None else rough * MM,
            jointer=None,
            planer=None,
        ),
        materials=(replace(material, sections=sections, stock=stock),),
    )
    plan, said = planned(job)
    able = all(Judge(job).can_be_cut(each) for each in parts)
    assert able is (plan is not None), said
    assert judged(replace(tight, job=job), plan, said) == []
    return plan, said


def test_a_board_too_wide_for_the_saw_is_ripped_before_it_is_crosscut() -> None:
    """235 is over 150; ripped to 140 along its 2440 it goes under the saw (by hand)."""
    wide = (part("2x10", 600, 140, quantity=3),)
    plan, _ = cut(wide, (chop(widest_crosscut=150), ripsaw()))
    assert plan is not None
    (layout,) = plan.layouts
    assert layout.cuts[0].plane == "rip"
    plan, said = cut(wide, (chop(widest_crosscut=150), ripsaw()), rough=1200)
    assert plan is None
    assert "chop saw (widest_crosscut)" in said


def test_a_block_is_ripped_on_a_longer_piece() -> None:
    """100 long it does not ride a fence 120 away, but a longer piece does."""
    plan, _ = cut((part("2x6", 100, 120),), (chop(), ripsaw()), rough=1200)
    assert plan is not None
    rips = [c for layout in plan.layouts for c in layout.cuts if c.plane == "rip"]
    assert rips


def test_what_is_longer_than_is_ripped_here_is_refused_by_that_name() -> None:
    """A stick, which takes no two parts side by side, and a board, which does."""
    for width in (100, 50):
        plan, said = cut((part("2x6", 1500, width),), (chop(), ripsaw()), rough=1200)
        assert plan is None
        assert "(longest_rough)" in said


def test_what_may_stay_wide_may_be_longer_than_is_ripped() -> None:
    """It is planed from a board, which is only crosscut."""
    for saws in ((chop(), ripsaw()), (chop(), ripsaw(longest_cut=900))):
        plan, _ = cut((part("2x6", 1500, 60, 30),), saws, rough=1200)
        assert plan is not None


def test_slices_that_are_asked_for_are_never_planed_instead() -> None:
    """Not where the band saw's run is too short, nor where no saw rips."""
    slices = (part("2x6", 900, 140, 12, SLICES),)
    plan, said = cut(slices, (chop(), band(longest_cut=800)))
    assert plan is None
    assert "band saw (longest_cut)" in said
    only = replace(band(), planes=(Plane.RESAW,))
    plan, _ = cut(slices, (chop(), only))
    assert plan is not None


def test_slices_too_thin_for_the_fence_are_planed_where_nobody_asked() -> None:
    """Two slices would come of it, but 20 is the least that may pass the fence."""
    saws = (chop(), band(narrowest_rip=20))
    plan, _ = cut((part("2x6", 900, 140, 12),), saws)
    assert plan is not None
    plan, said = cut((part("2x6", 900, 140, 12, SLICES),), saws)
    assert plan is None
    assert "band saw (narrowest_rip)" in said


def test_a_part_comes_from_the_section_that_can_be_cut() -> None:
    """Planed from either, but 235 is too wide for the saw and is not ripped."""
    parts = (part(None, 1500, 80, 30, quantity=2),)
    boards = (("2x10", 4880), ("2x6", 2440))
    plan, _ = cut(
        parts, (chop(widest_crosscut=150), band(longest_cut=900)), boards=boards
    )
    assert plan is not None
    assert {layout.section for layout in plan.layouts} == {"2x6"}


def test_a_section_that_only_an_order_of_its_own_cuts_does_not_spoil_a_proof() -> None:
    """The 2x10 is beyond the saw as it is; whoever checks the proof knows no guides."""
    boards = (("2x6", 3660), ("2x10", 3660))
    saws = (chop(widest_crosscut=226), band())
    plan, _ = cut((part(None, 80, 28, 14),), saws, boards=boards)
    assert plan is not None


def test_a_small_job_is_planned_though_its_linear_program_is_not_solved() -> None:
    """Boards only the shorter parts of which go under the saw (found by chance)."""
    rail = replace(
        saw("rail saw", (Plane.RIP, Plane.CROSSCUT), Guide.LINE, longest_cut=300),
        kerf=2 * MM,
        rip_guide=Guide.LINE,
    )
    parts = (
        part("2x10", 339, 107, quantity=2),
        part("2x10", 2746, 159, quantity=3),
        part(None, 261, 118, quantity=3),
    )
    boards = (("2x10", 3050), ("2x10", 2440))
    plan, _ = cut(parts, (rail, replace(band(), kerf=2 * MM)), boards=boards)
    assert plan is not None


@pytest.mark.parametrize(
    ("saws", "limit"),
    [
        ((chop(tallest=30), ripsaw()), "chop saw (tallest)"),
        ((chop(longest_cut=120), ripsaw(widest_rip=90)), "chop saw (longest_cut)"),
        ((chop(), ripsaw(widest_rip=90)), "bench saw (widest_rip)"),
        ((chop(), ripsaw(narrowest_rip=110)), "bench saw (narrowest_rip)"),
        ((chop(), ripsaw(longest_cut=800)), "bench saw (longest_cut)"),
        ((chop(), ripsaw(tallest=30)), "bench saw (tallest)"),
        ((chop(),), "no saw of the shop rips fir 2x6"),
    ],
)
def test_a_refusal_names_the_saw_and_its_limit(
    saws: tuple[Saw, ...], limit: str
) -> None:
    """A part of 900 x 100 from a board 140 wide and 38 thick."""
    plan, said = cut((part("2x6", 900, 100),), saws)
    assert plan is None
    assert limit in said


def test_lengths_off_a_rip_fence_are_refused_by_that_name() -> None:
    """No lumber's length is set on a rip fence."""
    fenced = saw("bench saw", (Plane.RIP, Plane.CROSSCUT), Guide.FENCE)
    plan, said = cut((part("2x6", 100, 140),), (fenced,))
    assert plan is None
    assert "bench saw (crosscut_guide" in said


def test_square_edges_ask_for_a_wider_fence() -> None:
    """A rounded edge of 3 goes at 103, or at 137, before the width of 100 is cut."""
    square = (replace(part("2x6", 900, 100), square_edges=True),)
    plan, _ = cut(square, (chop(), ripsaw(widest_rip=103)))
    assert plan is not None
    plan, said = cut(square, (chop(), ripsaw(widest_rip=102)))
    assert plan is None
    assert "bench saw (widest_rip)" in said


def test_what_the_search_does_not_cut_has_a_bound_that_is_checked() -> None:
    """One board for one part, and the shorter one: no less wood is sold."""
    plan, _ = cut(
        (part("2x10", 900, 140),),
        (chop(widest_crosscut=150), ripsaw()),
        boards=(("2x10", 2440), ("2x10", 3660)),
    )
    assert plan is not None
    (bound,) = plan.bounds
    assert bound.proven
    assert bound.basis == "volume of wood"
    assert bound.certificate is not None


def test_what_is_planed_keeps_what_a_small_fence_leaves_of_it() -> None:
    """Its edges go at 43 and 40, and 23 is under what may pass (by hand)."""
    narrow = (replace(part("2x6", 117, 23, 16), square_edges=True),)
    plan, _ = cut(narrow, (chop(), ripsaw(widest_rip=43, narrowest_rip=40)))
    assert plan is not None


def test_two_saws_free_what_neither_does() -> None:
    """An edge goes at 86 on one fence, 60 is cut on the other (by hand)."""
    saws = (chop(), ripsaw(narrowest_rip=80), band(widest_rip=60))
    square = (replace(part("2x4", 900, 60), square_edges=True),)
    plan, _ = cut(square, saws)
    assert plan is not None


def test_a_sliver_is_ripped_off_where_the_saw_reaches_no_wider() -> None:
    """Planed, a part might stay 89 wide; 86 goes under the saw, and 85 is wanted."""
    plan, _ = cut((part("2x4", 245, 85, 20),), (chop(widest_crosscut=86), band()))
    assert plan is not None
