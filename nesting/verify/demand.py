"""Whether all that is wanted is cut: parts, their blanks, and the builds chosen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from nesting.model.plan import Plan, PlanBlank, PlanNeed, PlanPart, Violation
from nesting.model.terms import Fate, Grain
from nesting.verify.rules import Rule, broken


def check_demand(plan: Plan) -> Iterator[Violation]:
    """Count the blanks (rule ``demand``): cut + unplaced = wanted, for each of them."""
    placed = Counter(
        piece.blank
        for layout in plan.layouts
        for piece in layout.pieces
        if piece.fate == Fate.PART.value
    )
    unplaced: Counter[str] = Counter()
    blanks = {blank.id for blank in plan.blanks}
    for missing in plan.unplaced:
        unplaced[missing.blank] += missing.qty
        if missing.blank not in blanks:
            what = "it is unplaced, and the plan has no such blank"
            yield broken(Rule.DEMAND, f"blank {missing.blank!r}", what)
    for blank in plan.blanks:
        cut, left = placed[blank.id], unplaced[blank.id]
        if cut + left != blank.qty:
            what = f"{blank.qty} are wanted, {cut} are cut and {left} unplaced"
            yield broken(Rule.DEMAND, f"blank {blank.id!r}", what)


def check_parts(plan: Plan) -> Iterator[Violation]:
    """Hold parts and blanks against each other (rule ``part``).

    Every part has a blank, every blank has parts of the plan, each once. A blank
    without a role is its part cut in one piece: of the same material and no smaller,
    whichever way round if the grain does not matter, and only then free to be turned.
    """
    parts: Mapping[str, PlanPart] = {part.id: part for part in reversed(plan.parts)}
    met = set()
    for blank in plan.blanks:
        where = f"blank {blank.id!r}"
        if not blank.parts or len(set(blank.parts)) < len(blank.parts):
            yield broken(Rule.PART, where, "it names no part, or one twice")
        for name in blank.parts:
            met.add(name)
            part = parts.get(name)
            if part is None:
                yield broken(Rule.PART, where, f"there is no part {name!r}")
            elif not blank.role:
                yield from _one_piece(part, blank, where)
    for part in plan.parts:
        if part.id not in met:
            yield broken(Rule.PART, f"part {part.id!r}", "no blank is cut for it")


def _one_piece(part: PlanPart, blank: PlanBlank, where: str) -> Iterator[Violation]:
    if blank.material != part.material:
        what = f"it is of {blank.material!r}, part {part.id!r} of {part.material!r}"
        yield broken(Rule.PART, where, what)
    if blank.grain == Grain.ANY.value != part.grain:
        what = f"its grain may run any way, that of part {part.id!r} may not"
        yield broken(Rule.PART, where, what)
    straight = blank.length >= part.length and blank.width >= part.width
    across = blank.length >= part.width and blank.width >= part.length
    holds = {Grain.LENGTH.value: straight, Grain.WIDTH.value: across}
    if blank.thickness < part.thickness or not holds.get(part.grain, straight | across):
        yield broken(Rule.PART, where, f"it is smaller than its part {part.id!r}")


def check_needs(plan: Plan) -> Iterator[Violation]:
    """Hold blanks against the builds that were chosen for the needs (rule ``need``).

    A need is for a part of the plan and chooses one of its builds, which takes a blank
    at least; the needs of a part are for as many as the part. A blank is wanted as
    often as the chosen builds take it, for just the parts whose needs take it. A blank
    that none takes comes out of a glue-up, of blanks that are taken. Without needs, a
    blank that has no role is wanted as often as its parts.
    """
    parts: Mapping[str, PlanPart] = {part.id: part for part in reversed(plan.parts)}
    if not plan.needs:
        for blank in plan.blanks:
            yield from _as_many(blank, parts)
        return
    wanted: Counter[str] = Counter()
    takes: Counter[str] = Counter()
    takers: dict[str, set[str]] = {}
    blanks = {blank.id for blank in plan.blanks}
    for need in plan.needs:
        where = f"need {need.id!r}"
        if need.part not in parts:
            yield broken(Rule.NEED, where, f"there is no part {need.part!r}")
        wanted[need.part] += need.qty * need.copies
        chosen = _chosen(need)
        if chosen is None:
            what = f"the build it chooses, {need.chosen!r}, is none of its builds"
            yield broken(Rule.NEED, where, what)
            continue
        if not chosen:
            yield broken(Rule.NEED, where, "the build it chooses takes no blank")
        for name, count in chosen.items():
            takes[name] += need.qty * count
            takers.setdefault(name, set()).add(need.part)
            if name not in blanks:
                what = f"its build takes a blank {name!r}, which the plan has not"
                yield broken(Rule.NEED, where, what)
    for part in plan.parts:
        if wanted[part.id] != part.qty:
            what = f"{part.qty} are wanted, its needs are for {wanted[part.id]}"
            yield broken(Rule.NEED, f"part {part.id!r}", what)
    glued = _only_glued(plan)
    for blank in plan.blanks:
        where = f"blank {blank.id!r}"
        if blank.id not in takers:
            if blank.id in glued:
                yield from _as_many(blank, parts)
            else:
                yield broken(Rule.NEED, where, "no build that was chosen takes it")
            continue
        if takes[blank.id] != blank.qty:
            what = f"{blank.qty} are wanted, the builds take {takes[blank.id]}"
            yield broken(Rule.NEED, where, what)
        if takers[blank.id] != set(blank.parts):
            what = "its parts are not those whose builds take it"
            yield broken(Rule.NEED, where, what)


def _chosen(need: PlanNeed) -> Counter[str] | None:
    """Return what the chosen build takes, None where it is no build of the need."""
    for build in need.builds:
        if build.id == need.chosen:
            counts: Counter[str] = Counter()
            for take in build.takes:
                counts[take.blank] += take.count
            return counts
    return None


def _as_many(blank: PlanBlank, parts: Mapping[str, PlanPart]) -> Iterator[Violation]:
    count = sum(parts[name].qty for name in blank.parts if name in parts)
    if not blank.role and count != blank.qty:
        what = f"{blank.qty} are wanted, and {count} of its parts"
        yield broken(Rule.NEED, f"blank {blank.id!r}", what)


def _only_glued(plan: Plan) -> set[str | None]:
    """Return the blanks that are cut from glue-ups and from nothing else."""
    cut: dict[bool, set[str | None]] = {True: set(), False: set()}
    for layout in plan.layouts:
        cut[layout.form == "glueup"] |= {
            piece.blank for piece in layout.pieces if piece.fate == Fate.PART.value
        }
    return cut[True] - cut[False]
