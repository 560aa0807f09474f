"""The most valuable way to cut one sheet, every piece as often as one likes: exact.

Problem: pieces of sizes w[i] x h[i] and values v[i] >= 0; cut a sheet L x W edge to
edge, as deep as one likes, so that the pieces which come out are worth most. There is
no limit on how often a piece comes.

Method: a dynamic program (`tables`) over the raster points of both axes (`points`):
Gilmore & Gomory, Operations Research 13 (1965) 94-120; Herz, IBM J. Res. Develop. 16
(1972) 462-469; Beasley, J. Operational Research Society 36 (1985) 297-306. Sizes are
inflated by a kerf, after which cutting is packing.

Guarantee: exact, in whole numbers below 2**62.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.model.tree import Tree
from nesting.solve.compile import mark_complete, may_compile
from nesting.solve.sheets.pattern_table import (
    PATTERN_KERNELS,
    Lies,
    Table,
    count_of,
    grown,
)
from nesting.solve.sheets.staged_table import StagedTable
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternPiece:
    """A piece that may be cut as often as it fits; lengths in ticks."""

    id: str
    length: Ticks
    width: Ticks
    value: int
    """Zero or more, in any one measure."""
    straight: bool = True
    """Whether its length may lie along the sheet's length."""
    turned: bool = False
    """Whether its length may lie along the sheet's width."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A way to cut one sheet."""

    value: int
    counts: tuple[tuple[str, int], ...]
    """(piece id, how many), in the order of the pieces."""
    tree: Tree | None
    """None where nothing that is worth anything fits."""


def best_pattern(
    pieces: Sequence[PatternPiece],
    length: Ticks,
    width: Ticks,
    *,
    kerf_x: Ticks = 0,
    kerf_y: Ticks = 0,
) -> Pattern:
    """Cut the most valuable pieces from a sheet, each as often as one likes.

    Parameters
    ----------
    pieces
        With distinct ids.
    length, width
        Of the usable area, in ticks; x runs along the length.
    kerf_x, kerf_y
        Lost at a cut that divides the length, and at one that divides the width.

    Returns
    -------
    Pattern
        A best one; of equal ones always the same.

    Raises
    ------
    ValueError
        Where the values may pass 62 bits, or there are more than `MOST_CELLS` pairs of
        points at which cuts would have to be tried.
    """
    sheet = (length + kerf_x, width + kerf_y)
    lies = [_lies(piece, kerf_x, kerf_y) for piece in pieces]
    table = Table(lies, [sheet])
    table.fill_for([piece.value for piece in pieces], sheet)
    cut = table.cut(*sheet)
    ids = [piece.id for piece in pieces]
    sizes = [(piece.length, piece.width) for piece in pieces]
    counts = count_of(cut)
    return Pattern(
        value=table.value(*sheet),
        counts=tuple((ids[i], counts[i]) for i in sorted(counts)),
        tree=None if cut is None else grown(cut, ids, sizes, (kerf_x, kerf_y))[0],
    )


def prepare_patterns() -> None:
    """Compile the kernels for good, by a pattern that takes no time."""
    piece = PatternPiece(id="a", length=2, width=3, value=1)
    best_pattern([piece], 5, 7)
    StagedTable([((2, 3, False),)], [(5, 7)], stages=1).fill([1])
    if may_compile():
        mark_complete(PATTERN_KERNELS)


def _lies(piece: PatternPiece, kerf_x: int, kerf_y: int) -> Lies:
    lies = []
    if piece.straight:
        lies.append((piece.length + kerf_x, piece.width + kerf_y, False))
    if piece.turned:
        lies.append((piece.width + kerf_x, piece.length + kerf_y, True))
    return tuple(lies)
