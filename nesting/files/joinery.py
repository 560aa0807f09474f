"""What a part list says of how parts are made: joints, builds and edging, in words.

``tenon 1 ends; tongue 1/4 front`` are joints, ``laminated 3`` is a build, and
``oak 3/4 front left right mitre`` an edging.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, TypeVar

from nesting.files.faults import FaultList, Spot, shown, suggestion
from nesting.files.sizes import Sizes
from nesting.files.sums import folded
from nesting.files.tables import whole_number
from nesting.model.mill import BuildKind, Corner, Edging, Joint, JointKind, Side, Wish

Word = TypeVar("Word")

JOINT_FORM: Final = "write a joint like tenon 1 ends, or tongue 1/4 front"
EDGING_FORM: Final = "write an edging like oak 3/4 front left right"
MOST_STRIPS: Final = 60

_SIDES: Final[Mapping[str, tuple[Side, ...]]] = {
    "left": (Side.LEFT,),
    "right": (Side.RIGHT,),
    "front": (Side.FRONT,),
    "back": (Side.BACK,),
    "end": (Side.LEFT,),
    "ends": (Side.LEFT, Side.RIGHT),
    "edge": (Side.FRONT,),
    "edges": (Side.FRONT, Side.BACK),
    "all": tuple(Side),
}
_KINDS: Final = {kind.value: kind for kind in JointKind}
_BUILDS: Final = {kind.value: kind for kind in BuildKind}
_COUNTED: Final = (
    BuildKind.RESAWN,
    BuildKind.LAMINATED,
    BuildKind.EDGE_GLUED,
    BuildKind.ON_EDGE,
)
_CORNERS: Final = {corner.value: corner for corner in Corner}
_OVERALL: Final = "overall"


def read_joints(
    text: str, spot: Spot, sizes: Sizes, faults: FaultList
) -> tuple[tuple[Joint, ...], bool]:
    """Return the joints of a cell, and whether the part's sizes have them in already.

    Parameters
    ----------
    text
        Joints with ``;`` or ``,`` between them: a kind, a size, and the sides it is on;
        ``overall`` among them says that sizes include them.
    spot
        Where it stands.
    sizes
        Reads sizes.
    faults
        Where what cannot be read is noted.
    """
    joints, is_overall = [], False
    for item in filter(None, map(str.strip, re.split("[;,]", text.lower()))):
        if item == _OVERALL:
            is_overall = True
            continue
        kind, rest = _first(item, _KINDS)
        size, named = _sides(rest)
        if kind is None:
            near = suggestion(item.split()[0], (*_KINDS, _OVERALL))
            faults.add(spot, f"{shown(item)} is no joint", f"{JOINT_FORM}; {near}")
            continue
        if not named and kind is JointKind.PANEL:
            named = tuple(Side)
        if not size or not named or len(set(named)) < len(named):
            missing = "size" if not size else "side, or one twice"
            faults.add(spot, f"{shown(item)} has no {missing}", JOINT_FORM)
            continue
        depth = sizes.read(size, spot, faults)
        if depth is not None:
            joints.append(Joint(kind=kind, depth=depth, sides=named))
    if is_overall and not joints:
        what = "sizes are overall where a part has joints, and it has none"
        faults.add(spot, what, JOINT_FORM)
    return tuple(joints), is_overall


def read_build(text: str, spot: Spot, faults: FaultList) -> Wish | None:
    """Return the build a maker asks for, None after noting that it is none."""
    kind, rest = _first(" ".join(text.lower().split()), _BUILDS)
    if kind is None:
        what = f"{shown(text)} is no build"
        faults.add(spot, what, suggestion(text, _BUILDS))
        return None
    if not rest:
        return Wish(kind=kind)
    if kind not in _COUNTED:
        what = f"{shown(text)}: {kind} takes no number"
        faults.add(spot, what, f"write {kind}")
        return None
    count = whole_number(rest, 2, MOST_STRIPS, spot, faults)
    return None if count is None else Wish(kind=kind, count=count)


def read_edging(
    text: str,
    spot: Spot,
    materials: Mapping[str, object],
    sizes: Sizes,
    faults: FaultList,
) -> Edging | None:
    """Return an edging, None after noting what is wrong with it.

    Parameters
    ----------
    text
        A material, a thickness, sides, and ``mitre`` where corners are mitred.
    spot
        Where it stands.
    materials
        The materials of the job by their `folded` names.
    sizes
        Reads sizes.
    faults
        Where faults are noted.
    """
    words = text.split()
    corner = Corner.BUTT
    if words and words[-1].lower() in _CORNERS:
        corner = _CORNERS[words.pop().lower()]
    left, sides = _sides(" ".join(words))
    words = left.split()
    for count in range(len(words) - 1, 0, -1):
        name = " ".join(words[:count])
        if folded(name) in materials:
            break
    else:
        faults.add(spot, f"{shown(text)} names no material of the job", EDGING_FORM)
        return None
    if not sides or len(set(sides)) < len(sides):
        what = f"{shown(text)} names no side, or one twice"
        faults.add(spot, what, EDGING_FORM)
        return None
    thickness = sizes.read(" ".join(words[count:]), spot, faults)
    if thickness is None:
        return None
    return Edging(material=name, thickness=thickness, sides=sides, corner=corner)


def _first(text: str, kinds: Mapping[str, Word]) -> tuple[Word | None, str]:
    """Return the kind that a text begins with, and what follows it."""
    for word in sorted(kinds, key=len, reverse=True):
        if text == word or text.startswith(word + " "):
            return kinds[word], text[len(word) :].strip()
    return None, text


def _sides(text: str) -> tuple[str, tuple[Side, ...]]:
    """Return a text without the sides at its end, and the sides."""
    words = text.split()
    named: list[Side] = []
    while words and words[-1].lower() in (*_SIDES, "and"):
        named[:0] = _SIDES.get(words.pop().lower(), ())
    return " ".join(words), tuple(named)
