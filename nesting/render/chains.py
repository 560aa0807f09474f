"""Cuts that repeat one another: like pieces, each cut from what the last one left."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from nesting.render.groups import write_steps

if TYPE_CHECKING:
    from nesting.model.plan import Cut, Layout, Piece
    from nesting.render.groups import Group

Chain: TypeAlias = "tuple[Cut, ...]"
"""Cuts with one setting, each of the rest that the one before it left."""

_LONGEST = 7
"""Characters that a ring holds."""


def chain_cuts(layout: Layout) -> tuple[Chain, ...]:
    """Return the cuts of a layout in chains, ordered by their first steps.

    A cut that no other repeats is a chain of one.
    """
    pieces = {piece.id: piece for piece in layout.pieces}
    by_piece = {cut.piece: cut for cut in layout.cuts}
    chained: set[str] = set()
    chains: list[Chain] = []
    for first in layout.cuts:
        if first.piece in chained:
            continue
        chain = [first]
        while (following := _following(chain[-1], by_piece, pieces)) is not None:
            chain.append(following)
        chained.update(cut.piece for cut in chain)
        chains.append(tuple(chain))
    return tuple(chains)


def chain_rest(chain: Chain, layout: Layout) -> str | None:
    """Return the id of what the last cut of a chain leaves, None if nothing."""
    pieces = {piece.id: piece for piece in layout.pieces}
    made = wanted(chain, pieces)
    return next((other for other in chain[-1].makes if other != made), None)


def wanted(chain: Chain, pieces: dict[str, Piece]) -> str:
    """Return the id of the piece that the last cut of a chain is made for."""
    last = chain[-1]
    if len(chain) > 1:
        like = _look(pieces[_taken(chain[0], chain[1])])
        for made in last.makes:
            if _look(pieces[made]) == like:
                return made
    return last.makes[0]


def cut_number(group: Group, *cuts: Cut) -> str:
    """Return what the ring of a cut, or of several together, says.

    Its step, or the steps of all copies. Where they are too many for a ring, the first
    stands there with dots, and the list of cuts has them all.
    """
    words = write_steps(all_steps(group, *cuts))
    return words if len(words) <= _LONGEST else f"{cuts[0].step}…"


def all_steps(group: Group, *cuts: Cut) -> tuple[int, ...]:
    """Return the steps of some cuts in all copies of a layout, sorted."""
    return tuple(sorted(step for cut in cuts for step in group.steps[cut.step]))


def _taken(cut: Cut, following: Cut) -> str:
    """Return the id of the piece a cut makes besides the one that is cut next."""
    return next((made for made in cut.makes if made != following.piece), "")


def _following(
    cut: Cut, by_piece: dict[str, Cut], pieces: dict[str, Piece]
) -> Cut | None:
    """Return the cut that repeats a cut on the rest it leaves."""
    for rest in cut.makes:
        other = by_piece.get(rest)
        if other is None or _setting(other) != _setting(cut):
            continue
        piece = pieces.get(_taken(cut, other))
        if piece is None or piece.fate != "part":
            continue
        if any(_look(pieces[made]) == _look(piece) for made in other.makes):
            return other
    return None


def _setting(cut: Cut) -> object:
    return cut.plane, cut.saw, cut.guide, cut.measure, cut.from_, cut.purpose


def _look(piece: Piece) -> object:
    size = piece.length, piece.width, piece.thickness
    return piece.fate, piece.blank, piece.turned, size
