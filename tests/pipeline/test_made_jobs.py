"""Whole jobs through the pipeline: those made to fit are planned, the others refused.

What must come out is known from the way each job was made, not from the solver.
"""

from __future__ import annotations

import importlib.util
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

from nesting.errors import InfeasibleError
from nesting.files import read_job
from nesting.model.problem import Budget
from nesting.model.terms import Fate
from nesting.pipeline import plan_job
from nesting.verify import verify

MADE_JOBS = Path(__file__).resolve().parents[1] / "made_jobs" / "__init__.py"


def _load() -> ModuleType:
    spec = importlib.util.spec_from_file_location("made_jobs", MADE_JOBS)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


made_jobs = _load()


@pytest.mark.parametrize("seed", range(25))
def test_a_job_made_by_cutting_stock_up_is_planned(seed: int) -> None:
    """Each part of a job that fits by construction is cut, in a plan that is sound.

    No bound on the cost is above what the stock costs that the job was made of.
    """
    made = made_jobs.fitting_job(seed)
    job = made.job
    plan = plan_job(job, budget=Budget(work=20_000))
    assert verify(plan) == ()
    cut = Counter(
        piece.blank
        for layout in plan.layouts
        for piece in layout.pieces
        if piece.fate == Fate.PART
    )
    assert cut == {part.name: part.quantity for part in job.parts}
    if all(s.price_cents is not None for m in job.materials for s in m.stock):
        stock = {s.id: s for m in job.materials for s in m.stock}
        for bound in plan.bounds:
            known = sum(
                count * (stock[name].price_cents or 0)
                for name, count in made.used.items()
                if (stock[name].material,) == bound.scope
                and stock[name].section == bound.section
            )
            assert bound.lower_bound <= known


@pytest.mark.parametrize("seed", range(18))
def test_a_job_that_cannot_fit_is_refused_by_the_right_part(seed: int) -> None:
    """A refusal names the parts to blame, all where each is to blame, and no other."""
    made = made_jobs.impossible_job(seed)
    with pytest.raises(InfeasibleError) as caught:
        plan_job(made.job, budget=Budget(work=2_000))
    named = set(caught.value.parts)
    assert named
    assert named <= made.blame
    assert named == made.blame or not made.names_all
    assert all(name in str(caught.value) for name in named)


@pytest.mark.parametrize(
    "seed",
    [n for n in range(60) if made_jobs.verdict_of(n) == "too little sheet"],
)
def test_too_little_sheet_is_planned_with_leave(seed: int) -> None:
    """What finds no place is listed, and what one more sheet would do is told."""
    made = made_jobs.impossible_job(seed)
    plan = plan_job(made.job, budget=Budget(work=2_000), leave_out=True)
    assert verify(plan) == ()
    assert plan.unplaced
    assert any(
        said.startswith("one more ") and "missing piece" in said
        for said in plan.warnings
    )


@pytest.mark.parametrize("seed", range(40))
def test_a_job_on_disk_is_read_as_it_was_written(seed: int, tmp_path: Path) -> None:
    """Both kinds of made jobs come back from their folders with every value alike."""
    for make in (made_jobs.fitting_job, made_jobs.impossible_job):
        made = make(seed)
        folder = made_jobs.write_job_folder(made.job, tmp_path / made.verdict.name)
        assert made_jobs.alike(read_job(folder), made.job)
