"""Made stick jobs are what the script says, and its check finds what is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import ModuleType

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks import solve_sticks

Loader = Callable[[str], ModuleType]


@pytest.fixture
def stick_jobs(script: Loader) -> ModuleType:
    """Load the script."""
    return script("stick_jobs")


def test_jobs_are_of_the_sizes_that_are_told(stick_jobs: ModuleType) -> None:
    """10 to 60 kinds, 15 to 200 parts, five lengths, six pieces of the rack."""
    for seed in range(40):
        job = stick_jobs.stick_job(seed)
        assert 10 <= len(job.parts) <= 60
        assert 15 <= sum(part.quantity for part in job.parts) <= 200
        assert [each.limit for each in job.stock] == [None] * 5 + [1] * 6
        assert [bool(each.cost) for each in job.stock] == [True] * 5 + [False] * 6
        assert job == stick_jobs.stick_job(seed)


def test_some_jobs_mix_inches_and_millimetres(stick_jobs: ModuleType) -> None:
    """Of forty jobs some are in sixteenths, some in millimetres, some in both."""
    found = set()
    for seed in range(40):
        lengths = [part.length for part in stick_jobs.stick_job(seed).parts]
        is_inch = [length % 2540 == 0 for length in lengths]
        found.add((all(is_inch), any(is_inch)))
    assert found >= {(True, True), (False, True)}


def test_spoilt_plans_are_found_out(stick_jobs: ModuleType) -> None:
    """A stick too many, a part too few and a wrong cost are each told."""
    job = stick_jobs.stick_job(7)
    answer = solve_sticks(job, seed=0, budget=Budget(work=20))
    assert stick_jobs.faults_of(job, answer) == []
    first = answer.patterns[0]
    doubled = (replace(first, times=first.times + 1), *answer.patterns[1:])
    assert stick_jobs.faults_of(job, replace(answer, patterns=doubled))
    assert stick_jobs.faults_of(job, replace(answer, patterns=answer.patterns[1:]))
    assert stick_jobs.faults_of(job, replace(answer, cost=answer.cost + 1))
    full = replace(first, counts=((job.parts[0].id, 1_000),))
    found = stick_jobs.faults_of(job, replace(answer, patterns=(full,)))
    assert any("does not hold" in fault for fault in found)


def test_a_job_is_measured_and_summed_up(stick_jobs: ModuleType) -> None:
    """A small job is proven, the same again, and counted."""
    row = stick_jobs.measured(7, 5.0)
    assert row.proven
    assert row.faults == ()
    assert row.plan == row.bound
    assert stick_jobs.summary([row]).startswith("1 of 1 proven, 100.0 %")
