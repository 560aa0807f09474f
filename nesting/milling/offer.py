"""Offer builds for every part: today one build of one blank, cut in one piece.

A blank is its part plus the allowance of the part, or else of the material. A part
whose grain runs across it is turned round here, so that a blank knows only two grains:
along its length, or any. Solid wood is matched to a section; a sheet has the thickness
it has.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from nesting.errors import Fault, InputError
from nesting.milling.sections import sections_for
from nesting.model.blank import Blank, Build, Need, Run, Take
from nesting.model.job import Material, MaterialKind, Part, Section
from nesting.model.terms import Flow, Grain
from nesting.trade.defaults import default_length
from nesting.units import Display, Ticks, write_length

_CLEAN_UP: Ticks = default_length("resaw_cleanup_per_face")


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What milling makes of the parts."""

    needs: tuple[Need, ...]
    warnings: tuple[str, ...]
    """What the maker must know or do at the bench, a sentence each."""
    runs: tuple[Run, ...] = ()
    """In the order in which their first parts stand."""


def offer(
    parts: Iterable[Part], materials: Iterable[Material], display: Display
) -> Offered:
    """Turn finished parts into needs with a blank each.

    Parameters
    ----------
    parts
        The finished parts of a job.
    materials
        Every material they may name.
    display
        How sizes are written in messages.

    Returns
    -------
    Offered
        Needs in the order of the parts; one build each.

    Raises
    ------
    InputError
        With a fault for every part that is thicker than its stock, is not the thickness
        of its sheet, or fits no section of its lumber.
    """
    parts = tuple(parts)
    by_name = {material.name: material for material in materials}
    needs: list[Need] = []
    warnings: list[str] = []
    faults: list[Fault] = []
    for part in parts:
        material = by_name.get(part.material)
        if material is None:
            faults.append(
                _fault(part, "material", f"there is no material {part.material!r}")
            )
            continue
        try:
            blank, said = _blank(part, material, display)
        except _RefusedError as refused:
            faults.append(_fault(part, refused.field, str(refused), refused.remedy))
            continue
        warnings += [text for text in said if text not in warnings]
        build = Build(id=f"{part.name}: one piece", takes=(Take(blank=blank),))
        needs.append(
            Need(
                id=part.name,
                part=part.name,
                quantity=part.quantity,
                builds=(build,),
                priority=part.priority,
            )
        )
    if faults:
        raise InputError(faults=tuple(faults))
    runs = _runs(parts)
    warnings += [
        f"run {run.id}: number its pieces 1 to {len(run.members)} as they come off the "
        "sheet, and keep that order"
        for run in runs
    ]
    return Offered(needs=tuple(needs), warnings=tuple(warnings), runs=runs)


def _runs(parts: Sequence[Part]) -> tuple[Run, ...]:
    """Return the runs: members in the order of the parts, copies after each other."""
    found: dict[str, list[Part]] = {}
    for part in parts:
        if part.match:
            found.setdefault(part.match.casefold(), []).append(part)
    return tuple(
        Run(
            id=members[0].match,
            members=tuple(p.name for p in members for _ in range(p.quantity)),
            axis=next((p.flow for p in members if p.flow is not None), Flow.ACROSS),
        )
        for members in found.values()
    )


class _RefusedError(Exception):
    """A part that cannot be a blank of its material."""

    def __init__(self, field: str, what: str, remedy: str) -> None:
        self.field = field
        self.remedy = remedy
        super().__init__(what)


def _fault(part: Part, field: str, what: str, remedy: str = "") -> Fault:
    return Fault(
        what=f"part {part.name!r}: {what}",
        remedy=remedy,
        path=part.path,
        line=part.line,
        field=field,
    )


def _blank(
    part: Part, material: Material, display: Display
) -> tuple[Blank, Sequence[str]]:
    if material.kind is MaterialKind.SHEET:
        return _sheet_blank(part, material, display), ()
    return _lumber_blank(part, material, display)


