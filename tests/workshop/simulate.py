"""Goes through a route with wood, and knows nothing of how routes are made.

Every piece is a box. Each operation takes something off one of its sides, or glues
boxes together along one side; what is lost is booked under its name, so that in the end
the blanks' wood is the parts' wood and the losses.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from nesting.model.plan import Operation, PlanRoute

Box = tuple[int, int, int]
SIDES = {"joint": (1, 2), "plane": (2,), "rip": (1,), "crosscut": (0,)}
"""The sides an operation may make smaller: length, width, thickness."""


class WrongError(AssertionError):
    """An operation that cannot be done with what is there."""


@dataclass(frozen=True, slots=True)
class Shop:
    """What the machines take, in ticks."""

    jointer_width: int
    jointer_shortest: int
    planer_width: int
    planer_shortest: int
    planer_thinnest: int


@dataclass(frozen=True, slots=True)
class Ended:
    """What is there in the end."""

    boxes: list[Box]
    began: int
    """The wood of the blanks."""
    lost: Counter[str]
    """What was lost, by operation."""


def simulate(route: PlanRoute, shop: Shop, *, is_turned: bool = False) -> Ended:
    """Return what a route leaves, or raise `WrongError` where it cannot be done."""
    bench: dict[str, list[Box]] = {}
    lost: Counter[str] = Counter()
    began = 0
    day = 1
    for done in route.operations:
        size = (done.length, done.width, done.thickness)
        if done.what == "cut":
            if is_turned and done.of == route.part:
                size = (size[1], size[0], size[2])
            bench[done.of] = [size] * done.pieces
            began += done.pieces * _volume(size)
            continue
        if done.takes:
            _glue(done, size, bench, lost)
        else:
            _work(done, size, bench, lost, shop)
        day = max(day, done.day)
    left = [box for boxes in bench.values() for box in boxes]
    return Ended(left, began, lost)


def _work(
    done: Operation,
    size: Box,
    bench: dict[str, list[Box]],
    lost: Counter[str],
    shop: Shop,
) -> None:
    boxes = bench[done.of]
    if done.what in ("joints", "fit"):
        if any(box != size for box in boxes):
            raise WrongError(f"{done.what} changes a size of {done.of}")
        return
    may = SIDES[done.what]
    for box in boxes:
        for side in range(3):
            if size[side] > box[side]:
                raise WrongError(f"{done.of} is too small to {done.what}")
            if size[side] < box[side] and side not in may:
                raise WrongError(
                    f"to {done.what} takes off the wrong side of {done.of}"
                )
        _machine(done, box, size, shop)
    made = [size] * done.pieces
    if done.pieces > len(boxes):
        whole = sum(box[0] for box in boxes)
        if done.pieces * size[0] >= whole:
            raise WrongError(f"{done.pieces} of {done.of} and their kerfs are too long")
    lost[done.what] += sum(map(_volume, boxes)) - sum(map(_volume, made))
    bench[done.of] = made


def _machine(done: Operation, box: Box, size: Box, shop: Shop) -> None:
    long, wide, _ = box
    if done.machine == "planer" and (
        wide > shop.planer_width
        or long < shop.planer_shortest
        or size[2] < shop.planer_thinnest
    ):
        raise WrongError(f"{done.of} does not go through the planer")
    is_face = size[2] < box[2]
    if done.machine == "jointer" and (
        long < shop.jointer_shortest or (is_face and wide > shop.jointer_width)
    ):
        raise WrongError(f"{done.of} does not go over the jointer")


def _glue(
    done: Operation, size: Box, bench: dict[str, list[Box]], lost: Counter[str]
) -> None:
    used: list[Box] = []
    for take in done.takes:
        there = bench[take.blank]
        if len(there) < take.count:
            raise WrongError(f"{done.of} wants more of {take.blank} than there are")
        used += there[: take.count]
        bench[take.blank] = there[take.count :]
        if not bench[take.blank]:
            del bench[take.blank]
    longest = min(box[0] for box in used)
    if "edging" in done.note:
        fits = size[2] <= used[0][2]
    elif done.note.startswith("face to face"):
        fits = size[2] <= sum(b[2] for b in used) and size[1] <= min(b[1] for b in used)
    elif done.note.startswith("on edge"):
        fits = size[1] <= sum(b[2] for b in used) and size[2] <= min(b[1] for b in used)
    else:
        fits = size[1] <= sum(b[1] for b in used) and size[2] <= min(b[2] for b in used)
    if not fits or ("edging" not in done.note and size[0] > longest):
        raise WrongError(f"{done.of} is larger than what it is glued from")
    lost["glue"] += sum(map(_volume, used)) - _volume(size)
    bench.setdefault(done.of, []).append(size)


def _volume(box: Box) -> int:
    return box[0] * box[1] * box[2]
