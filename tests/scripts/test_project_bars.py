"""The two aims of furniture projects, on small ones and by counted work."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from nesting.model.problem import Budget, Progress
from nesting.model.stock import OffcutRule
from nesting.model.terms import StoppedBy

Loader = Callable[[str], ModuleType]
INCH = 40640


@pytest.fixture
def bars(script: Loader, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Load the script, with long runs that end by little work."""
    module = script("project_bars")
    monkeypatch.setattr(module, "DEFAULT_WORK", 300)
    return module


def _half_a_sheet(script: Loader, offcuts: OffcutRule) -> Any:
    projects = script("bench.projects")
    project = projects.counted_project(1, 1)
    part = replace(project.job.parts[0], length=24 * INCH, width=48 * INCH)
    job = replace(project.job, parts=(part,), offcuts=offcuts)
    return replace(project, job=job)


def test_a_project_on_its_bound_is_reached(script: Loader, bars: ModuleType) -> None:
    """Eight parts of less than a sheet's area lie on one sheet, which is the bound."""
    project = script("bench.projects").counted_project(1, 8)
    assert project.fill(1) < 0.6
    row = bars.measure_sheets(project, 60.0)
    assert (row.bound, row.value, row.reached) == (1, 1, True)
    assert row.value_later is None
    assert row.reached_after is not None
    assert row.faults == ()


def test_a_project_off_its_bound_is_planned_again(
    script: Loader, bars: ModuleType
) -> None:
    """Without any time the first plan has a sheet too many; the long run is told."""
    project = script("bench.projects").full_project(9)
    row = bars.measure_sheets(project, 0.0)
    assert row.value > row.bound >= 5
    assert not row.reached
    assert row.reached_after is None
    assert row.value_later is not None
    assert row.bound <= row.value_later <= row.value
    assert row.fill == pytest.approx(project.fill(row.bound), abs=1e-4)


def test_what_is_left_over_is_added_up(script: Loader, bars: ModuleType) -> None:
    """One crosscut of 1/8 in leaves 71 7/8 x 48 in of a sheet: 3450 square inches."""
    keeps = OffcutRule(sheet=((24 * INCH, 6 * INCH),))
    row = bars.measure_offcuts(_half_a_sheet(script, keeps))
    assert (row.value, row.slack, row.largest, row.offcuts) == (1, 3450.0, 3450.0, 1)
    assert row.share == 1.0
    row = bars.measure_offcuts(_half_a_sheet(script, OffcutRule()))
    assert (row.slack, row.largest, row.share, row.offcuts) == (3450.0, 0.0, 0.0, 0)


def test_a_trace_knows_when_a_value_was_reached(script: Loader) -> None:
    """The first moment counts at which nothing is unplaced and the value is reached."""
    trace = script("bench.trace").Trace(enough=lambda moment: moment.value <= 5)
    for value, unplaced in ((5, 2), (7, 0), (6, 0), (6, 0)):
        state = Progress(
            scope="ply", value=value, lower_bound=5, unplaced=unplaced, share=0.5
        )
        trace.progress(state)
    assert trace.first(6) is trace.moments[2]
    assert trace.first(7) is trace.moments[1]
    assert trace.first(5) is None
    assert trace.cancelled()


def test_the_end_of_a_search_is_taken_down(script: Loader, bars: ModuleType) -> None:
    """A search that tells nothing on its way still has its end in the trace."""
    project = script("bench.projects").counted_project(1, 3)
    trace = script("bench.trace").Trace()
    script("bench.measure").plan_once(
        project.job, seed=0, budget=Budget(work=1), ended=trace.end
    )
    assert trace.first(1) is trace.moments[-1]


@pytest.mark.parametrize("kind", ["sheets", "offcuts"])
def test_a_result_is_written(
    script: Loader,
    bars: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    kind: str,
) -> None:
    """The file holds a row for each seed, and the terminal what they come to."""
    counted = script("bench.projects").counted_project
    monkeypatch.setattr(bars, "full_project", lambda seed, **_: counted(seed + 2, 6))
    out = tmp_path / "deep" / "result.json"
    words = [kind, "--projects", "2", "--seed", "5", "--out", str(out)]
    assert bars.main(words) == 0
    result = json.loads(out.read_text())
    assert result["kind"] == ("projects" if kind == "sheets" else "offcuts")
    assert [row["seed"] for row in result["rows"]] == [7, 8]
    assert result["sums"]["projects"] == result["instances"] == 2
    said = capsys.readouterr().out
    assert "aim: 34 of 36" in said if kind == "sheets" else "aim: 50%" in said


def test_an_interrupt_keeps_what_is_done(
    script: Loader,
    bars: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A search that Ctrl-C ended is no measurement; the rows before it are written."""
    measure = script("bench.measure")
    counted = script("bench.projects").counted_project
    solve = measure.solve
    calls = []

    def interrupted(*given: Any) -> Any:
        calls.append(given)
        result = solve(*given)
        if len(calls) == 3:  # the first loads what is loaded late
            return replace(result, stopped_by=StoppedBy.CANCELLED)
        return result

    monkeypatch.setattr(measure, "solve", interrupted)
    monkeypatch.setattr(bars, "full_project", lambda seed, **_: counted(seed + 1, 4))
    out = tmp_path / "result.json"
    assert bars.main(["sheets", "--projects", "3", "--out", str(out)]) == 130
    assert len(json.loads(out.read_text())["rows"]) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "stopped"


def test_an_unsound_plan_is_an_error(
    script: Loader,
    bars: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Where a plan does not pass its check, the script says so and ends in a 3."""
    counted = script("bench.projects").counted_project
    monkeypatch.setattr(bars, "full_project", lambda seed, **_: counted(seed, 4))
    monkeypatch.setattr(script("bench.measure"), "verify", lambda plan: ("a fault",))
    out = tmp_path / "result.json"
    assert bars.main(["sheets", "--projects", "1", "--out", str(out)]) == 3
    assert "NOT SOUND: project 1: a fault" in capsys.readouterr().out
