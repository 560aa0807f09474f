"""Plans by columns alone pass the laying out and the verifier, with saws that exist."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.files import read_job
from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.pipeline import plan_job
from nesting.solve import sheet_group
from nesting.solve.sheets.dive import ColumnPlans
from nesting.solve.sheets.problem import SheetAnswer, SheetProblem
from nesting.verify import verify

# Own invented series: carcasses of a bedside cabinet, a good many alike.
JOB = """
[job]
name = "Bedside cabinets"
units = "mm"
currency = "€"
{stages}

[[saw]]
kind = "table saw"
kerf = 3
widest_rip = 800
widest_crosscut = 650

[[saw]]
kind = "track saw"
kerf = 2.2
longest_cut = 2600

[materials.birch]
kind = "sheet"
thickness = 18
trim = 10

[[materials.birch.stock]]
length = 2500
width = 1250
price = 81.00

[[materials.birch.stock]]
length = 1525
width = 1525
price = 64.50

[[materials.birch.stock]]
length = 1250
width = 600
owned = 3
"""

PARTS = """part,qty,length,width,material,grain
side,96,560,380,birch,length
top,48,424,400,birch,length
bottom,48,388,362,birch,any
shelf,48,387,340,birch,any
rail,96,388,70,birch,any
front,48,420,176,birch,length
"""


@pytest.mark.parametrize("stages", ["", "stages = 3", "stages = 2"])
def test_a_series_is_planned_by_columns(
    stages: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Kerfs, trims, grain, prices, a rack and two saws: the plan is sound and cheap.

    The judge is the verifier, on the whole plan. No trees are deeper than asked for.
    """
    seen: list[ColumnPlans] = []

    def by_columns(
        problem: SheetProblem, *, seed: int, budget: Budget, scope: str = ""
    ) -> SheetAnswer:
        plans = ColumnPlans(problem, seed=seed)
        for _ in range(60):
            plans.advance()
        seen.append(plans)
        assert plans.best is not None
        return SheetAnswer(
            sheets=plans.best.sheets,
            unplaced=(),
            cost=plans.best.cost,
            lower_bound=plans.value,
            basis=plans.basis,
            stopped_by=StoppedBy.WORK,
            work=0,
        )

    monkeypatch.setattr(sheet_group, "solve_sheets", by_columns)
    (tmp_path / "job.toml").write_text(JOB.format(stages=stages), encoding="utf-8")
    (tmp_path / "parts.csv").write_text(PARTS, encoding="utf-8")
    plan = plan_job(read_job(tmp_path))
    assert verify(plan) == ()
    assert len(seen) == 1
    (bound,) = plan.bounds
    assert bound.lower_bound <= bound.value <= 1.1 * bound.lower_bound
