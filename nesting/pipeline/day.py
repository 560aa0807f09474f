"""From a job to a verified plan, in the order of the workshop day.

Mill (what blanks do the parts need?), solve (what stock, cut how?), lay out (where does
the saw go?), put in order (which cut is next?), write up, and check the whole before
anyone sees it.
"""

from __future__ import annotations

from dataclasses import replace

from nesting.errors import InfeasibleError, VerificationError
from nesting.milling import offer
from nesting.model.job import Job
from nesting.model.plan import Layout, Plan
from nesting.model.problem import Budget, Problem
from nesting.model.result import Result
from nesting.model.terms import Form
from nesting.pipeline.advice import advise, before_advice
from nesting.pipeline.write_up import chosen_needs, mill_of, saws_of, write_up
from nesting.sequence import put_in_order
from nesting.solve import lay_out_tight, settle_forms, solve
from nesting.verify import verify


def plan_job(
    job: Job,
    *,
    seed: int = 0,
    budget: Budget | None = None,
    leave_out: bool = False,
    advice: bool = False,
) -> Plan:
    """Plan a whole job and check the plan.

    Parameters
    ----------
    job
        What the maker brings.
    seed
        For the searches; the same job, seed and work give the same plan.
    budget
        How long the searches may go on; the default counts work only.
    leave_out
        Whether a plan may leave parts unplaced, listing them.
    advice
        Whether to add what to know at the store, which takes a second or two.

    Returns
    -------
    Plan
        Verified.

    Raises
    ------
    InputError
        Where a part cannot be made of its material.
    InfeasibleError
        Where parts stay unplaced and `leave_out` is false; names them.
    VerificationError
        Where the plan breaks a rule: a fault of this program.
    """
    budget = budget or Budget()
    offered = offer(job.parts, job.materials, mill_of(job))
    problem = settle_forms(
        Problem(
            stock=tuple(stock for made in job.materials for stock in made.stock),
            needs=offered.needs,
            saws=job.shop.saws,
            stages=job.stages,
            offcuts=job.offcuts,
            prefer=job.prefer,
            longest_rough=job.shop.longest_rough,
            haul=job.shop.haul,
            seed=seed,
            runs=offered.runs,
        )
    )
    result = solve(problem, before_advice(budget) if advice else budget)
    if result.unplaced and not leave_out:
        raise _not_all_placed(problem, result)
    layouts = lay_out_all(problem, result)
    ordered = put_in_order(layouts, saws_of(job.shop), job.display)
    plan = write_up(job, offered, problem, result, ordered)
    if advice:
        found = advise(
            problem,
            chosen_needs(problem, result),
            plan.purchases,
            [tree.stock for tree in result.trees],
            job.materials,
            budget,
        )
        plan = replace(plan, advice=found)
    violations = verify(plan)
    if violations:
        lines = "\n".join(f"  {violation}" for violation in violations[:20])
        message = (
            "the plan did not pass its own check, so nothing was written; this is a "
            f"fault of the program, not of your job:\n{lines}"
        )
        raise VerificationError(message, violations=violations)
    return plan


def lay_out_all(problem: Problem, result: Result) -> list[Layout]:
    """Return a layout for every piece of stock that a result cuts, numbered by form."""
    stock = {each.id: each for each in problem.stock}
    blanks = problem.blanks
    count = {Form.SHEET: 0, Form.STICK: 0, Form.BOARD: 0}
    layouts = []
    for tree in result.trees:
        piece = stock[tree.stock]
        count[piece.form] += 1
        saws = [s for s in problem.saws if not tree.saws or s.name in tree.saws]
        layouts.append(
            lay_out_tight(
                tree.tree,
                piece,
                saws,
                blanks=blanks,
                offcuts=problem.offcuts,
                layout=f"{piece.form}-{count[piece.form]}",
            )
        )
    return layouts


def _not_all_placed(problem: Problem, result: Result) -> InfeasibleError:
    blanks = problem.blanks
    reasons: dict[str, list[str]] = {}
    parts: list[str] = []
    for miss in result.unplaced:
        part = blanks[miss.blank].part
        parts.append(part)
        reasons.setdefault(miss.why, []).append(f"{miss.quantity} x {part}")
    lines = [f"  {', '.join(names)}: {why}" for why, names in reasons.items()]
    lines += [f"  {note}" for note in result.notes]
    message = "these parts cannot be placed, so nothing was written:\n" + "\n".join(
        lines
    )
    return InfeasibleError(message, parts=tuple(dict.fromkeys(parts)))
