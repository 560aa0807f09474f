"""In a shop with little reach a job is cut within it, or refused for good reason."""

from __future__ import annotations

from dataclasses import replace

import pytest
from workshop.tight import can_be_cut, judged, tight_job

from nesting.errors import InfeasibleError
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.shop import Shop
from nesting.model.terms import Grain
from nesting.pipeline import plan_job
from nesting.units import TICKS_PER_MM as MM

WORK = Budget(work=1_000)


def tried(seed: int) -> tuple[Plan | None, str]:
    """Plan a job; return the plan, or what is said instead."""
    try:
        return plan_job(tight_job(seed).job, budget=WORK), ""
    except InfeasibleError as error:
        return None, str(error)


# 5095: only a trim is in the way; 5193: the narrowest rip is.
@pytest.mark.parametrize("seed", [*range(40), 5095, 5193])
def test_jobs_are_cut_within_reach_or_refused_with_reason(seed: int) -> None:
    """Replayed by hand reckoning; of one part both orders of cuts are tried."""
    assert judged(tight_job(seed), *tried(seed)) == []


def test_there_are_enough_of_both() -> None:
    """Of the forty jobs some are refused, and some are not."""
    planned = [seed for seed in range(40) if tried(seed)[0] is not None]
    assert 10 <= len(planned) <= 30


def one(length: int, width: int, **reach: int) -> tuple[bool, str]:
    """Plan one part with grain and a rail alone, in mm; tell whether, or why not."""
    tight = next(
        each
        for each in map(tight_job, range(0, 200, 2))
        if [saw.name for saw in each.job.shop.saws] == ["rail saw"]
    )
    (part,) = tight.job.parts
    part = replace(
        part, length=length * MM, width=width * MM, grain=Grain.LENGTH, quantity=1
    )
    (saw,) = tight.job.shop.saws
    saw = replace(saw, **{name: size * MM for name, size in reach.items()})
    job = replace(tight.job, parts=(part,), shop=Shop(saws=(saw,)))
    able = can_be_cut(part, (saw,))
    try:
        plan_job(job, budget=WORK)
    except InfeasibleError as error:
        assert not able
        return False, str(error)
    assert able
    return True, ""


def test_a_rail_as_long_as_the_sheet_is_wide_begins_with_a_crosscut() -> None:
    """1220 across is within a rail of 1235, 2440 along is not (by hand)."""
    assert one(1200, 600, longest_cut=1235) == (True, "")


def test_a_rail_shorter_than_the_sheet_is_wide_is_named() -> None:
    """Nothing can be cut off a sheet of 2440 x 1220 with 1000."""
    done, why = one(900, 600, longest_cut=1000)
    assert not done
    assert "over the whole sheet" in why
    assert "rail saw (longest_cut)" in why
    assert "smaller sheet" in why


def test_a_part_longer_than_the_rail_is_refused_at_its_second_cut() -> None:
    """Crosscut to 1300 it is still to be ripped over 1300, with 1235 (by hand)."""
    done, why = one(1300, 600, longest_cut=1235)
    assert not done
    assert "on the strip" in why
    assert "rail saw (longest_cut)" in why
