"""The ways from rough blanks to finished parts, gone through piece by piece."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from nesting.model.plan import (
    Operation,
    Plan,
    PlanBlank,
    PlanMill,
    PlanNeed,
    PlanPart,
    PlanRoute,
    Violation,
)
from nesting.verify.rules import Rule, broken

_STARTS = "cut"
_SIDES = {
    "joint": (1, 2),
    "plane": (2,),
    "rip": (1,),
    "crosscut": (0,),
    "joints": (),
    "fit": (),
}
"""Which of length, width and thickness an operation may make less."""
_ON = {"cut": "saws", "glue": "clamps", "joint": "jointer", "plane": "planer"}
"""What does it, if it is not done by hand; a saw rips and crosscuts."""


def check_routes(plan: Plan) -> Iterator[Violation]:
    """Find routes that do not lead from their blanks to their part (rule ``route``).

    A route is about a need and its chosen build, and is gone through as often. It
    begins with the blanks of the build, as many as the build takes and no larger than
    they are cut; nothing grows but by gluing, and what is glued has no more wood than
    its pieces; each machine takes the piece; in the end there are as many copies as
    the need says, no smaller than the part, at its thickness, and nothing is left over.
    """
    needs = {need.id: need for need in reversed(plan.needs)}
    parts = {part.id: part for part in reversed(plan.parts)}
    seen: set[str] = set()
    for route in plan.routes:
        where = f"route of {route.need!r}"
        need, part = needs.get(route.need), parts.get(route.part)
        if need is None or part is None or need.part != route.part:
            what = "there is no such need, or it is for another part"
            yield broken(Rule.ROUTE, where, what)
            continue
        if route.need in seen:
            yield broken(Rule.ROUTE, where, "it is told twice")
        seen.add(route.need)
        if route.build != need.chosen or route.qty != need.qty:
            what = "it is not of the build that was chosen, or not as often"
            yield broken(Rule.ROUTE, where, what)
            continue
        yield from _Walk(plan, route, need, part).check()


class _Walk:
    """One route, gone through."""

    def __init__(
        self, plan: Plan, route: PlanRoute, need: PlanNeed, part: PlanPart
    ) -> None:
        self.route = route
        self.need = need
        self.part = part
        self.where = f"route of {route.need!r}"
        self.blanks: Mapping[str, PlanBlank] = {b.id: b for b in plan.blanks}
        self.mills: Mapping[str, PlanMill] = {m.name: m for m in plan.shop.mills}
        self.saws = {saw.name for saw in plan.shop.saws}
        self.cut = _cut(plan)
        self.now: dict[str, Operation] = {}
        """The last operation on everything that is there."""

    def check(self) -> Iterator[Violation]:
        left = {
            take.blank: take.count
            for build in self.need.builds
            if build.id == self.need.chosen
            for take in build.takes
        }
        for done in self.route.operations:
            if done.what == _STARTS:
                yield from self._start(done, left.pop(done.of, None))
            elif done.what == "glue":
                yield from self._glue(done)
            else:
                yield from self._work(done)
            if done.takes and done.what != "glue":
                yield self._bad(f"to {done.what} takes nothing else")
            yield from self._machine(done)
            self.now[done.of] = self._seen_as_part(done)
        if left:
            yield self._bad(f"it does not begin with {', '.join(sorted(left))}")
        yield from self._end()

    def _seen_as_part(self, done: Operation) -> Operation:
        """Turn a panel, cut along its grain, the way its part's sizes are told."""
        blank = self.blanks.get(done.of)
        is_panel = blank is not None and blank.material == self.part.material
        if done.what != _STARTS or self.part.grain != "width" or not is_panel:
            return done
        return replace(done, length=done.width, width=done.length)

    def _bad(self, what: str) -> Violation:
        return broken(Rule.ROUTE, self.where, what)

    def _start(self, done: Operation, count: int | None) -> Iterator[Violation]:
        blank = self.blanks.get(done.of)
        if count is None or blank is None:
            yield self._bad(f"{done.of!r} is no blank of its build, or is cut twice")
            return
        if done.pieces != count:
            yield self._bad(f"it begins with {done.pieces} of {done.of!r}, not {count}")
        known = self.cut.get(done.of)
        turned = (done.width, done.length, done.thickness)
        free = blank.grain == "any" and known == turned
        if known is not None and known != _size(done) and not free:
            yield self._bad(f"{done.of!r} is cut in another size")

    def _work(self, done: Operation) -> Iterator[Violation]:
        before = self.now.get(done.of)
        if before is None:
            yield self._bad(f"it works on {done.of!r}, which is not there")
            return
        if any(new > old for new, old in zip(_size(done), _size(before), strict=True)):
            yield self._bad(f"{done.of!r} grows when it goes to {done.what}")
        if done.pieces < before.pieces or done.day < before.day:
            yield self._bad(f"{done.of!r} gets fewer, or is worked on before its day")
        wood = _wood(done) * done.pieces
        if wood > _wood(before) * before.pieces:
            yield self._bad(f"{done.of!r} has more wood after it goes to {done.what}")
        sides = _SIDES.get(done.what, ())
        less = [n for n in range(3) if _size(done)[n] < _size(before)[n]]
        if any(n not in sides for n in less):
            yield self._bad(f"to {done.what} changes {done.of!r} on a wrong side")
        if sides and not less and done.pieces == before.pieces:
            yield self._bad(f"to {done.what} takes nothing off {done.of!r}")

    def _glue(self, done: Operation) -> Iterator[Violation]:
        wood = 0
        sizes: list[tuple[int, int, int]] = []
        for take in done.takes:
            there = self.now.pop(take.blank, None)
            if there is None or there.pieces < take.count or there.day > done.day:
                yield self._bad(f"{done.of!r} is glued of what is not there")
                continue
            if there.pieces > take.count:
                rest = there.pieces - take.count
                self.now[take.blank] = replace(there, pieces=rest)
            wood += take.count * _wood(there)
            sizes += [_size(there)] * take.count
        if done.pieces != 1 or _wood(done) > wood or not _fit(_size(done), sizes):
            yield self._bad(f"{done.of!r} has more wood than what it is glued from")

    def _machine(self, done: Operation) -> Iterator[Violation]:
        mill = self.mills.get(done.machine)
        if mill is not None:
            before = self.now.get(done.of, done)
            is_edge = done.what == "joint" and done.thickness == before.thickness
            lies = is_edge or done.width <= mill.width
            fits = done.length >= mill.shortest and done.thickness >= mill.thinnest
            if not fits or not lies:
                yield self._bad(f"{done.of!r} does not go through the {mill.name}")
        known = (_ON[done.what],) if done.what in _ON else self.saws
        by_hand = not done.machine and done.what not in ("cut", "glue")
        if done.machine not in known and not by_hand:
            yield self._bad(f"{done.machine!r} is not for what is to {done.what}")
        if done.machine and mill is None and done.what in ("joint", "plane"):
            yield self._bad(f"there is no {done.machine} in the shop")
        size = {"plane": done.thickness, "rip": done.width, "crosscut": done.length}
        if done.setting is not None and done.setting != size.get(done.what):
            yield self._bad(f"the setting to {done.what} {done.of!r} is not its size")

    def _end(self) -> Iterator[Violation]:
        if len(self.now) != 1:
            yield self._bad("not everything is glued to one piece in the end")
            return
        (last,) = self.now.values()
        if last.pieces != self.need.copies:
            yield self._bad(f"{last.pieces} come of it, not {self.need.copies}")
        part = self.part
        holds = last.length >= part.length and last.width >= part.width
        if not holds or last.thickness != part.thickness:
            yield self._bad("it does not end with the part's sizes")


