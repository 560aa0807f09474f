"""Plies glued face to face: a leg thicker than any board.

Each ply is flattened on both faces, the stack is planed once more when the glue is
dry, and plies slip a little under the clamps, so they are wider than the leg.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.milling.want import Mill, Offers, RefusedError, Want
from nesting.model.blank import Blank, Build, Take
from nesting.model.job import Section
from nesting.model.mill import BuildKind

MOST_PLIES = 12


def laminated(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return a build for each thickness of stock that plies may come from.

    The fewest plies that give the thickness with planing, or as many as the maker asks
    for. Nothing where the plies would be wider than the jointer or any board.

    Raises
    ------
    RefusedError
        The maker asks for it and it cannot be.
    """
    wish = want.part.wish
    asked = wish is not None and wish.kind is BuildKind.LAMINATED
    wide = want.glued_width(mill) + mill.allowances.glue_slip
    builds, said = [], []
    for thickness in sorted({s.thickness for s in sections}, reverse=True):
        count = wish.count if asked and wish is not None else None
        count = count or _plies(want, thickness, mill)
        able = [s for s in sections if s.thickness == thickness and s.width >= wide]
        if count > MOST_PLIES or count < 2 or not able:
            continue
        if count * thickness < want.thickness:
            continue
        whole = count * (thickness - mill.allowances.flatten)
        if whole < want.thickness + mill.allowances.plane_glue_up:
            spare = count * thickness - want.thickness
            said.append(
                f"{want.part.name}: {count} plies of {mill.write(thickness)} leave "
                f"{mill.write(spare)} in all to flatten and to plane: pick flat pieces"
            )
        builds.append(_build(want, able, count, wide, mill))
    if asked and not builds:
        raise _refused(want, sections, mill)
    if mill.jointer is not None and wide > mill.jointer.width:
        if not asked:
            return Offers()
        said.append(
            f"{want.part.name}: its plies are {mill.write(wide)} wide, more than the "
            f"jointer's {mill.write(mill.jointer.width)}: flatten their faces by hand"
        )
    return Offers(builds=tuple(builds), said=tuple(said))


def _plies(want: Want, thickness: int, mill: Mill) -> int:
    """Return how many plies leave enough to flatten each and to plane the stack."""
    each = thickness - mill.allowances.flatten
    if each <= 0:
        return MOST_PLIES + 1
    return max(2, -(-(want.thickness + mill.allowances.plane_glue_up) // each))


def _build(
    want: Want, sections: Sequence[Section], count: int, wide: int, mill: Mill
) -> Build:
    thickness = sections[0].thickness
    names = tuple(s.name for s in sorted(sections, key=lambda s: (s.width, s.name)))
    blank = Blank(
        id=f"{want.name}, ply {mill.write(thickness)}",
        part=want.part.name,
        role="ply",
        length=want.rough_length(mill),
        width=wide,
        thickness=thickness,
        material=want.material.name,
        section=names[0] if len(names) == 1 else "",
        sections=names if len(names) > 1 else (),
        minimum=True,
    )
    return Build(
        id=f"{want.name}: {count} plies of {mill.write(thickness)}",
        takes=(Take(blank=blank, count=count),),
        kind=BuildKind.LAMINATED,
    )


def _refused(want: Want, sections: Sequence[Section], mill: Mill) -> RefusedError:
    wide = want.glued_width(mill) + mill.allowances.glue_slip
    widest = max(s.width for s in sections)
    if wide > widest:
        return RefusedError(
            "width",
            f"its plies are {mill.write(wide)} wide with slip and allowance, and the "
            f"widest board is {mill.write(widest)}",
            "make it narrower, or of strips on edge",
        )
    thickest = max(s.thickness for s in sections)
    return RefusedError(
        "build",
        f"that many plies of {mill.write(thickest)} do not give "
        f"{mill.write(want.thickness)}",
        "ask for more, or leave the number out",
    )
