"""Measure the solver on furniture projects made by chance, against two aims.

    python scripts/project_bars.py sheets --out RESULT.json
    python scripts/project_bars.py offcuts --out RESULT.json

`sheets`: is a plan with as few sheets as the lower bound says there within a second?
Aim: for 34 of 36 projects. Where it is not, the project is planned again with the time
that `nesting plan` takes by default: the bound may rise, or the plan come later.

`offcuts`: how much of what is left over lies together in the largest offcut that is
worth keeping, within the time `nesting plan` takes by default? Aim: a median of 50 %.

A project fills its sheets to 90 to 94 % (`bench/projects.py`); its seed is printed and
makes it again. Seconds are those of the clock on the wall, the compiler being warm.
Exit codes: 0 measured, whether or not an aim is reached, 2 usage, 3 a plan is unsound,
130 stopped by Ctrl-C (what was measured so far is written).
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from bench.endings import NOT_SOUND, STOPPED, UNLIMITED_WORK
from bench.measure import Trial, plan_once
from bench.projects import Project, full_project
from bench.ready import make_ready
from bench.results import about, write
from bench.tables import aligned
from bench.trace import Trace

from nesting.cli.plan import DEFAULT_SECONDS, DEFAULT_WORK
from nesting.files.job_file import usual_offcuts
from nesting.model.plan import Plan
from nesting.model.problem import Budget
from nesting.model.terms import Fate
from nesting.units import TICKS_PER_INCH

AIM_REACHED = (34, 36)
AIM_SHARE = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """A project planned against the clock; its fields are the keys of the file."""

    seed: int
    pieces: int
    locked: int
    bound: int
    """The best bound of both runs."""
    fill: float
    """Parts and kerfs over so many sheets."""
    value: int
    """Sheets after the short run."""
    reached_after: float | None
    """Seconds until the bound's number of sheets; None if it was not reached."""
    reached_cpu: float | None
    """The same in processor seconds of all threads."""
    reached: bool
    """Within the seconds that are asked for."""
    value_later: int | None
    """Sheets after the long run; None if there was none."""
    reached_later: float | None
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OffcutRow:
    """What is left over of a project; areas are square inches."""

    seed: int
    pieces: int
    bound: int
    fill: float
    value: int
    slack: float
    """Sheets less parts and kerfs."""
    largest: float
    """The largest offcut worth keeping."""
    share: float
    """Of the slack."""
    offcuts: int
    seconds: float
    faults: tuple[str, ...]


def measure_sheets(project: Project, seconds: float) -> SheetRow:
    """Plan a project within so many seconds, and again if the bound is not reached."""
    trial, trace = _plan(project, seconds, UNLIMITED_WORK)
    first = trial.result.bounds[0]
    faults = trial.faults
    bound = first.lower_bound
    value_later = None
    reached_later = None
    if faults or first.value > bound:
        again, later = _plan(project, DEFAULT_SECONDS, DEFAULT_WORK)
        second = again.result.bounds[0]
        faults += again.faults
        bound = max(bound, second.lower_bound)
        value_later = second.value
        reached_later = later.first(bound)
    after = trace.first(bound)
    return SheetRow(
        seed=project.seed,
        pieces=project.pieces,
        locked=project.locked,
        bound=bound,
        fill=round(project.fill(bound), 4),
        value=first.value,
        reached_after=None if after is None else round(after.seconds, 3),
        reached_cpu=None if after is None else round(after.cpu, 3),
        reached=after is not None and after.seconds <= seconds,
        value_later=value_later,
        reached_later=reached_later and round(reached_later.seconds, 3),
        faults=faults,
    )


def measure_offcuts(project: Project) -> OffcutRow:
    """Plan a project as `nesting plan` does by default, and look at what is left."""
    trial, _ = _plan(project, DEFAULT_SECONDS, DEFAULT_WORK)
    bound = trial.result.bounds[0]
    slack, kept = left_over(trial.plan) if trial.plan else (0.0, [])
    largest = max(kept, default=0.0)
    return OffcutRow(
        seed=project.seed,
        pieces=project.pieces,
        bound=bound.lower_bound,
        fill=round(project.fill(bound.lower_bound), 4),
        value=bound.value,
        slack=round(slack, 1),
        largest=round(largest, 1),
        share=round(largest / slack, 4) if slack else 0.0,
        offcuts=len(kept),
        seconds=round(trial.search_seconds, 3),
        faults=trial.faults,
    )


