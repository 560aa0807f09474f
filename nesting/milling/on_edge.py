"""Strips turned on edge and glued face to face: a top thicker than boards give flat.

The part's thickness comes from the width of the rips, its width from the thicknesses of
the boards, each flattened on both faces.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.milling.want import Mill, Offers, RefusedError, Want
from nesting.model.blank import Blank, Build, Take
from nesting.model.job import Section
from nesting.model.mill import BuildKind

MOST_STRIPS = 60


def on_edge(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return a build for each thickness of stock that the strips may have.

    Raises
    ------
    RefusedError
        The maker asks for it and it cannot be.
    """
    wish = want.part.wish
    asked = wish is not None and wish.kind is BuildKind.ON_EDGE
    off = mill.allowances
    # The rounded edges of the boards are planed off with what slipped in the clamps.
    tall = want.thickness + max(off.plane_glue_up + off.glue_slip, 2 * off.eased)
    builds = []
    for thickness in sorted({s.thickness for s in sections}, reverse=True):
        each = thickness - off.flatten
        able = [s for s in sections if s.thickness == thickness and s.width >= tall]
        if each <= 0 or not able:
            continue
        wide = want.glued_width(mill)
        seams = -(-wide // (mill.widest_section or wide)) - 1
        count = max(2, -(-(wide + 2 * seams * off.joint_edge) // each))
        if asked and wish is not None and wish.count:
            if wish.count * each < want.width:
                continue
            count = wish.count
        if count > MOST_STRIPS:
            continue
        names = tuple(s.name for s in sorted(able, key=lambda s: (s.width, s.name)))
        blank = Blank(
            id=f"{want.name}, strip on edge {mill.write(thickness)}",
            part=want.part.name,
            role="strip on edge",
            length=want.rough_length(mill),
            width=tall,
            thickness=thickness,
            material=want.material.name,
            section=names[0] if len(names) == 1 else "",
            sections=names if len(names) > 1 else (),
            minimum=True,
        )
        builds.append(
            Build(
                id=f"{want.name}: {count} strips on edge, {mill.write(thickness)} each",
                takes=(Take(blank=blank, count=count),),
                kind=BuildKind.ON_EDGE,
            )
        )
    if asked and not builds:
        raise RefusedError(
            "build",
            f"no board gives strips {mill.write(tall)} wide that add up to "
            f"{mill.write(want.width)} on edge",
            "ask for more strips, or leave their number out",
        )
    return Offers(builds=tuple(builds))
