"""The order of the cuts: one count through the whole plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from nesting.model.plan import Plan, Violation
from nesting.verify.rules import Rule, broken


def check_steps(plan: Plan) -> Iterator[Violation]:
    """Find steps that are missing, doubled or beyond the count (rule ``step``)."""
    steps = Counter(cut.step for layout in plan.layouts for cut in layout.cuts)
    last = steps.total()
    for step, count in sorted(steps.items()):
        if not 1 <= step <= last:
            what = f"the steps of {last} cuts run from 1 to {last}"
            yield broken(Rule.STEP, f"step {step}", what)
        elif count > 1:
            yield broken(Rule.STEP, f"step {step}", f"{count} cuts are this step")
    for step in range(1, last + 1):
        if step not in steps:
            yield broken(Rule.STEP, f"step {step}", "no cut is this step")


def check_order(plan: Plan) -> Iterator[Violation]:
    """Find cuts of a layout that are not listed by their steps (rule ``order``)."""
    for layout in plan.layouts:
        for before, after in pairwise(layout.cuts):
            if before.step >= after.step:
                what = f"step {after.step} is listed after step {before.step}"
                yield broken(Rule.ORDER, f"layout {layout.id!r}", what)
