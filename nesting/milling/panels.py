"""Parts of sheet goods, and the solid edging that makes their panel smaller."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nesting.milling.joints import full_size
from nesting.milling.sections import sections_for
from nesting.milling.want import Mill, RefusedError
from nesting.model.blank import Blank, Build, Take
from nesting.model.job import Material, MaterialKind, Part
from nesting.model.mill import Corner, Edging, Side
from nesting.model.terms import Grain
from nesting.units import Ticks


def panel(
    part: Part, material: Material, materials: Mapping[str, Material], mill: Mill
) -> tuple[Build, ...]:
    """Return the builds of a part of sheet goods.

    Parameters
    ----------
    part
        Its finished size includes its edging.
    material
        The sheet good.
    materials
        All of the job, by name: edging is lumber.
    mill
        The shop and its allowances.

    Returns
    -------
    tuple of Build
        One without edging; with it one for each way its strips may be cut.

    Raises
    ------
    RefusedError
        It is no thickness of its sheet, or its edging cannot be cut.
    """
    blank = _panel(part, material, mill)
    build = Build(id=f"{part.name}: one piece", takes=(Take(blank=blank),))
    if part.edging is None:
        return (build,)
    lumber = materials.get(part.edging.material)
    if lumber is None or lumber.kind is not MaterialKind.LUMBER:
        raise RefusedError(
            "edging",
            f"there is no lumber {part.edging.material!r} for it",
            "name a lumber material of the job",
        )
    return tuple(
        Build(id=f"{part.name}: panel and {name}", takes=(build.takes[0], *strips))
        for name, strips in _strips(part, part.edging, blank.thickness, lumber, mill)
    )


def sides_covered(edging: Edging) -> tuple[int, int]:
    """Return how many ends and how many edges an edging is on."""
    ends = sum(side.is_end for side in edging.sides)
    return ends, len(edging.sides) - ends


def strip_lengths(part: Part, edging: Edging, mill: Mill) -> dict[Side, Ticks]:
    """Return the finished length of the strip on each side, joints and all.

    Mitred strips run from corner to corner; of butted ones those on the ends do, where
    both sides have one, and those on the edges lie between them.
    """
    length, wide = full_size(part, mill.allowances, is_sheet=True)
    width = wide or 0
    ends, _ = sides_covered(edging)
    found = {}
    for side in edging.sides:
        if side.is_end:
            found[side] = width
        elif edging.corner is Corner.MITRE:
            found[side] = length
        else:
            found[side] = length - ends * edging.thickness
    return found


def _panel(part: Part, material: Material, mill: Mill) -> Blank:
    thickness = material.thickness
    if thickness is None or part.width is None:
        field = "width" if part.width is None else "thickness"
        raise RefusedError(field, f"it has no {field}", f"give the {field} of the part")
    if part.thickness is not None and part.thickness != thickness:
        more = "thicker" if part.thickness > thickness else "thinner"
        raise RefusedError(
            "thickness",
            f"it is {mill.write(part.thickness)} thick, {more} than "
            f"{material.name}, which is {mill.write(thickness)}",
            "leave the thickness empty",
        )
    own, usual = part.allowance, material.allowance
    if own.thickness or (own.thickness is None and usual.thickness):
        raise RefusedError(
            "extra_thickness",
            f"a sheet good ({material.name}) is not planed",
            "leave out the extra thickness",
        )
    if part.wish is not None and part.wish.kind.value != "one piece":
        raise RefusedError(
            "build",
            f"{material.name} is a sheet good, and a part of it is one piece",
            "leave the build empty",
        )
    length, wide = full_size(part, mill.allowances, is_sheet=True)
    width = wide or 0
    if part.edging is not None:
        joined = {side for joint in part.joints for side in joint.sides}
        both = [side for side in part.edging.sides if side in joined]
        if both:
            raise RefusedError(
                "edging",
                f"its {' and '.join(both)} has an edging and a joint",
                "leave one of the two out",
            )
        ends, edges = sides_covered(part.edging)
        length -= ends * part.edging.thickness
        width -= edges * part.edging.thickness
        if min(length, width) <= 0:
            raise RefusedError("edging", "its edging leaves nothing of the panel")
    off = mill.allowances
    extra = [
        (usual.length if own.length is None else own.length),
        (usual.width if own.width is None else own.width),
    ]
    fitting = (off.rough_length, off.rough_width) if part.is_fitted else (0, 0)
    length += fitting[0] if extra[0] is None else extra[0]
    width += fitting[1] if extra[1] is None else extra[1]
    free = part.grain is Grain.ANY or not material.has_grain
    if part.grain is Grain.WIDTH:
        length, width = width, length
    return Blank(
        id=part.name,
        part=part.name,
        role="panel" if part.edging else "",
        length=length,
        width=width,
        thickness=thickness,
        material=material.name,
        grain=Grain.ANY if free else Grain.LENGTH,
    )


def _strips(
    part: Part, edging: Edging, thickness: Ticks, lumber: Material, mill: Mill
) -> Iterator[tuple[str, tuple[Take, ...]]]:
    """Yield the ways to cut the strips: flat in the board, and on edge in it."""
    tall = mill.round_up(thickness + mill.allowances.edging_proud)
    ways = {"flat": (tall, edging.thickness), "on edge": (edging.thickness, tall)}
    lengths = strip_lengths(part, edging, mill)
    found = False
    for way, (wide, thick) in ways.items():
        able = sections_for(lumber.sections, thick, wide)
        if not able:
            continue
        names = tuple(section.name for section in able)
        is_exact = able[0].thickness == thick
        counts: dict[Ticks, int] = {}
        for long in lengths.values():
            counts[long] = counts.get(long, 0) + 1
        found = True
        yield (
            f"edging cut {way}",
            tuple(
                Take(
                    blank=Blank(
                        id=f"{part.name}, edging {mill.write(long)} {way}",
                        part=part.name,
                        role="edging",
                        length=long + mill.allowances.edging_length,
                        width=wide,
                        thickness=thick,
                        material=lumber.name,
                        section=names[0] if len(names) == 1 else "",
                        sections=names if len(names) > 1 else (),
                        minimum=not is_exact,
                        resawn=None
                        if is_exact
                        else thick + mill.allowances.resaw_clean_up,
                    ),
                    count=count,
                )
                for long, count in counts.items()
            ),
        )
    if not found:
        raise RefusedError(
            "edging",
            f"no section of {lumber.name} holds strips {mill.write(tall)} x "
            f"{mill.write(edging.thickness)}",
            "name lumber with a larger section",
        )