def _fit(whole: tuple[int, int, int], of: list[tuple[int, int, int]]) -> bool:
    """Tell whether pieces may be glued to one.

    They lie edge to edge, face to face or on edge, or are the edging of the first,
    which it makes longer and wider by no more than the larger side of each.
    """
    long, wide, thick = whole
    if not of:
        return False
    lengths = [size[0] for size in of]
    widths = [size[1] for size in of]
    thicknesses = [size[2] for size in of]
    lies = (
        (wide <= sum(widths) and thick <= min(thicknesses))
        or (wide <= min(widths) and thick <= sum(thicknesses))
        or (wide <= sum(thicknesses) and thick <= min(widths))
    )
    if long <= min(lengths) and lies:
        return True
    more = sum(map(max, widths[1:], thicknesses[1:]))
    grown = long <= lengths[0] + more and wide <= widths[0] + more
    return grown and thick <= thicknesses[0]


def _size(done: Operation) -> tuple[int, int, int]:
    return done.length, done.width, done.thickness


def _wood(done: Operation) -> int:
    return done.length * done.width * done.thickness


def _cut(plan: Plan) -> dict[str, tuple[int, int, int]]:
    """Return the least size of the pieces that are cut for each blank."""
    sizes: dict[str, list[tuple[int, int, int]]] = {}
    for layout in plan.layouts:
        for piece in layout.pieces:
            if piece.fate == "part" and piece.blank is not None:
                sides = (piece.length, piece.width)
                long, wide = sides[::-1] if piece.turned else sides
                sizes.setdefault(piece.blank, []).append((long, wide, piece.thickness))
    return {
        name: (
            min(size[0] for size in found),
            min(size[1] for size in found),
            min(size[2] for size in found),
        )
        for name, found in sizes.items()
    }
