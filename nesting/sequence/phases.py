"""The phases of the work: what is done with all stock before the next begins.

What has to be sawn at the store comes before all else. Large pieces of sheets are
broken down first, then the rest of the sheets is cut. Boards
are crosscut rough, then ripped, then resawn, each for all boards; what brings blanks to
their length comes last, that of sticks with it, so that one stop serves both (common
practice). No cut is in an earlier phase than the one that makes its piece.
"""

from __future__ import annotations

from nesting.model.plan import Cut, Layout, Piece
from nesting.model.terms import Form, Plane, Purpose
from nesting.trade.defaults import default_length
from nesting.units import Ticks

_HANDY_LENGTH: Ticks = default_length("handy_sheet_length")
_HANDY_WIDTH: Ticks = default_length("handy_sheet_width")

_STORE, _BREAK_DOWN, _SHEETS, _ROUGH, _RIPS, _RESAWS, _LENGTHS = range(-1, 6)
_LENGTHWISE = (Plane.RIP, Plane.RESAW)


def phases(layout: Layout) -> tuple[int, ...]:
    """Return the phase of each cut of a layout, in the order of its cuts.

    Parameters
    ----------
    layout
        Its cuts in an order in which they can be made.
    """
    if layout.form == Form.BOARD:
        return _of_board(layout)
    if layout.form != Form.SHEET:
        return tuple(
            _STORE if cut.purpose == Purpose.HAUL else _LENGTHS for cut in layout.cuts
        )
    pieces = {piece.id: piece for piece in layout.pieces}
    return tuple(
        _STORE if cut.purpose == Purpose.HAUL else _of_sheet(pieces[cut.piece])
        for cut in layout.cuts
    )


def _of_sheet(piece: Piece) -> int:
    long, short = max(piece.length, piece.width), min(piece.length, piece.width)
    is_large = long > _HANDY_LENGTH and short >= _HANDY_WIDTH
    return _BREAK_DOWN if is_large else _SHEETS


def _of_board(layout: Layout) -> tuple[int, ...]:
    """Tell rough crosscuts from those to length: something is ripped between them."""
    made_by = {made: cut for cut in layout.cuts for made in cut.makes}
    feeds = _feeds_strips(layout, made_by)
    phase: dict[str, int] = {}
    for cut in layout.cuts:
        before = made_by.get(cut.piece)
        at_least = _STORE if before is None else phase[before.piece]
        if cut.purpose == Purpose.HAUL:
            own = _STORE
        elif cut.plane == Plane.RESAW:
            own = _RESAWS
        elif cut.plane == Plane.RIP:
            own = _RIPS
        else:
            own = _ROUGH if cut.piece in feeds else _LENGTHS
        phase[cut.piece] = max(own, at_least)
    return tuple(phase[cut.piece] for cut in layout.cuts)


def _feeds_strips(layout: Layout, made_by: dict[str, Cut]) -> frozenset[str]:
    """Return the pieces that are cut before strips are ripped or resawn from them.

    What is ripped and not crosscut again is no strip: it is a blank.
    """
    feeds: set[str] = set()
    for cut in layout.cuts:
        before = made_by.get(cut.piece)
        if cut.plane == Plane.RIP:
            continue
        # From a crosscut up to the rip or resaw that it comes after.
        while cut.plane == Plane.CROSSCUT and before is not None:
            if before.plane in _LENGTHWISE:
                break
            before = made_by.get(before.piece)
        while before is not None:
            feeds.add(before.piece)
            before = made_by.get(before.piece)
    return frozenset(feeds)
