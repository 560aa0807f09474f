"""Lumber in shops with little reach, and what can be cut of it by hand reckoning.

Nothing here knows the solver or the checker: the rules are a sawyer's, as the papers
tell them. Saws are asked for the thickness of the board as it was bought. Lengths come
off a stop or a pencil line, never off a rip fence, on a piece no wider than the sled or
the head takes. A rip needs a fence, or the sled for a short piece, and no piece longer
than `longest_rough` is ripped. Between fence and blade lies the wanted piece, no wider
than the fence opens, no narrower than may pass, its edge at least as long as it is far.
To be resawn a piece stands on its edge, so that its width is what the blade reaches.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from nesting.model.job import Job, Part
from nesting.model.plan import Layout, Plan
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Guide, Plane
from workshop.lumber_shops import ALLOWANCES, TightLumber, tight_job

__all__ = ["Judge", "judged", "tight_job"]


class Piece(NamedTuple):
    """What lies on the bench, in ticks."""

    length: int
    width: int
    thickness: int
    rounded: int = 0
    """How many of its long edges are the board's, rounded ones."""


class Judge:
    """What the saws of a shop make of boards, one after another, in any order."""

    def __init__(self, job: Job) -> None:
        self.saws = job.shop.saws
        self.rough = job.shop.longest_rough
        self.stock = job.materials[0].stock

    def can_be_cut(self, part: Part) -> bool:
        """Tell whether some board gives a part by some order of cuts."""
        return any(
            board.usable_length >= part.length and self._frees(part, board)
            for board in self._boards(part)
        )

    def _boards(self, part: Part) -> list[Stock]:
        """Return the boards that hold a part; where some are just as thick, those."""
        assert part.width is not None
        assert part.thickness is not None
        holds = [
            board
            for board in self.stock
            if part.section in (None, board.section)
            and board.width - 2 * board.eased * part.square_edges >= part.width
            and board.thickness >= _least(part, 0)
        ]
        bought = [board for board in holds if board.thickness == part.thickness]
        return bought or holds

    def _frees(self, part: Part, board: Stock) -> bool:
        """Go through all orders of cuts, a piece at a time."""
        saws = [s for s in self.saws if not s.tallest or s.tallest >= board.thickness]
        rounded = 2 if part.square_edges and board.eased else 0
        start = Piece(board.length, board.width, board.thickness, rounded)
        seen, waiting = {start}, [start]
        is_bare = not board.trim.across_x
        while waiting:
            piece = waiting.pop()
            if _is_made(part, piece, board) and (piece != start or is_bare):
                return True
            for after in self._after(part, piece, board, saws):
                if after not in seen:
                    seen.add(after)
                    waiting.append(after)
        return False

    def _after(
        self, part: Part, piece: Piece, board: Stock, saws: list[Saw]
    ) -> Iterator[Piece]:
        """Yield what one more cut may leave of a piece."""
        assert part.width is not None
        long, wide, thick, rounded = piece
        stops = [saw.longest_cut or 0 for saw in saws]
        stops += [saw.widest_crosscut or 0 for saw in saws]
        lengths = {part.length, part.width, self.rough or 0, *stops}
        if any(crosscuts(saw, wide) for saw in saws):
            for length in lengths:
                if part.length <= length < long:
                    yield piece._replace(length=length)
        widths = {part.width}
        if part.thickness != board.thickness:  # planed: it may be as wide as may pass
            widths.update(saw.narrowest_rip or 0 for saw in saws)
        may_rip = not self.rough or long <= self.rough
        if rounded:  # one edge goes, or what is behind it and the edge opposite
            spare = board.eased * (rounded - 1)
            widths = {width + spare for width in widths} | {wide - board.eased}
        for width in widths:
            is_wanted = part.width <= width < wide and may_rip
            if is_wanted and any(rips(saw, long, width) for saw in saws):
                yield piece._replace(width=width, rounded=max(0, rounded - 1))
        if part.wish is not None and thick == board.thickness:
            for saw in saws:
                size = _least(part, saw.kerf) - saw.kerf
                slice_ = -(-size // 2)
                if 2 * slice_ + saw.kerf <= thick and resaws(saw, long, wide, slice_):
                    yield piece._replace(thickness=slice_)


def _least(part: Part, kerf: int) -> int:
    """Return how thick a board must be for a part, or for two slices of it."""
    assert part.thickness is not None
    if part.wish is None:
        return part.thickness
    off = ALLOWANCES.resaw_face + 2 * ALLOWANCES.resaw_clean_up
    return 2 * part.thickness + off + kerf


def _is_made(part: Part, piece: Piece, board: Stock) -> bool:
    """Tell whether a piece will do: what is planed may be wider and thicker."""
    assert part.width is not None
    if piece.length != part.length or piece.rounded:
        return False
    if part.wish is not None:
        return piece.thickness < board.thickness
    return piece.width == part.width or part.thickness != board.thickness


def crosscuts(saw: Saw, run: int) -> bool:
    """Tell whether a saw crosscuts lumber so wide."""
    return (
        Plane.CROSSCUT in saw.planes
        and saw.crosscut_guide is not Guide.FENCE
        and (saw.widest_crosscut is None or run <= saw.widest_crosscut)
        and (saw.longest_cut is None or run <= saw.longest_cut)
    )


def on_fence(saw: Saw, run: int, far: int) -> bool:
    """Tell whether a piece so long is cut against a fence so far from the blade."""
    return (
        run >= far >= (saw.narrowest_rip or 0)
        and (saw.widest_rip is None or far <= saw.widest_rip)
        and (saw.longest_cut is None or run <= saw.longest_cut)
    )


def rips(saw: Saw, run: int, far: int) -> bool:
    """Tell whether a saw rips a piece so long: on its fence, or short on its sled."""
    if Plane.RIP not in saw.planes or saw.rip_guide is not Guide.FENCE:
        return False
    sled = saw.crosscut_guide is Guide.STOP and crosscuts(saw, run)
    return sled or on_fence(saw, run, far)


def resaws(saw: Saw, run: int, width: int, far: int) -> bool:
    """Tell whether a saw takes a slice off a piece that stands on its edge."""
    stands = saw.tallest is None or width <= saw.tallest
    return Plane.RESAW in saw.planes and stands and on_fence(saw, run, far)


def out_of_reach(plan: Plan, job: Job) -> list[str]:
    """Return the steps that their saw does not make, on the piece as it is."""
    saws = {saw.name: saw for saw in job.shop.saws}
    return [
        f"{layout.id}, step {cut.step}"
        for layout in plan.layouts
        for cut, piece in _cut_by_cut(layout)
        if not _is_within(saws[cut.saw], cut, piece, layout, job.shop.longest_rough)
    ]


def _is_within(
    saw: Saw, cut: Any, piece: Piece, layout: Layout, rough: int | None
) -> bool:
    """Tell whether a saw makes a cut as the plan has it."""
    if saw.tallest is not None and layout.stock.thickness > saw.tallest:
        return False
    if cut.plane == Plane.CROSSCUT:
        return cut.guide != Guide.FENCE and crosscuts(saw, piece.width)
    if cut.plane == Plane.RESAW:
        return resaws(saw, piece.length, piece.width, cut.measure)
    within = Plane.RIP in saw.planes and (rough is None or piece.length <= rough)
    if cut.guide == Guide.FENCE:
        return within and on_fence(saw, piece.length, cut.measure)
    sled = saw.crosscut_guide is Guide.STOP  # to its stop, or to a mark
    return within and sled and crosscuts(saw, piece.length)


def _cut_by_cut(layout: Layout) -> Iterator[tuple[Any, Piece]]:
    """Yield every cut with the piece it divides."""
    stock = layout.stock
    pieces = {
        piece.id: Piece(piece.length, piece.width, piece.thickness)
        for piece in layout.pieces
    }
    whole = Piece(stock.length, stock.width, stock.thickness)
    for cut in layout.cuts:
        yield cut, pieces.get(cut.piece, whole)


def judged(tight: TightLumber, plan: Plan | None, said: str) -> list[str]:
    """Return what is wrong with a plan, or with a refusal that was said."""
    job, judge = tight.job, Judge(tight.job)
    able = {part.name: judge.can_be_cut(part) for part in job.parts}
    beyond = [name for name, can in able.items() if not can]
    if plan is not None:
        faults = [f"{step} is out of reach" for step in out_of_reach(plan, job)]
        faults += [f"planned, and {name} cannot be cut" for name in beyond]
        return faults + [f"{name} is not resawn" for name in _not_resawn(plan, job)]
    if not beyond:
        return [f"refused, and can be cut: {said}"]
    named = [name for name in able if f"x {name}" in said or f"{name!r}" in said]
    faults = [
        f"{name} is named, and can be cut: {said}" for name in named if able[name]
    ]
    if not any(f"{name!r}" in said for name in able):  # milling asks before the saws
        faults += [
            f"{each} is not named: {said}" for each in beyond if each not in named
        ]
    limits = ["(longest_rough)", *(f"{saw.name} (" for saw in job.shop.saws)]
    if not any(limit in said for limit in limits) and not _is_without(job, said):
        faults.append(f"no limit is named: {said}")
    return faults


def _is_without(job: Job, said: str) -> bool:
    """Tell whether a plane is named that no saw of the shop cuts at all."""
    planes = {plane for saw in job.shop.saws for plane in saw.planes}
    return any(
        f"no saw of the shop {plane}s" in said for plane in Plane if plane not in planes
    )


def _not_resawn(plan: Plan, job: Job) -> list[str]:
    """Return the parts that were to be resawn, and are as thick as their board."""
    asked = {part.name for part in job.parts if part.wish is not None}
    blanks = {blank.id: asked.intersection(blank.parts) for blank in plan.blanks}
    return [
        name
        for layout in plan.layouts
        for piece in layout.pieces
        if piece.fate == "part" and piece.thickness == layout.stock.thickness
        for name in sorted(blanks[piece.blank or ""])
    ]
