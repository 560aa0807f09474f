"""Layouts that are cut alike, drawn once.

Two layouts are alike if their stock, what is made and every cut agree in all but ids
and steps. Cuts of copies are matched by the box of the piece they divide, which no two
cuts of a layout share.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from nesting.model.plan import Cut, Layout, Piece
    from nesting.units import Ticks

_Spot: TypeAlias = "tuple[Ticks, ...]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Layouts that are cut alike."""

    layouts: tuple[Layout, ...]
    """The copies; the first is the one that is drawn."""
    numbers: tuple[int, ...]
    """Their places among the plan's layouts of this form and material, from 1."""
    total: int
    """How many layouts of this form and material the plan has."""
    steps: dict[int, tuple[int, ...]]
    """For each step of the first copy, that step in every copy, in order."""

    @property
    def layout(self) -> Layout:
        """The layout to draw."""
        return self.layouts[0]


def group_layouts(layouts: tuple[Layout, ...]) -> tuple[Group, ...]:
    """Return the layouts in groups of copies, in the order of their first members."""
    alike: dict[object, list[Layout]] = {}
    families: dict[object, list[str]] = {}
    for layout in layouts:
        alike.setdefault(_signature(layout), []).append(layout)
        families.setdefault(_family(layout), []).append(layout.id)
    groups = []
    for copies in alike.values():
        family = families[_family(copies[0])]
        groups.append(
            Group(
                layouts=tuple(copies),
                numbers=tuple(family.index(copy.id) + 1 for copy in copies),
                total=len(family),
                steps=_steps(copies),
            )
        )
    return tuple(groups)


def _family(layout: Layout) -> object:
    return layout.form, layout.material, layout.section


def _spot(piece: Piece) -> _Spot:
    return (piece.x, piece.y, piece.z, piece.length, piece.width, piece.thickness)


def _signature(layout: Layout) -> object:
    """Return what two layouts share if they are cut alike."""
    spots = {piece.id: _spot(piece) for piece in layout.pieces}
    leaves = sorted(
        (spots[piece.id], piece.fate, piece.blank or "", piece.turned)
        for piece in layout.pieces
        if piece.fate != "cut"
    )
    cuts = sorted(
        (
            spots[cut.piece],
            (cut.plane, cut.at, cut.kerf, cut.saw),
            (-1 if cut.measure is None else cut.measure, cut.from_, cut.guide),
            cut.purpose,
        )
        for cut in layout.cuts
    )
    return (_family(layout), layout.stock, tuple(leaves), tuple(cuts))


def _steps(copies: list[Layout]) -> dict[int, tuple[int, ...]]:
    """Return, by the steps of the first copy, the steps of all."""
    tables = [_cuts_by_spot(copy) for copy in copies]
    return {
        cut.step: tuple(sorted(table[spot].step for table in tables))
        for spot, cut in tables[0].items()
    }


def _cuts_by_spot(layout: Layout) -> dict[_Spot, Cut]:
    spots = {piece.id: _spot(piece) for piece in layout.pieces}
    return {spots[cut.piece]: cut for cut in layout.cuts}


def write_steps(steps: tuple[int, ...]) -> str:
    """Return sorted steps in short: ``4–6, 9``.

    Examples
    --------
    >>> write_steps((4, 5, 6, 9, 11, 12))
    '4–6, 9, 11, 12'
    """
    runs: list[list[int]] = []
    for step in steps:
        if runs and step == runs[-1][-1] + 1:
            runs[-1].append(step)
        else:
            runs.append([step])
    words = []
    for run in runs:
        if len(run) > 2:
            words.append(f"{run[0]}–{run[-1]}")
        else:
            words.extend(str(step) for step in run)
    return ", ".join(words)