def left_over(plan: Plan) -> tuple[float, list[float]]:
    """Return a plan's slack and the sizes of its offcuts, in square inches."""
    square = TICKS_PER_INCH**2
    slack = sum(each.offcuts + each.scrap for each in plan.totals.yields) / square
    kept = [
        piece.length * piece.width / square
        for layout in plan.layouts
        for piece in layout.pieces
        if piece.fate == Fate.OFFCUT
    ]
    return slack, kept


def _plan(project: Project, seconds: float, work: int) -> tuple[Trial, Trace]:
    trace = Trace()
    budget = Budget(
        work=work, deadline=time.monotonic() + seconds, progress=trace.progress
    )
    trial = plan_once(project.job, seed=0, budget=budget, ended=trace.end)
    return trial, trace


def sheets_report(rows: Sequence[SheetRow], seconds: float) -> tuple[list[str], Any]:
    """Return what is said of the rows at the end, and their sums."""
    reached = sum(row.reached for row in rows)
    sums = {"projects": len(rows), "reached": reached, "aim": list(AIM_REACHED)}
    return [
        f"{reached} of {len(rows)} at their bound within {seconds:g} s "
        f"(aim: {AIM_REACHED[0]} of {AIM_REACHED[1]})"
    ], sums


def offcuts_report(rows: Sequence[OffcutRow]) -> tuple[list[str], Any]:
    """Return what is said of the rows at the end, and their sums."""
    median = statistics.median(row.share for row in rows) if rows else 0.0
    sums = {"projects": len(rows), "median": round(median, 4), "aim": AIM_SHARE}
    return [f"median {median:.1%} of the slack (aim: {AIM_SHARE:.0%})"], sums


def read_arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what was asked for; argparse ends the program where it is wrong."""
    parser = argparse.ArgumentParser(
        prog="project_bars.py",
        description="Measure the solver on furniture projects made by chance.",
    )
    add = parser.add_argument
    add("kind", choices=["sheets", "offcuts"])
    add("--projects", type=int, help="how many (default 36 and 12)")
    add("--seed", type=int, default=1, help="of the first project; the next has +1")
    add("--seconds", type=float, default=1.0, help="for `sheets` (default 1)")
    add("--out", type=Path, required=True, metavar="RESULT.json")
    asked = parser.parse_args(arguments)
    if asked.projects is None:
        asked.projects = 36 if asked.kind == "sheets" else 12
    if asked.projects < 1:
        parser.error("--projects must be at least 1")
    return asked


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, write and show; return the exit code."""
    asked = read_arguments(arguments)
    words = sys.argv[1:] if arguments is None else list(arguments)
    sheets = asked.kind == "sheets"
    seeds = range(asked.seed, asked.seed + asked.projects)
    offcuts = usual_offcuts()
    head = about(
        "project_bars.py",
        words,
        "projects" if sheets else "offcuts",
        seconds=asked.seconds if sheets else DEFAULT_SECONDS,
        instances=asked.projects,
    )
    asked.out.parent.mkdir(parents=True, exist_ok=True)
    rows: list[Any] = []
    said: list[str] = []
    stopped = False
    try:
        make_ready(full_project(asked.seed).job, _say)
        _plan(full_project(asked.seed - 1), 0.3, UNLIMITED_WORK)  # loads what is late
        for seed in seeds:
            if sheets:
                rows.append(measure_sheets(full_project(seed), asked.seconds))
            else:
                rows.append(measure_offcuts(full_project(seed, offcuts=offcuts)))
            said, sums = (
                sheets_report(rows, asked.seconds) if sheets else offcuts_report(rows)
            )
            listed = [asdict(row) for row in rows]
            write(asked.out, {**head, "sums": sums, "rows": listed})
    except KeyboardInterrupt:
        stopped = True
    if rows:
        names = [name for name in asdict(rows[0]) if name != "faults"]
        lines = [[_shown(asdict(row)[name]) for name in names] for row in rows]
        print(aligned([names, *lines]))
    print("\n".join([*said, *(["stopped"] if stopped else [])]))
    faults = [(row.seed, fault) for row in rows for fault in row.faults]
    for seed, fault in faults:
        print(f"NOT SOUND: project {seed}: {fault}")
    if faults:
        return NOT_SOUND
    return STOPPED if stopped else 0


def _say(text: str) -> None:
    print(text, file=sys.stderr)


def _shown(value: Any) -> str:
    return "-" if value is None else str(value)


if __name__ == "__main__":
    sys.exit(main())
