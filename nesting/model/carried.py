"""What of a plan is cut at the store, so that it can be carried home."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from nesting.model.plan import Layout, Plan
from nesting.model.terms import Form, Plane, Purpose
from nesting.units import Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreCut:
    """One cut of a sheet at the store, on the piece as it is then."""

    plane: str
    """``crosscut`` or ``rip``."""
    length: Ticks
    """Of the piece."""
    width: Ticks
    at: Ticks
    """From the left end of the piece, or from its front edge, to the kerf."""

    @property
    def is_across(self) -> bool:
        """Whether it divides the length of the piece."""
        return self.plane == Plane.CROSSCUT


@dataclass(frozen=True, slots=True, kw_only=True)
class Sawn:
    """Like pieces of stock that are cut at the same places."""

    stock: str
    qty: int
    places: tuple[Ticks, ...]
    """Of lumber, from the left end of the whole piece to the near side of each kerf."""
    cuts: tuple[StoreCut, ...] = ()
    """Of a sheet, in the order of their steps."""
    pieces: tuple[tuple[Ticks, Ticks], ...] = ()
    """Of a sheet, length and width of what is carried home, the largest first."""


def sawn_at_store(plan: Plan) -> tuple[Sawn, ...]:
    """Return what is cut at the store, in the order of the layouts."""
    found = Counter(
        (layout.stock.name, places, cuts, pieces)
        for layout in plan.layouts
        for places, cuts, pieces in (_sawn(layout),)
        if places or cuts
    )
    return tuple(
        Sawn(stock=stock, qty=qty, places=places, cuts=cuts, pieces=pieces)
        for (stock, places, cuts, pieces), qty in found.items()
    )


def _sawn(
    layout: Layout,
) -> tuple[tuple[Ticks, ...], tuple[StoreCut, ...], tuple[tuple[Ticks, Ticks], ...]]:
    """Return the places of lumber, or the cuts and the pieces of a sheet."""
    at_store = sorted(
        (cut for cut in layout.cuts if cut.purpose == Purpose.HAUL),
        key=lambda cut: cut.step,
    )
    by_id = {piece.id: piece for piece in layout.pieces}
    if layout.form != Form.SHEET:
        places = sorted(by_id[cut.piece].x + cut.at for cut in at_store)
        return tuple(places), (), ()
    cuts = tuple(
        StoreCut(
            plane=cut.plane,
            length=by_id[cut.piece].length,
            width=by_id[cut.piece].width,
            at=cut.at,
        )
        for cut in at_store
    )
    divided = {cut.piece for cut in at_store}
    made = [by_id[name] for cut in at_store for name in cut.makes]
    sizes = [(piece.length, piece.width) for piece in made if piece.id not in divided]
    sizes.sort(key=lambda size: (-size[0] * size[1], size))
    return (), cuts, tuple(sizes)
