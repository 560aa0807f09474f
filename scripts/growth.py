"""Measure how the time to a good plan grows with the number of parts.

    python scripts/growth.py --out RESULT.json --picture docs/pictures/growth.svg

Good is within one sheet of the lower bound or within 2 % of it, whichever is more. The
projects are made by chance (`bench/projects.py`); a search is stopped as soon as its
plan is good. Seconds are those of the clock on the wall, the compiler being warm: of
the search, and until the plan was laid out, put in order and checked. Exit codes: 0
done, 2 usage, 3 a plan is not sound, 130 stopped by Ctrl-C (what was measured so far is
written).
"""

from __future__ import annotations

import argparse
import io
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from bench.endings import NOT_SOUND, STOPPED, UNLIMITED_WORK
from bench.measure import plan_once
from bench.projects import Project, counted_project
from bench.ready import make_ready
from bench.results import about, write
from bench.tables import aligned
from bench.trace import Moment, Trace

from nesting.model.problem import Budget

SIZES = (50, 200, 1000, 2000)


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthRow:
    """A project planned until its plan was good; the fields are the file's keys."""

    seed: int
    parts: int
    bound: int
    value: int
    good_after: float | None
    """Seconds of the search until the plan was good; None if it never was."""
    checked_after: float | None
    """Seconds of all until the good plan was checked."""
    faults: tuple[str, ...]


def goal(bound: int) -> int:
    """Return the most sheets of a good plan."""
    return max(bound + 1, bound * 102 // 100)


def is_good(moment: Moment) -> bool:
    """Tell whether a plan is good."""
    return not moment.unplaced and moment.value <= goal(moment.lower_bound)


def grow(project: Project, seconds: float) -> GrowthRow:
    """Plan a project until its plan is good, or the seconds are over."""
    trace = Trace(enough=is_good)
    budget = Budget(
        work=UNLIMITED_WORK,
        deadline=time.monotonic() + seconds,
        progress=trace.progress,
        cancelled=trace.cancelled,
    )
    trial = plan_once(project.job, seed=0, budget=budget, ended=trace.end)
    bound = trial.result.bounds[0]
    good = trace.first(goal(bound.lower_bound))
    return GrowthRow(
        seed=project.seed,
        parts=project.pieces,
        bound=bound.lower_bound,
        value=bound.value,
        good_after=None if good is None else round(good.seconds, 3),
        checked_after=None if good is None else round(trial.plan_seconds, 3),
        faults=trial.faults,
    )


def medians(rows: Sequence[GrowthRow]) -> dict[int, tuple[float, float] | None]:
    """Return for each number of parts the median seconds of search and of all.

    None stands where a plan never became good.
    """
    found: dict[int, tuple[float, float] | None] = {}
    for parts in sorted({row.parts for row in rows}):
        group = [row for row in rows if row.parts == parts]
        searched = [row.good_after for row in group if row.good_after is not None]
        checked = [row.checked_after for row in group if row.checked_after is not None]
        found[parts] = (
            (statistics.median(searched), statistics.median(checked))
            if len(searched) == len(group)
            else None
        )
    return found


def picture(rows: Sequence[GrowthRow], limit: float) -> bytes:
    """Draw the seconds over the parts, as SVG; equal rows give equal bytes.

    Where some plan of a size was not good within the limit, in seconds, an open mark
    stands there.
    """
    import matplotlib as mpl
    from matplotlib.figure import Figure

    found = medians(rows)
    known = [(parts, both) for parts, both in found.items() if both]
    late = [parts for parts, both in found.items() if not both]
    with mpl.rc_context({"svg.hashsalt": "growth", "svg.fonttype": "path"}):
        figure = Figure(figsize=(6, 3.6), layout="constrained")
        axes = figure.add_subplot()
        for place, label, mark in ((0, "search", "o"), (1, "checked plan", "s")):
            axes.plot(
                [parts for parts, _ in known],
                [both[place] for _, both in known],
                marker=mark,
                label=label,
            )
        if late:
            axes.plot(
                late,
                [limit] * len(late),
                linestyle="none",
                marker="^",
                markerfacecolor="none",
                label=f"not all within {limit:g} s",
            )
        if found:
            axes.set_xscale("log")
            axes.set_yscale("log")
            sizes = list(found)
            axes.set_xticks(sizes, labels=[str(parts) for parts in sizes])
            axes.set_xticks([], minor=True)
        axes.set_xlabel("parts")
        axes.set_ylabel("seconds")
        axes.grid(visible=True, alpha=0.3)
        axes.legend(frameon=False)
        drawn = io.BytesIO()
        figure.savefig(drawn, format="svg", metadata={"Date": None})
    return drawn.getvalue()


def read_arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Return what was asked for; argparse ends the program where it is wrong."""
    parser = argparse.ArgumentParser(
        prog="growth.py",
        description="Measure how the time to a good plan grows with the parts.",
    )
    add = parser.add_argument
    add("--parts", type=int, nargs="+", default=list(SIZES), metavar="N")
    add("--projects", type=int, default=3, help="of each size (default 3)")
    add("--seed", type=int, default=1, help="of the first project; the next has +1")
    add("--seconds", type=float, default=60.0, help="limit for each (default 60)")
    add("--picture", type=Path, metavar="FILE.svg")
    add("--out", type=Path, required=True, metavar="RESULT.json")
    asked = parser.parse_args(arguments)
    if min(asked.projects, *asked.parts) < 1:
        parser.error("--parts and --projects must be at least 1")
    return asked


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, write, draw and show; return the exit code."""
    asked = read_arguments(arguments)
    words = sys.argv[1:] if arguments is None else list(arguments)
    head = about(
        "growth.py",
        words,
        "growth",
        seconds=asked.seconds,
        instances=asked.projects * len(asked.parts),
    )
    asked.out.parent.mkdir(parents=True, exist_ok=True)
    rows: list[GrowthRow] = []
    stopped = False
    try:
        first = counted_project(asked.seed, 50)
        make_ready(first.job, lambda text: print(text, file=sys.stderr))
        grow(first, 1.0)  # loads what is loaded late
        for parts in asked.parts:
            for seed in range(asked.seed, asked.seed + asked.projects):
                rows.append(grow(counted_project(seed, parts), asked.seconds))
                write(asked.out, {**head, "rows": [asdict(row) for row in rows]})
    except KeyboardInterrupt:
        stopped = True
    if asked.picture is not None:
        asked.picture.parent.mkdir(parents=True, exist_ok=True)
        asked.picture.write_bytes(picture(rows, asked.seconds))
    names = ["seed", "parts", "bound", "value", "good_after", "checked_after"]
    lines = [[str(asdict(row)[name]) for name in names] for row in rows]
    print(aligned([names, *lines]))
    faults = [(row, fault) for row in rows for fault in row.faults]
    for row, fault in faults:
        print(f"NOT SOUND: {row.parts} parts, seed {row.seed}: {fault}")
    if stopped:
        print("stopped")
    if faults:
        return NOT_SOUND
    return STOPPED if stopped else 0


if __name__ == "__main__":
    sys.exit(main())
