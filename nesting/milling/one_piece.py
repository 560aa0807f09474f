"""A part cut in one piece: as it was bought, planed down, or a slice of thicker stock.

Resaw arithmetic (common practice): one face is jointed before the saw, so k slices of
finished thickness T take k T + jointing + 2 (k - 1) clean-ups + (k - 1) kerfs of the
stock. What is not kerf is shared out evenly among the slices, rounded up.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.milling.sections import sections_for
from nesting.milling.want import Mill, Offers, RefusedError, Want, shortest_milled
from nesting.model.blank import Blank, Build, Take
from nesting.model.job import Section
from nesting.model.mill import BuildKind
from nesting.units import Ticks


def as_bought(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return the build of a part that is as thick as a section, nothing if none is.

    It is not planed, so it has no rough allowance but what its maker gives; one that is
    fitted to the work is left oversize.
    """
    more = want.allowance
    wide = want.width + want.fitting_width(mill)
    exact = [s for s in sections if s.thickness == want.thickness]
    square = want.part.square_edges
    able = sections_for(exact, want.thickness, wide, square=square)
    if want.part.is_fitted and not able:  # as wide as the board is
        wide = want.width
        able = sections_for(exact, want.thickness, wide, square=square)
    if more.thickness or not able:
        return Offers()
    blank = _blank(
        want,
        able,
        (want.length + want.fitting_length(mill), wide, want.thickness),
        is_minimum=wide > want.width,
        resawn=None,
    )
    said = (
        f"{want.material.name} is used at its dressed thickness where a part has just "
        "that; no planing is planned, so pick straight, flat pieces"
    )
    name = f"{want.name}: {BuildKind.AS_BOUGHT}"
    build = Build(id=name, takes=(Take(blank=blank),), kind=BuildKind.AS_BOUGHT)
    return Offers(builds=(build,), said=(said,))


