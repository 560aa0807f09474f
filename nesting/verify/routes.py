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

_ENDS = ("joints", "fit")
_STARTS = "cut"


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
        build = next(b for b in self.need.builds if b.id == self.need.chosen)
        left = {take.blank: take.count for take in build.takes}
        for done in self.route.operations:
            if done.what == _STARTS:
                yield from self._start(done, left.pop(done.of, None))
            elif done.takes:
                yield from self._glue(done)
            else:
                yield from self._work(done)
            yield from self._machine(done)
            self.now[done.of] = self._seen_as_part(done)
        if left:
            yield self._bad(f"it does not begin with {', '.join(sorted(left))}")
        yield from self._end()

    def _seen_as_part(self, done: Operation) -> Operation:
        """Turn a panel, cut along its grain, the way its part's sizes are told."""
        if done.what != _STARTS or self.part.grain != "width":
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
        if known is not None and known != _size(done):
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
        if done.what not in _ENDS and _size(done) == _size(before):
            yield self._bad(f"{done.what} takes nothing off {done.of!r}")

    def _glue(self, done: Operation) -> Iterator[Violation]:
        wood = 0
        for take in done.takes:
            there = self.now.pop(take.blank, None)
            if there is None or there.pieces < take.count or there.day > done.day:
                yield self._bad(f"{done.of!r} is glued of what is not there")
                continue
            if there.pieces > take.count:
                rest = there.pieces - take.count
                self.now[take.blank] = replace(there, pieces=rest)
            wood += take.count * _wood(there)
        if done.pieces != 1 or _wood(done) > wood:
            yield self._bad(f"{done.of!r} has more wood than what it is glued from")

    def _machine(self, done: Operation) -> Iterator[Violation]:
        mill = self.mills.get(done.machine)
        if mill is not None:
            flat = done.width <= mill.width or done.note.startswith(("an edge", "both"))
            fits = done.length >= mill.shortest and done.thickness >= mill.thinnest
            if not fits or not flat:
                yield self._bad(f"{done.of!r} does not go through the {mill.name}")
        elif done.machine not in ("", "saws", "clamps") and (
            done.machine not in self.saws
        ):
            yield self._bad(f"there is no {done.machine!r} in the shop")
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
