"""Parts of solid wood: which builds come into question, the usual one first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from nesting.milling.edge_glued import edge_glued
from nesting.milling.gangs import ganged
from nesting.milling.joints import grown
from nesting.milling.laminated import laminated
from nesting.milling.on_edge import on_edge
from nesting.milling.one_piece import as_bought, one_piece, resawn
from nesting.milling.sections import sections_for
from nesting.milling.want import Mill, Offers, RefusedError, Want, shortest_milled
from nesting.model.blank import Need
from nesting.model.job import Material, Part, Section
from nesting.model.mill import BuildKind
from nesting.model.terms import Grain

Maker = Callable[[Want, Sequence[Section], Mill], Offers]


def solid(
    part: Part, material: Material, mill: Mill
) -> tuple[tuple[Need, ...], tuple[str, ...]]:
    """Return the needs of a part of lumber, and what its maker must know.

    Raises
    ------
    RefusedError
        It cannot be made of this lumber in this shop, or not as its maker asks.
    """
    if part.grain is Grain.WIDTH:
        raise RefusedError(
            "grain",
            "the grain of solid wood runs along the board",
            "swap the part's length and width, or leave the grain empty",
        )
    sections = _sections(part, material)
    more_length, more_width = (
        (0, 0) if part.is_overall else grown(part, mill.allowances, is_sheet=False)
    )
    want = Want(
        part=part,
        material=material,
        length=part.length + more_length,
        width=(part.width or sections[0].width) + more_width,
        thickness=part.thickness or sections[0].thickness,
    )
    bought = as_bought(_as_it_comes(want), sections, mill)
    if part.wish is None or part.wish.kind is BuildKind.AS_BOUGHT:
        if bought.builds:
            return (_need(want, part.quantity, bought),), bought.said
        if part.wish is not None:
            raise RefusedError(
                "build",
                f"no section of {material.name} is just "
                f"{mill.write(want.thickness)} thick and wide enough",
                "leave the build empty to have it planed",
            )
    needs: list[Need] = []
    said: list[str] = []
    for number, (each, quantity) in enumerate(ganged(want, mill)):
        offers = _milled(each, sections, mill)
        name = part.name if number == 0 else f"{part.name} ({number + 1})"
        why = "; ".join(_reasons(each, sections, offers, mill))
        need = _need(each, quantity, offers)
        needs.append(replace(need, id=name, why=why))
        said += offers.said
    return tuple(needs), tuple(said)


def _need(want: Want, quantity: int, offers: Offers) -> Need:
    return Need(
        id=want.part.name,
        part=want.part.name,
        quantity=quantity,
        builds=offers.builds,
        copies=want.copies,
        priority=want.part.priority,
    )


def _reasons(
    want: Want, sections: Sequence[Section], offers: Offers, mill: Mill
) -> Iterator[str]:
    """Say why a part is not simply planed down from a board."""
    if want.copies > 1:
        least = mill.write(shortest_milled(mill))
        yield f"the machines take nothing under {least} in length"
    if want.part.wish is not None:
        yield "as the job asks"
        return
    kind = offers.builds[0].kind
    thickest = mill.write(max(section.thickness for section in sections))
    if kind in (BuildKind.LAMINATED, BuildKind.ON_EDGE):
        yield f"boards are {thickest} thick at most, less what flattens them"
    elif kind is BuildKind.EDGE_GLUED:
        widest = max(section.width for section in sections)
        wide = want.rough_width(mill)
        if mill.jointer is not None and widest >= wide > mill.jointer.width:
            yield f"the jointer takes {mill.write(mill.jointer.width)} of width"
        else:
            yield f"boards are {mill.write(widest)} wide at most"


def _as_it_comes(want: Want) -> Want:
    """Return a want without allowance where the part leaves the size to its section.

    A size that is not given grows by nothing: it is what comes.
    """
    part = want.part
    allowance = replace(
        want.allowance,
        width=want.allowance.width if part.width else 0,
        thickness=want.allowance.thickness if part.thickness else 0,
    )
    return replace(want, part=replace(part, allowance=allowance))


def _milled(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return the builds of a part that is planed."""
    wish = want.part.wish
    if wish is not None:
        asked: dict[BuildKind, Maker] = {
            BuildKind.ONE_PIECE: one_piece,
            BuildKind.RESAWN: resawn,
            BuildKind.LAMINATED: laminated,
            BuildKind.EDGE_GLUED: edge_glued,
            BuildKind.ON_EDGE: on_edge,
        }
        offers = asked[wish.kind](want, sections, mill)
        if not offers.builds:
            raise no_section(want, sections, mill)
        return offers
    whole = one_piece(want, sections, mill)
    if whole.builds and not _is_too_wide(want, mill):
        return whole
    if any(s.thickness >= want.thickness for s in sections):
        try:
            return edge_glued(want, sections, mill)
        except RefusedError as error:
            if whole.builds:
                return whole
            return _thick(want, sections, mill, error)
    return _thick(want, sections, mill, no_section(want, sections, mill))


def _thick(
    want: Want, sections: Sequence[Section], mill: Mill, otherwise: RefusedError
) -> Offers:
    """Return the builds of a part thicker than boards give flat."""
    if mill.planer is None:
        raise otherwise
    found = laminated(want, sections, mill)
    if found.builds:
        return found
    found = on_edge(want, sections, mill)
    if found.builds:
        return found
    raise otherwise


def _is_too_wide(want: Want, mill: Mill) -> bool:
    """Tell whether it cannot be flattened in one piece."""
    wide = want.rough_width(mill)
    jointer, planer = mill.jointer, mill.planer
    return (jointer is not None and wide > jointer.width) or (
        planer is not None and wide > planer.width
    )


def _sections(part: Part, material: Material) -> tuple[Section, ...]:
    """Return the sections a part may come from: the one it names, or all."""
    sections = material.sections
    if part.section is not None:
        sections = tuple(s for s in sections if s.name == part.section)
        if not sections:
            raise RefusedError(
                "section",
                f"{material.name} has no section {part.section!r}",
                f"take one of {', '.join(s.name for s in material.sections)}",
            )
    if len(sections) > 1 and (part.width is None or part.thickness is None):
        raise RefusedError(
            "width" if part.width is None else "thickness",
            f"{material.name} has several sections and the part does not say which",
            "give its width and thickness, or its section",
        )
    return sections


def no_section(want: Want, sections: Sequence[Section], mill: Mill) -> RefusedError:
    """Return the refusal of a part that no section holds."""
    more = want.allowance
    thickness = want.thickness + (more.thickness or 0)
    width = want.width + (more.width or 0)

    square = want.part.square_edges

    def size(of_thickness: int, of_width: int) -> str:
        return f"{mill.write(of_thickness)} x {mill.write(of_width)}"

    assert not sections_for(sections, thickness, width, square=square)
    known = ", ".join(
        f"{s.name} ({size(s.thickness, s.square_width if square else s.width)})"
        for s in sections
    )
    known += " between their rounded edges" if square else ""
    return RefusedError(
        "thickness" if thickness > max(s.thickness for s in sections) else "width",
        f"it needs {size(thickness, width)} with its allowances, and no section of "
        f"{want.material.name} holds that",
        f"there is {known}",
    )