def _sheet_blank(part: Part, material: Material, display: Display) -> Blank:
    thickness = material.thickness
    if thickness is None or part.width is None:
        field = "width" if part.width is None else "thickness"
        raise _RefusedError(
            field, f"it has no {field}", f"give the {field} of the part"
        )
    allowance = part.allowance or material.allowance
    if part.thickness is not None and part.thickness != thickness:
        more = "thicker" if part.thickness > thickness else "thinner"
        raise _RefusedError(
            "thickness",
            f"it is {write_length(part.thickness, display)} thick, {more} than "
            f"{material.name}, which is {write_length(thickness, display)}",
            "leave the thickness empty",
        )
    if allowance.thickness:
        raise _RefusedError(
            "extra_thickness",
            f"a sheet good ({material.name}) is not planed",
            "leave out the extra thickness",
        )
    length = part.length + allowance.length
    width = part.width + allowance.width
    if part.grain is Grain.WIDTH:
        length, width = width, length
    free = part.grain is Grain.ANY or not material.has_grain
    return Blank(
        id=part.name,
        part=part.name,
        length=length,
        width=width,
        thickness=thickness,
        material=material.name,
        grain=Grain.ANY if free else Grain.LENGTH,
    )


def _lumber_blank(
    part: Part, material: Material, display: Display
) -> tuple[Blank, Sequence[str]]:
    if part.grain is Grain.WIDTH:
        raise _RefusedError(
            "grain",
            "the grain of solid wood runs along the board",
            "swap the part's length and width, or leave the grain empty",
        )
    sections = _sections(part, material)
    allowance = part.allowance or material.allowance
    # A size the part leaves to its section grows by nothing: it is what comes.
    thickness = part.thickness or sections[0].thickness
    width = part.width or sections[0].width
    rough_thickness = thickness + (allowance.thickness if part.thickness else 0)
    rough_width = width + (allowance.width if part.width else 0)
    able = sections_for(sections, rough_thickness, rough_width)
    if not able:
        raise _no_section(sections, material, rough_thickness, rough_width, display)
    as_bought = rough_thickness == thickness == able[0].thickness
    names = tuple(section.name for section in able)
    blank = Blank(
        id=part.name,
        part=part.name,
        length=part.length + allowance.length,
        width=rough_width,
        thickness=rough_thickness,
        material=material.name,
        section=names[0] if len(names) == 1 else "",
        sections=names if len(names) > 1 else (),
        grain=Grain.LENGTH,
        minimum=rough_width > width or not as_bought,
        resawn=None if as_bought else max(rough_thickness, thickness + _CLEAN_UP),
    )
    if not as_bought:
        return blank, ()
    return blank, (
        f"{material.name} is used at its dressed thickness where a part has just "
        "that; no planing is planned, so pick straight, flat pieces",
    )


def _sections(part: Part, material: Material) -> tuple[Section, ...]:
    """Return the sections a part may come from: the one it names, or all."""
    sections = material.sections
    if part.section is not None:
        sections = tuple(s for s in sections if s.name == part.section)
        if not sections:
            raise _RefusedError(
                "section",
                f"{material.name} has no section {part.section!r}",
                f"take one of {', '.join(s.name for s in material.sections)}",
            )
    if len(sections) > 1 and (part.width is None or part.thickness is None):
        raise _RefusedError(
            "width" if part.width is None else "thickness",
            f"{material.name} has several sections and the part does not say which",
            "give its width and thickness, or its section",
        )
    return sections


def _no_section(
    sections: Sequence[Section],
    material: Material,
    thickness: Ticks,
    width: Ticks,
    display: Display,
) -> _RefusedError:
    def size(of_thickness: Ticks, of_width: Ticks) -> str:
        return (
            f"{write_length(of_thickness, display)} x {write_length(of_width, display)}"
        )

    known = ", ".join(f"{s.name} ({size(s.thickness, s.width)})" for s in sections)
    return _RefusedError(
        "thickness" if thickness > max(s.thickness for s in sections) else "width",
        f"it needs {size(thickness, width)} with its allowances, and no section of "
        f"{material.name} holds that",
        f"there is {known}",
    )
