"""Ids: unique within their kind, so that a reference can mean one thing only."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from nesting.model.plan import Plan, Violation
from nesting.verify.rules import Rule, broken


def check_ids(plan: Plan) -> Iterator[Violation]:
    """Find ids that are empty or borne twice (rule ``id``).

    Unique in the plan: saws and mills (by name), parts, blanks, runs, layouts, offers,
    needs, settings and cautions; pieces in their layout, builds in their need.
    """
    yield from _unique("shop", "saw", (saw.name for saw in plan.shop.saws))
    yield from _unique("shop", "mill", (mill.name for mill in plan.shop.mills))
    yield from _unique("plan", "part", (part.id for part in plan.parts))
    yield from _unique("plan", "blank", (blank.id for blank in plan.blanks))
    yield from _unique("plan", "run", (run.id for run in plan.runs))
    yield from _unique("plan", "layout", (layout.id for layout in plan.layouts))
    yield from _unique("plan", "offer", (offer.id for offer in plan.offers))
    yield from _unique("plan", "need", (need.id for need in plan.needs))
    yield from _unique("plan", "setting", (setting.id for setting in plan.settings))
    yield from _unique("plan", "caution", (caution.id for caution in plan.cautions))
    for layout in plan.layouts:
        ids = (piece.id for piece in layout.pieces)
        yield from _unique(f"layout {layout.id!r}", "piece", ids)
    for need in plan.needs:
        builds = (build.id for build in need.builds)
        yield from _unique(f"need {need.id!r}", "build", builds)


def _unique(where: str, kind: str, ids: Iterable[str]) -> Iterator[Violation]:
    for name, count in Counter(ids).items():
        if not name:
            yield broken(Rule.ID, where, f"a {kind} has no id")
        if count > 1:
            yield broken(Rule.ID, where, f"{count} {kind}s have the id {name!r}")
