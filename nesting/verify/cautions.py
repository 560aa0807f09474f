"""Cautions: that a step's references lead somewhere."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.model.plan import Plan, Violation
from nesting.verify.rules import Rule, broken


def check_cautions(plan: Plan) -> Iterator[Violation]:
    """Find steps that refer to a caution the plan has not (rule ``caution``)."""
    known = {caution.id for caution in plan.cautions}
    for layout in plan.layouts:
        for cut in layout.cuts:
            where = f"layout {layout.id!r}, step {cut.step}"
            for name in cut.cautions:
                if name not in known:
                    yield broken(Rule.CAUTION, where, f"there is no caution {name!r}")