def one_piece(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return the build of a part that is planed down from a section or a slice of it.

    Nothing where no section holds it. What breaks a limit of the machines is told.
    """
    more = want.allowance
    thick = want.thickness + (more.thickness or 0)
    wide = want.rough_width(mill)
    square = want.part.square_edges
    able = sections_for(sections, thick, wide, square=square)
    least = want.width + (more.width or 0)
    if not able and sections_for(sections, thick, least, square=square):
        # The whole width of a board does: an edge or two are left as they are bought.
        wide = least
        able = sections_for(sections, thick, wide, square=square)
    if not able:
        return Offers()
    wish = want.part.wish
    resawn: Ticks | None = thick + per_slice(thick, able, mill)
    if wish is not None and wish.kind is BuildKind.ONE_PIECE:
        resawn = None
    blank = _blank(
        want,
        able,
        (want.rough_length(mill), wide, thick),
        is_minimum=True,
        resawn=resawn,
    )
    build = Build(id=f"{want.name}: {BuildKind.ONE_PIECE}", takes=(Take(blank=blank),))
    return Offers(builds=(build,), said=tuple(_limits(want, wide, able, mill)))


def resawn(want: Want, sections: Sequence[Section], mill: Mill) -> Offers:
    """Return the build of a part that its maker wants resawn.

    Raises
    ------
    RefusedError
        No saw resaws it, or no section gives the slices.
    """
    part = want.part
    count = (part.wish.count if part.wish else None) or 2
    wide = want.rough_width(mill)
    saws = [s for s in mill.resaws if s.tallest is None or s.tallest >= wide]
    if not saws:
        tallest = max((s.tallest or 0 for s in mill.resaws), default=None)
        best = " and ".join(f"{saw.name} (tallest)" for saw in mill.resaws)
        raise RefusedError(
            "build",
            "no saw of this shop resaws"
            + (
                ""
                if tallest is None
                else f" more than {mill.write(tallest)}, the reach of {best}"
            )
            + f", and its blank is {mill.write(wide)} wide",
            'give a saw with cuts = ["resaw"], or another build',
        )
    kerf = min(saw.kerf for saw in saws)
    slice_ = want.thickness + share_of_slice(count, mill)
    needed = count * slice_ + (count - 1) * kerf
    able = sections_for(sections, needed, wide, square=want.part.square_edges)
    if not able:
        thickest = max(s.thickness for s in sections)
        each = (thickest - (count - 1) * kerf) // count - share_of_slice(count, mill)
        raise RefusedError(
            "build",
            f"{count} slices of {mill.write(want.thickness)} take "
            f"{mill.write(needed)} of the stock, with jointing, kerf and clean-up, and "
            f"{mill.write(wide)} of its width",
            f"of {mill.write(thickest)} they finish {mill.write(max(0, each))} at most",
        )
    blank = _blank(
        want,
        able,
        (want.rough_length(mill), wide, want.thickness),
        is_minimum=True,
        resawn=slice_,
    )
    name = f"{want.name}: {BuildKind.RESAWN}"
    build = Build(id=name, takes=(Take(blank=blank),), kind=BuildKind.RESAWN)
    return Offers(builds=(build,), said=tuple(_limits(want, wide, able, mill)))


def share_of_slice(count: int, mill: Mill) -> Ticks:
    """Return what one of some slices is to be thicker than finished, rounded up."""
    off = mill.allowances
    lost = off.resaw_face + 2 * (count - 1) * off.resaw_clean_up
    return -(-lost // count)


def per_slice(thickness: Ticks, sections: Sequence[Section], mill: Mill) -> Ticks:
    """Return what a slice is to be thicker, for as many as the thickest section gives.

    Fewer slices lose no more each, so what does for the most does for all.
    """
    kerf = min((saw.kerf for saw in mill.resaws), default=0)
    most = max(section.thickness for section in sections)
    count = 2
    while (count + 1) * (thickness + share_of_slice(count + 1, mill)) + (
        count * kerf
    ) <= most:
        count += 1
    return share_of_slice(count, mill)


def _limits(
    want: Want, wide: Ticks, sections: Sequence[Section], mill: Mill
) -> list[str]:
    """Say which limits of the machines a milled piece breaks, and the way out."""
    name, said = want.part.name, []
    planer, jointer = mill.planer, mill.jointer
    if planer is None:
        said.append(
            f"{name} has to be planed to {mill.write(want.thickness)}, and this shop "
            "has no planer: plane it by hand, or have it planed"
        )
    elif wide > planer.width:
        said.append(
            f"{name} is {mill.write(wide)} wide when it is planed, more than the "
            f"planer's {mill.write(planer.width)}: plane it by hand, or give it the "
            "build edge-glued"
        )
    elif want.thickness < planer.thinnest:
        said.append(
            f"{name} is thinner than the {mill.write(planer.thinnest)} the planer "
            "takes: plane it on a flat carrier board, or by hand"
        )
    if jointer is not None and wide > jointer.width:
        said.append(
            f"{name} is {mill.write(wide)} wide when it is jointed, more than the "
            f"jointer's {mill.write(jointer.width)}: flatten a face by hand, or in "
            "the planer on a carrier board"
        )
    length, least = want.rough_length(mill), shortest_milled(mill)
    if length < least:
        said.append(
            f"{name} is {mill.write(length)} long when it is milled, and the machines "
            f"take nothing under {mill.write(least)}: glue runners to its sides, or "
            "mill it by hand"
        )
    spare = max(s.thickness for s in sections) - want.thickness
    if spare < mill.allowances.flatten:
        said.append(
            f"{name} leaves {mill.write(spare)} to plane off, less than the usual "
            f"{mill.write(mill.allowances.flatten)}: pick flat pieces"
        )
    return said


def _blank(
    want: Want,
    sections: Sequence[Section],
    size: tuple[Ticks, Ticks, Ticks],
    *,
    is_minimum: bool,
    resawn: Ticks | None,
) -> Blank:
    names = tuple(section.name for section in sections)
    return Blank(
        id=want.name,
        part=want.part.name,
        role="" if want.copies == 1 else f"{want.copies} in one",
        length=size[0],
        width=size[1],
        thickness=size[2],
        material=want.material.name,
        section=names[0] if len(names) == 1 else "",
        sections=names if len(names) > 1 else (),
        minimum=is_minimum,
        resawn=resawn,
        square_edges=want.part.square_edges,
    )
