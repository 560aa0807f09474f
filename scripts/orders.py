"""Measure how few changes of setting the cut order needs, over samples and made jobs.

    python scripts/orders.py --jobs 100 --large 300

Every sample, jobs made by chance (furniture in turn with jobs made by cutting stock up)
and one large piece of furniture work are planned with little work, and their cuts put
in order. A line for each job says: pieces of stock, cuts, different settings, the lower
bound on changes, those by habit, those of the plan, walks between saws by habit and in
the plan, and seconds for the order. Aim: changes at most 15 % above the bound on
average, and never more than by habit. Exit codes: 0 reached, 1 not reached, 2 usage.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bench.projects import counted_project
from campaign_random import ROOT, made_jobs

from nesting import Budget, plan_job, read_job
from nesting.files.shop import usual_shop
from nesting.model.job import Job
from nesting.sequence import put_in_order
from nesting.sequence.habit import order_by_habit
from nesting.sequence.tasks import count_changes, count_walks, tasks_of

AIM = Fraction(15, 100)
WORK = 3_000
MOST_PARTS = 60
HEADS = ("stock", "cuts", "differ", "bound", "habit", "plan", "walks", "walks", "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What one job came to."""

    name: str
    stock: int
    cuts: int
    settings: int
    bound: int
    habit: int
    changes: int
    habit_walks: int
    walks: int
    seconds: float


def jobs(count: int, seed: int) -> Iterator[tuple[str, Job]]:
    """Return the samples, then so many jobs made by chance, with their names."""
    for folder in sorted((ROOT / "samples").iterdir()):
        if (folder / "job.toml").exists():
            yield folder.name, read_job(folder)
    for number in range(seed, seed + count):
        if number % 2:
            parts = 10 + number * 7 % MOST_PARTS
            yield f"furniture {number}", furniture(number, parts)
        else:
            yield f"cut up {number}", made_jobs.fitting_job(number).job


def furniture(seed: int, parts: int) -> Job:
    """Return furniture made by chance, in the shop of who names no saw: fence, stop."""
    return replace(counted_project(seed, parts).job, shop=usual_shop())


def copied(seed: int) -> Job:
    """Return furniture of at most a dozen kinds of parts, 2 to 8 of each."""
    job = furniture(seed, 30)
    rng = random.Random(seed)
    kinds = rng.sample(job.parts, min(12, len(job.parts)))
    parts = tuple(replace(kind, quantity=rng.randint(2, 8)) for kind in kinds)
    return replace(job, parts=parts)


def measure(name: str, job: Job, work: int) -> Line:
    """Plan a job and put its cuts in order once more, by the clock."""
    plan = plan_job(job, budget=Budget(work=work), leave_out=True)
    start = time.perf_counter()
    ordered = put_in_order(plan.layouts, plan.shop.saws, job.display)
    seconds = time.perf_counter() - start
    tasks = tasks_of(plan.layouts)
    habit = order_by_habit(tasks)
    steps = [cut.step for layout in ordered.layouts for cut in layout.cuts]
    taken = tasks_of(ordered.layouts)
    order = sorted(range(len(taken)), key=steps.__getitem__)
    return Line(
        name=name,
        stock=len(plan.layouts),
        cuts=len(tasks),
        settings=len({task.key for task in tasks if task.key.is_held}),
        bound=ordered.order.lower_bound,
        habit=count_changes(tasks, habit),
        changes=ordered.order.changes,
        habit_walks=count_walks(tasks, habit),
        walks=count_walks(taken, order),
        seconds=seconds,
    )


def told(line: Line) -> str:
    """Return the text of a line."""
    counts = (
        *(line.stock, line.cuts, line.settings),
        *(line.bound, line.habit, line.changes),
        *(line.habit_walks, line.walks),
    )
    figures = "".join(f"{count:>7}" for count in counts)
    return f"{line.name:<20}{figures}{line.seconds:>7.2f}"


def over(pairs: Iterable[tuple[int, int]]) -> Fraction:
    """Return how far counts are above their bounds, on average where one is above 0."""
    shares = [Fraction(count, bound) - 1 for count, bound in pairs if bound]
    return sum(shares, Fraction()) / max(len(shares), 1)


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure, print the table and its means, and return the exit code."""
    parser = argparse.ArgumentParser(
        prog="orders.py", description="Measure how few changes the cut order needs."
    )
    add = parser.add_argument
    add("--jobs", type=int, default=100, help="jobs made by chance (default 100)")
    add("--seed", type=int, default=1, help="of the first of them")
    add("--large", type=int, default=0, metavar="PARTS", help="one job more, so large")
    add("--work", type=int, default=WORK, help="of the search for layouts")
    asked = parser.parse_args(arguments)
    print(f"{'':<20}" + "".join(f"{head:>7}" for head in HEADS), flush=True)
    lines = []
    for name, job in jobs(asked.jobs, asked.seed):
        lines.append(measure(name, job, asked.work))
        print(told(lines[-1]), flush=True)
    habit = over((line.habit, line.bound) for line in lines)
    plan = over((line.changes, line.bound) for line in lines)
    worse = [line.name for line in lines if line.changes > line.habit]
    met = sum(line.changes == line.bound for line in lines)
    print(f"\n{len(lines)} jobs, mean above the bound: {float(habit):.2%} by habit,")
    print(f"{float(plan):.2%} in the plan; {met} meet it; worse than habit: {worse}")
    if asked.large:
        large = furniture(asked.seed, asked.large)
        print(told(measure(f"furniture {asked.large}", large, asked.work)))
    return 1 if worse or plan > AIM else 0


if __name__ == "__main__":
    sys.exit(main())
