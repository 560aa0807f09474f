"""Solve one instance against the clock, then lay it out and check the plan."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from bench.instances import Instance
from nesting.errors import InfeasibleError
from nesting.milling import offer
from nesting.model.job import Job
from nesting.model.plan import Plan
from nesting.model.problem import Budget, Problem, Progress
from nesting.model.result import Result
from nesting.pipeline.shop_record import mill_of, saws_of
from nesting.pipeline.write_up import write_up
from nesting.sequence import put_in_order
from nesting.solve import lay_out_all, solve
from nesting.verify import verify


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What was measured on one instance; its fields are the keys of the file."""

    name: str
    group: str
    pieces: int
    value: int
    """Sheets or boards where all are of one size, else their cost."""
    lower_bound: int
    proven: bool
    seconds: float
    """Wall seconds of the solver alone."""
    work: int
    stopped_by: str
    basis: str
    published_bound: int | None
    published_best: int | None
    sound: bool
    """Whether the plan passed every check and nothing contradicts a bound."""
    faults: tuple[str, ...]

    def record(self) -> dict[str, Any]:
        """Return the row as it is written."""
        return asdict(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A job that was planned once."""

    result: Result
    plan: Plan | None
    """None where the trees could not be laid out, which the faults tell."""
    faults: tuple[str, ...]
    search_seconds: float
    """Wall seconds of the solver alone."""
    plan_seconds: float
    """Wall seconds until the plan was checked."""


def plan_once(
    job: Job,
    *,
    seed: int,
    budget: Budget,
    ended: Callable[[Result], None] = lambda _: None,
) -> Trial:
    """Plan a job as the product does, part by part of the way, and check the plan.

    Parameters
    ----------
    job
        Of one material; the compiler is ready.
    seed, budget
        Of the search.
    ended
        Told the result as soon as there is one.
    """
    start = time.perf_counter()
    offered = offer(job.parts, job.materials, mill_of(job))
    problem = Problem(
        stock=job.materials[0].stock,
        needs=offered.needs,
        saws=job.shop.saws,
        stages=job.stages,
        offcuts=job.offcuts,
        prefer=job.prefer if job.offcuts.sheet else None,
        seed=seed,
    )
    before = time.perf_counter()
    result = solve(problem, budget)
    found = time.perf_counter()
    ended(result)
    plan: Plan | None = None
    try:
        ordered = put_in_order(
            lay_out_all(problem, result), saws_of(job.shop), job.display
        )
        plan = write_up(job, offered, problem, result, ordered)
        faults = [str(violation) for violation in verify(plan)]
    except (InfeasibleError, ValueError) as error:
        faults = [f"it cannot be laid out: {error}"]
    return Trial(
        result=result,
        plan=plan,
        faults=(*faults, *_contradictions(result)),
        search_seconds=found - before,
        plan_seconds=time.perf_counter() - start,
    )


def measure(
    instance: Instance,
    *,
    seconds: float,
    work: int,
    seed: int,
    cancelled: Callable[[], bool],
    progress: Callable[[Progress], None],
) -> tuple[Row, Plan | None]:
    """Solve an instance, lay it out, put its cuts in order and check the plan.

    Parameters
    ----------
    instance
        The problem; the compiler is ready.
    seconds, work
        The limits of the search, whichever comes first.
    seed
        Of the search.
    cancelled, progress
        Asked, and told, between chunks of the search.

    Returns
    -------
    tuple of Row and Plan or None
        No plan where the trees could not be laid out, which the row's faults tell.
    """
    budget = Budget(
        work=work,
        deadline=time.monotonic() + seconds,
        cancelled=cancelled,
        progress=progress,
    )
    trial = plan_once(instance.job, seed=seed, budget=budget)
    faults = (*trial.faults, *_against_published(instance, trial.result))
    bound = trial.result.bounds[0]
    row = Row(
        name=instance.name,
        group=instance.group,
        pieces=instance.pieces,
        value=bound.value,
        lower_bound=bound.lower_bound,
        proven=bound.proven,
        seconds=round(trial.search_seconds, 3),
        work=trial.result.work,
        stopped_by=trial.result.stopped_by,
        basis=bound.basis,
        published_bound=instance.bound,
        published_best=instance.best,
        sound=not faults,
        faults=faults,
    )
    return row, trial.plan


def _contradictions(result: Result) -> list[str]:
    """Hold a result against its own bounds."""
    missing = sum(miss.quantity for miss in result.unplaced)
    if missing:
        return [f"{missing} parts have no place"]
    found = []
    for bound in result.bounds:
        if bound.value < bound.lower_bound:
            found.append(
                f"its value {bound.value} is below its own bound {bound.lower_bound}"
            )
        if bound.proven and bound.value != bound.lower_bound:
            found.append("it is called proven and leaves a gap")
    return found


def _against_published(instance: Instance, result: Result) -> list[str]:
    """Hold a result in which nothing is missing against what is published."""
    if result.unplaced:
        return []
    bound = result.bounds[0]
    found = []
    if instance.bound is not None and bound.value < instance.bound:
        found.append(
            f"its value {bound.value} is below the known bound {instance.bound}"
        )
    optimal = instance.optimal
    if optimal is not None and bound.value < optimal:
        found.append(f"its value {bound.value} is below the optimum {optimal}")
    if optimal is not None and bound.lower_bound > optimal:
        found.append(f"its bound {bound.lower_bound} is above the optimum {optimal}")
    return found
