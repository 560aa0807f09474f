"""Replay every cut of a plan on virtual stock, in exact integers.

All cuts are made in the order of their steps, whatever layout they belong to. A layout
starts as one piece: its id is the layout's, its size the stock's. A cut takes a piece
that exists and splits it edge to edge at `at`, the distance from the low face of the
piece, in the axis its plane divides, to the near side of the kerf: the near piece keeps
[0, at), the far piece starts at `at + kerf`, a side of no size is not made, and the
names in `makes` go to what is made, near first. What the plan lists as pieces plays no
part here; `check_pieces` then holds it against what was made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from nesting.model.plan import Cut, Layout, Plan, Violation
from nesting.model.terms import Plane
from nesting.units import Ticks
from nesting.verify.rules import Rule, broken


class Box(NamedTuple):
    """A piece as it lies in its stock, in ticks from the reference corner."""

    x: Ticks
    y: Ticks
    z: Ticks
    length: Ticks
    width: Ticks
    thickness: Ticks

    def slab(self, axis: int, start: Ticks, size: Ticks) -> Box:
        """Return the part of it that starts at `start` on an axis and has `size`."""
        sides = list(self)
        sides[axis] += start
        sides[axis + 3] = size
        return Box(*sides)


AXES: Final[Mapping[str, int]] = {
    Plane.CROSSCUT.value: 0,
    Plane.RIP.value: 1,
    Plane.RESAW.value: 2,
}
"""Which axis a plane divides: 0 the length, 1 the width, 2 the thickness."""


@dataclass(slots=True, kw_only=True)
class Trail:
    """What became of the stock of one layout."""

    boxes: dict[str, Box]
    """Every piece there ever was, by id."""
    born: dict[str, int]
    """The step that made it; the whole stock is there from step 0."""
    divided: dict[str, Cut] = field(default_factory=dict)
    """The cut that took it."""
    made: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """What that cut made of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """The trails of all layouts, in the plan's order, and what broke on the way."""

    trails: tuple[Trail, ...]
    violations: tuple[Violation, ...]


def replay(plan: Plan) -> Replay:
    """Make every cut of a plan, in the order of the steps.

    A cut that cannot be made (rules ``piece``, ``at``) is left out, and what it should
    have made does not exist.
    """
    trails = tuple(_uncut(layout) for layout in plan.layouts)
    cuts = [
        (cut, layout, trail)
        for layout, trail in zip(plan.layouts, trails, strict=True)
        for cut in layout.cuts
    ]
    cuts.sort(key=lambda entry: entry[0].step)
    found: list[Violation] = []
    for cut, layout, trail in cuts:
        found += _make(cut, trail, f"layout {layout.id!r}, step {cut.step}")
    return Replay(trails=trails, violations=tuple(found))


def _uncut(layout: Layout) -> Trail:
    stock = layout.stock
    whole = Box(0, 0, 0, stock.length, stock.width, stock.thickness)
    return Trail(boxes={layout.id: whole}, born={layout.id: 0})


def _make(cut: Cut, trail: Trail, where: str) -> Iterator[Violation]:
    """Make one cut, if it can be made.

    Rule ``piece``: the piece exists and has not been cut. Rule ``at``: the kerf lies on
    the piece, and the cut leaves something and changes something. Rule ``makes``: one
    new name for each piece that has a size.
    """
    box = trail.boxes.get(cut.piece)
    if box is None:
        yield broken(Rule.PIECE, where, f"there is no piece {cut.piece!r} yet")
        return
    if cut.piece in trail.divided:
        step = trail.divided[cut.piece].step
        yield broken(Rule.PIECE, where, f"step {step} has cut {cut.piece!r} already")
        return
    axis = AXES.get(cut.plane)
    if axis is None:  # rule `word` says so
        return
    size = box[axis + 3]
    far = cut.at + cut.kerf
    if not (0 <= cut.at <= far <= size):
        what = f"it takes {cut.at} to {far} of a piece of {size} ticks"
        yield broken(Rule.AT, where, what)
        return
    sides = [
        box.slab(axis, start, extent)
        for start, extent in ((0, cut.at), (far, size - far))
        if extent > 0
    ]
    if not sides:
        yield broken(Rule.AT, where, "it leaves nothing of its piece")
    elif sides[0] == box:
        yield broken(Rule.AT, where, "it neither divides its piece nor takes any off")
    if len(cut.makes) != len(sides):
        what = f"it makes {len(sides)} pieces and names {len(cut.makes)}"
        yield broken(Rule.MAKES, where, what)
    trail.divided[cut.piece] = cut
    made = []
    for name, side in zip(cut.makes, sides, strict=False):
        if name in trail.boxes:
            yield broken(Rule.MAKES, where, f"{name!r} is there already")
            continue
        trail.boxes[name] = side
        trail.born[name] = cut.step
        made.append(name)
    trail.made[cut.piece] = tuple(made)


def check_pieces(layout: Layout, trail: Trail) -> Iterator[Violation]:
    """Hold the pieces that a layout lists against those that its cuts make.

    Rule ``replay``: the whole stock is listed first; each listed piece was made, with
    just that place and size; each piece made is listed. Rule ``fate``: the fate `cut`
    belongs to the pieces that are cut, and to no other.
    """
    where = f"layout {layout.id!r}"
    if not layout.pieces or layout.pieces[0].id != layout.id:
        what = "the first piece listed is not the whole stock, by the layout's id"
        yield broken(Rule.REPLAY, where, what)
    listed = set()
    for piece in layout.pieces:
        listed.add(piece.id)
        spot = f"{where}, piece {piece.id!r}"
        box = trail.boxes.get(piece.id)
        if box is None:
            yield broken(Rule.REPLAY, spot, "no cut makes it")
            continue
        said = Box(
            piece.x, piece.y, piece.z, piece.length, piece.width, piece.thickness
        )
        for name, is_, says in zip(Box._fields, box, said, strict=True):
            if is_ != says:
                what = f"its {name} is listed as {says}, the cuts make it {is_}"
                yield broken(Rule.REPLAY, spot, what)
        cut = trail.divided.get(piece.id)
        if cut is not None and piece.fate != "cut":
            what = f"its fate is '{piece.fate}', but step {cut.step} cuts it"
            yield broken(Rule.FATE, spot, what)
        elif cut is None and piece.fate == "cut":
            yield broken(Rule.FATE, spot, "its fate is to be cut, but no step cuts it")
    for name in trail.boxes:
        if name not in listed:
            what = "the cuts make it, but it is not listed"
            yield broken(Rule.REPLAY, f"{where}, piece {name!r}", what)
