"""The changes of setting, counted again from the steps."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.model.plan import Plan, Violation
from nesting.verify.rules import Rule, broken


def check_changes(plan: Plan) -> Iterator[Violation]:
    """Hold the count of changes and its bound against the steps (rule ``changes``).

    A cut changes its saw if that was last set to another guide or distance; a cut along
    a pencil line sets nothing. The settings that differ need a change each, so a bound
    may be weaker than that, but never above what was counted.
    """
    order = plan.order
    if order is None:
        return
    cuts = sorted(
        (cut for layout in plan.layouts for cut in layout.cuts),
        key=lambda cut: cut.step,
    )
    stands: dict[str, tuple[str, int]] = {}
    changes = 0
    for cut in cuts:
        if cut.guide == "line" or cut.measure is None:
            continue
        if stands.get(cut.saw) != (cut.guide, cut.measure):
            changes += 1
        stands[cut.saw] = cut.guide, cut.measure
    if order.changes != changes:
        what = f"{order.changes} changes of setting are said, the steps make {changes}"
        yield broken(Rule.CHANGES, "order", what)
    if not 0 <= order.lower_bound <= changes:
        what = f"the lower bound {order.lower_bound} is not from 0 to {changes}"
        yield broken(Rule.CHANGES, "order", what)
