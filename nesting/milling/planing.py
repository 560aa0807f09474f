"""What is still thicker than its part when it has been cut, and goes to the planer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from nesting.model.blank import Need
from nesting.model.job import Part
from nesting.model.plan import Layout
from nesting.model.terms import Fate
from nesting.units import Display, Ticks, write_length


def planing(
    parts: Iterable[Part],
    needs: Iterable[Need],
    layouts: Sequence[Layout],
    display: Display,
) -> tuple[str, ...]:
    """Say of each part that is cut too thick what it has to be planed to.

    Parameters
    ----------
    parts
        The finished parts; those without a thickness of their own are left as they
        are.
    needs
        What they are made of, one build each.
    layouts
        Where their blanks are cut from.
    display
        How sizes are written.

    Returns
    -------
    tuple of str
        A sentence for each part, in the order of the parts.
    """
    cut = _thicknesses(layouts)
    takes = {need.part: need.builds[0].takes for need in needs}
    said = []
    for part in parts:
        if part.thickness is None:
            continue
        for take in takes.get(part.name, ()):
            found = cut.get(take.blank.id, set())
            thick = sorted(each for each in found if each > part.thickness)
            if thick and not take.blank.role:
                sizes = " or ".join(write_length(each, display) for each in thick)
                said.append(
                    f"{part.name} is cut {sizes} thick; plane it to "
                    f"{write_length(part.thickness, display)}"
                )
    return tuple(said)


def _thicknesses(layouts: Sequence[Layout]) -> Mapping[str, set[Ticks]]:
    found: dict[str, set[Ticks]] = {}
    for layout in layouts:
        for piece in layout.pieces:
            if piece.fate == Fate.PART and piece.blank is not None:
                found.setdefault(piece.blank, set()).add(piece.thickness)
    return found
