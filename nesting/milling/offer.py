"""Offer builds for every part: the ways in which its blanks may be cut and joined.

A part's joints are added first, then the rough allowances of its build. A part whose
grain runs across it is turned round here, so that a blank knows only two grains: along
its length, or any.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from nesting.errors import Fault, InputError
from nesting.milling.panels import panel
from nesting.milling.solid import solid
from nesting.milling.want import Mill, RefusedError, fault
from nesting.model.blank import Need, Run
from nesting.model.job import Material, MaterialKind, Part
from nesting.model.terms import Flow


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What milling makes of the parts."""

    needs: tuple[Need, ...]
    warnings: tuple[str, ...]
    """What the maker must know or do at the bench, a sentence each."""
    runs: tuple[Run, ...] = ()
    """In the order in which their first parts stand."""


def offer(parts: Iterable[Part], materials: Iterable[Material], mill: Mill) -> Offered:
    """Turn finished parts into needs with the builds to choose from.

    Parameters
    ----------
    parts
        The finished parts of a job.
    materials
        Every material they may name.
    mill
        The machines, and what milling takes off.

    Returns
    -------
    Offered
        Needs in the order of the parts; a part whose copies are milled in gangs of two
        sizes has two. The first build of a need is the usual one.

    Raises
    ------
    InputError
        With a fault for every part that cannot be made of its material in this shop.
    """
    parts = tuple(parts)
    by_name = {material.name: material for material in materials}
    needs: list[Need] = []
    warnings: list[str] = []
    faults: list[Fault] = []
    for part in parts:
        material = by_name.get(part.material)
        if material is None:
            what = f"there is no material {part.material!r}"
            faults.append(fault(part, "material", what))
            continue
        try:
            found, said = _needs(part, material, by_name, mill)
        except RefusedError as refused:
            faults.append(fault(part, refused.field, str(refused), refused.remedy))
            continue
        warnings += [text for text in said if text not in warnings]
        needs += [_cleared(need) for need in found] if part.is_clear else found
    if faults:
        raise InputError(faults=tuple(faults))
    runs = _runs(parts)
    warnings += [
        f"run {run.id}: number its pieces 1 to {len(run.members)} as they come off the "
        "sheet, and keep that order"
        for run in runs
    ]
    return Offered(needs=tuple(needs), warnings=tuple(warnings), runs=runs)


def _needs(
    part: Part, material: Material, materials: dict[str, Material], mill: Mill
) -> tuple[Sequence[Need], Sequence[str]]:
    if material.kind is MaterialKind.LUMBER:
        if part.edging is not None:
            raise RefusedError(
                "edging",
                f"{material.name} is lumber, and edging is for sheet goods",
                "leave the edging empty",
            )
        return solid(part, material, mill)
    need = Need(
        id=part.name,
        part=part.name,
        quantity=part.quantity,
        builds=panel(part, material, materials, mill),
        priority=part.priority,
    )
    return (need,), ()


def _cleared(need: Need) -> Need:
    """Return a need all of whose blanks are to be clear."""
    return replace(
        need,
        builds=tuple(
            replace(
                build,
                takes=tuple(
                    replace(take, blank=replace(take.blank, clear=True))
                    for take in build.takes
                ),
            )
            for build in need.builds
        ),
    )


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
