"""A part with several builds goes all the way: one is cut, all are in the plan."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from nesting.files import read_plan, write_plan
from nesting.milling import Offered, offer
from nesting.model.blank import Build, Need, Take
from nesting.model.problem import Budget
from nesting.pipeline import day, write_up
from nesting.pipeline.day import plan_job
from nesting.verify import verify

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from nesting.model.job import Job


def with_plies(need: Need) -> Need:
    """Return a need that two halves, one beside the other, would meet as well."""
    (take,) = need.builds[0].takes
    half = replace(
        take.blank,
        id=f"{take.blank.id}: half",
        role="half",
        width=take.blank.width // 2 + 1_000,
    )
    other = Build(id=f"{need.part}: two halves", takes=(Take(blank=half, count=2),))
    return replace(need, builds=(*need.builds, other))


@pytest.mark.parametrize("seed", range(4))
def test_the_chosen_builds_are_cut_and_the_plan_is_sound(
    seed: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    board_job: Callable[[int], Job],
) -> None:
    """Blanks are those of the builds chosen; the file comes back as it was."""

    def offered(*given: object) -> Offered:
        found = offer(*given)  # type: ignore[arg-type]
        return replace(found, needs=tuple(with_plies(need) for need in found.needs))

    # Two halves are no way of the bench, so there is none to tell.
    monkeypatch.setattr(write_up, "routes", lambda *_: ((), ()))
    monkeypatch.setattr(day, "offer", offered)
    job = board_job(seed)
    plan = plan_job(job, budget=Budget(work=3_000))
    assert not verify(plan)
    for need in plan.needs:
        assert len(need.builds) >= 2
        (build,) = [each for each in need.builds if each.id == need.chosen]
        names = {take.blank for take in build.takes}
        assert {b.id for b in plan.blanks if need.part in b.parts} == names
    assert all("for the builds chosen" in bound.basis for bound in plan.bounds)
    file = tmp_path / "plan.json"
    file.write_text(write_plan(plan), encoding="utf-8")
    assert read_plan(file) == plan
    monkeypatch.undo()
    usual = plan_job(job, budget=Budget(work=3_000))
    assert plan.totals.stock_cents <= usual.totals.stock_cents
