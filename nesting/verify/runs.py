"""Match runs: whether the grain flows on from each member to the next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import Final, NamedTuple

from nesting.model.plan import Cut, Layout, Piece, Plan, PlanRun, Violation
from nesting.model.terms import Fate, Flow, Form
from nesting.units import Ticks
from nesting.verify.replay import AXES, Box, Trail
from nesting.verify.rules import Rule, broken

_FLOWS: Final = tuple(flow.value for flow in Flow)


class _Lain(NamedTuple):
    """A member as it lies."""

    piece: Piece
    box: Box
    layout: int


def check_runs(plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    """Hold every run against the layouts (rule ``run``).

    A run has two members at least, all of them blanks of the plan; a blank is in one
    run only, and in it with all its copies. Either none of a run is cut, or all of it
    from one sheet: turned alike, the low sides across in one line, one behind the other
    along the axis in the order of the run (from either end: a sheet may be turned
    round), and what is between two of them is the kerf of one cut that parts them.
    """
    wanted = {blank.id: blank.qty for blank in plan.blanks}
    owner: dict[str, str] = {}
    for run in plan.runs:
        where = f"run {run.id!r}"
        if len(run.members) < 2:
            yield broken(Rule.RUN, where, "it has not two members")
        for name, count in Counter(run.members).items():
            if name not in wanted:
                yield broken(Rule.RUN, where, f"the plan has no blank {name!r}")
            elif wanted[name] != count:
                what = f"{count} of blank {name!r} are in it, {wanted[name]} are wanted"
                yield broken(Rule.RUN, where, what)
            if owner.setdefault(name, run.id) != run.id:
                what = f"blank {name!r} is in run {owner[name]!r} as well"
                yield broken(Rule.RUN, where, what)
        if run.axis in _FLOWS:
            yield from _lies(run, plan, trails)


def _lies(run: PlanRun, plan: Plan, trails: tuple[Trail, ...]) -> Iterator[Violation]:
    where = f"run {run.id!r}"
    names = set(run.members)
    found = [
        _Lain(piece, trail.boxes[piece.id], number)
        for number, (layout, trail) in enumerate(zip(plan.layouts, trails, strict=True))
        for piece in layout.pieces
        if piece.fate == Fate.PART.value
        and piece.blank in names
        and piece.id in trail.boxes
    ]
    if not found:
        return
    if len(found) < len(run.members):
        what = f"{len(found)} of its {len(run.members)} members are cut, not all"
        yield broken(Rule.RUN, where, what)
    layout = plan.layouts[found[0].layout]
    if any(each.layout != found[0].layout for each in found):
        yield broken(Rule.RUN, where, "its members lie on more than one sheet")
        return
    if layout.form != Form.SHEET.value:
        yield broken(Rule.RUN, where, "it is cut from something that is no sheet")
    if any(each.piece.turned is not found[0].piece.turned for each in found):
        yield broken(Rule.RUN, where, "its members are not all turned alike")
        return
    axis = int((run.axis == Flow.ALONG.value) is found[0].piece.turned)
    if len({each.box[1 - axis] for each in found}) > 1:
        yield broken(Rule.RUN, where, "its members do not begin in one line")
    found.sort(key=lambda each: each.box[axis])
    order = tuple(each.piece.blank for each in found)
    if order not in (run.members, run.members[::-1]):
        yield broken(Rule.RUN, where, "its members do not lie in their order")
    parted = _parents(layout, trails[found[0].layout])
    for one, two in pairwise(found):
        yield from _parted(one, two, axis, parted, trails[one.layout], where)


def _parents(layout: Layout, trail: Trail) -> dict[str, str]:
    """Return what each piece was cut from."""
    return {made: name for name, both in trail.made.items() for made in both}


def _parted(
    one: _Lain,
    two: _Lain,
    axis: int,
    parents: dict[str, str],
    trail: Trail,
    where: str,
) -> Iterator[Violation]:
    """Find the cut that parts two neighbours; its kerf is all that is between them."""
    end = one.box[axis] + one.box[axis + 3]
    cut = _cut_between(one.piece.id, two.piece.id, parents, trail)
    names = f"{one.piece.id!r} and {two.piece.id!r}"
    if cut is None:
        yield broken(Rule.RUN, where, f"no cut parts its members {names}")
        return
    start: Ticks = trail.boxes[cut.piece][axis] + cut.at
    gap = two.box[axis] - end
    if AXES[cut.plane] != axis or start != end or gap != cut.kerf:
        what = f"between {names} there is {gap}, not just the kerf of one cut"
        yield broken(Rule.RUN, where, what)


def _cut_between(
    one: str, two: str, parents: dict[str, str], trail: Trail
) -> Cut | None:
    """Return the cut after which two pieces were parts of different pieces."""
    above = []
    while one in parents:
        one = parents[one]
        above.append(one)
    while two in parents:
        two = parents[two]
        if two in above:
            return trail.divided[two]
    return None
