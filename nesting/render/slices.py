"""Boards that are resawn: the face without the slices, and the slices one by one.

On the face a strip that is resawn is one piece with a name, R1, R2, ... Its slices are
seen from its end, the lower face below, and each is then drawn like a board of its own;
slices that are cut alike are drawn once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nesting.render.chains import all_steps, chain_cuts, cut_number
from nesting.render.diagram import Drawing
from nesting.render.groups import Group, group_layouts, write_steps
from nesting.render.marks import CutLine, draw_mark, place_marks, spread
from nesting.render.scene import Box, Hatch, Pen, Recorder, bounds
from nesting.render.style import POINT, STYLE
from nesting.units import TICKS_PER_MM

if TYPE_CHECKING:
    from nesting.model.plan import Cut, Layout, Piece
    from nesting.render.wording import Wording

_END_WIDTH = 42.0
"""An end view is at most this wide, in millimetres."""
_LARGEST_END = 2
"""No end view is larger than 1 to this."""
_LEADER = 5.0
"""From an end view to the words beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Resawn:
    """Strips that are resawn alike."""

    name: str
    strip: Piece
    """The first of them, as it lies in its board."""
    count: int
    """How many there are in one copy of the board."""
    group: Group
    """Each as a board of its own, in all copies."""
    slices: tuple[Piece, ...]
    """What the first is resawn to, from its lower face up, rests too."""
    cuts: tuple[Cut, ...]
    """Its resaws, in order."""
    views: tuple[SliceView, ...]
    """The slices that are cut again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceView:
    """Slices that are cut alike: which of them, from 1 at the lower face."""

    numbers: tuple[int, ...]
    slice: Piece
    """The first of them, as it lies in its strip."""
    group: Group
    """As boards of their own, in all copies."""


def is_resawn(layout: Layout) -> bool:
    """Tell whether a layout has slices to be drawn by themselves."""
    return layout.form == "board" and any(c.plane == "resaw" for c in layout.cuts)


def without_slices(group: Group) -> tuple[Group, tuple[Resawn, ...]]:
    """Return the face of a board with its strips whole, and what these are resawn to.

    Parameters
    ----------
    group
        A board and its copies.

    Returns
    -------
    face, resawn
        The face as a group that can be drawn; nothing is resawn in it.
    """
    opened = [_Opened(layout) for layout in group.layouts]
    boards = [
        [each.as_board(strip) for strip in each.strips]  # keep their identity
        for each in opened
    ]
    kinds = group_layouts(tuple(board for copy in boards for board in copy))
    names = [
        {
            strip.id: f"R{number}"
            for strip, board in zip(each.strips, copy, strict=True)
            for number, kind in enumerate(kinds, 1)
            if any(board is other for other in kind.layouts)
        }
        for each, copy in zip(opened, boards, strict=True)
    ]
    faces = tuple(each.face(own) for each, own in zip(opened, names, strict=True))
    steps = {cut.step for cut in faces[0].cuts}
    face = replace(
        group,
        layouts=faces,
        steps={step: all_ for step, all_ in group.steps.items() if step in steps},
    )
    resawn = []
    for number, kind in enumerate(kinds, 1):
        mine = [s for s in opened[0].strips if names[0][s.id] == f"R{number}"]
        slices, cuts = _Opened(kind.layout).slices_of(kind.layout.pieces[0])
        resawn.append(
            Resawn(
                name=f"R{number}",
                strip=mine[0],
                count=len(mine),
                group=kind,
                slices=slices,
                cuts=cuts,
                views=_views(kind),
            )
        )
    return face, tuple(resawn)


def _views(strips: Group) -> tuple[SliceView, ...]:
    """Return the slices of strips that are resawn alike; those cut alike once."""
    flat: list[tuple[int, Piece, Layout]] = []
    for layout in strips.layouts:
        each = _Opened(layout)
        slices, _ = each.slices_of(layout.pieces[0])
        wanted = [piece for piece in slices if piece.fate in ("part", "cut")]
        flat += [
            (number, piece, each.as_board(piece))
            for number, piece in enumerate(wanted, 1)
            if piece.fate == "cut"
        ]
    views = []
    for group in group_layouts(tuple(layout for _, _, layout in flat)):
        mine = [
            (number, piece)
            for number, piece, layout in flat
            if any(layout is other for other in group.layouts)
        ]
        views.append(
            SliceView(
                numbers=tuple(sorted({number for number, _ in mine})),
                slice=mine[0][1],
                group=group,
            )
        )
    return tuple(views)


class _Opened:
    """A layout taken apart at the strips that are resawn."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.pieces = {piece.id: piece for piece in layout.pieces}
        self.cuts = {cut.piece: cut for cut in layout.cuts}
        resaws = [cut for cut in layout.cuts if cut.plane == "resaw"]
        self.inner = {piece for cut in resaws for piece in self._below(cut.piece)}
        self.strips = sorted(
            (self.pieces[c.piece] for c in resaws if c.piece not in self.inner),
            key=lambda piece: (piece.x, piece.y),
        )

    def face(self, names: dict[str, str]) -> Layout:
        """Return the layout with its strips whole, and named."""
        return replace(
            self.layout,
            pieces=tuple(
                replace(piece, fate="part", blank=f"{names[piece.id]}, resawn")
                if piece.id in names
                else piece
                for piece in self.layout.pieces
                if piece.id not in self.inner
            ),
            cuts=tuple(
                cut
                for cut in self.layout.cuts
                if cut.piece not in self.inner and cut.piece not in names
            ),
        )

    def slices_of(self, strip: Piece) -> tuple[tuple[Piece, ...], tuple[Cut, ...]]:
        """Return what a strip is resawn to, from below, and the resaws."""
        slices, cuts, waiting = [], [], [strip.id]
        while waiting:
            name = waiting.pop()
            cut = self.cuts.get(name)
            if cut is None or cut.plane != "resaw":
                slices.append(self.pieces[name])
            else:
                cuts.append(cut)
                waiting += cut.makes
        slices.sort(key=lambda piece: piece.z)
        return tuple(slices), tuple(sorted(cuts, key=lambda cut: cut.step))

    def as_board(self, piece: Piece) -> Layout:
        """Return a slice as a board of its own, its corner at the reference."""
        names = {piece.id, *self._below(piece.id)}
        return replace(
            self.layout,
            stock=replace(
                self.layout.stock,
                length=piece.length,
                width=piece.width,
                thickness=piece.thickness,
                zones=(),
            ),
            pieces=tuple(
                replace(p, x=p.x - piece.x, y=p.y - piece.y, z=p.z - piece.z)
                for p in self.layout.pieces
                if p.id in names
            ),
            cuts=tuple(cut for cut in self.layout.cuts if cut.piece in names),
        )

    def _below(self, piece: str) -> list[str]:
        """List all that comes out of a piece."""
        found: list[str] = []
        waiting = [piece]
        while waiting:
            cut = self.cuts.get(waiting.pop())
            if cut is not None:
                found += cut.makes
                waiting += cut.makes
        return found


def resaw_words(resawn: Resawn, layout: Layout, wording: Wording) -> str:
    """Return how a strip is resawn: where it is from, the settings, the steps."""
    settings: dict[str, list[Cut]] = {}
    for cut in resawn.cuts:
        settings.setdefault(f"{cut.saw}, {wording.setting(cut)}", []).append(cut)
    how = []
    for words, cuts in settings.items():
        steps = all_steps(resawn.group, *cuts)
        which = "step" if len(steps) == 1 else "steps"
        how.append(f"{words}, {which} {write_steps(steps)}")
    strip = wording.held(layout, resawn.strip.id)
    if resawn.count > 1:
        strip = f"{resawn.count} × {wording.size(resawn.strip.length)}"
        strip += f" × {wording.size(resawn.strip.width)}"
    return f"{resawn.name}, {strip}, resawn: {'; '.join(how)}. Seen from the end:"


def slice_words(view: SliceView, resawn: Resawn, wording: Wording) -> str:
    """Return what stands above the drawing of a slice: ``R1, slices 1, 2 of 3``."""
    thick = wording.size(view.slice.thickness)
    total = sum(piece.fate in ("part", "cut") for piece in resawn.slices)
    several = len(view.numbers) > 1
    numbers = write_steps(view.numbers)
    which = f"slices {numbers}" if several else f"slice {numbers}"
    words = f"{resawn.name}, {which} of {total}, {thick} thick"
    if several:
        words += ", cut alike"
    for chain in chain_cuts(view.group.layout):
        for cuts in (chain,) if len(chain) > 2 else ((cut,) for cut in chain):
            ring = cut_number(view.group, *cuts)
            if ring.endswith("…"):
                words += f"; {ring} is {write_steps(all_steps(view.group, *cuts))}"
    return words


def slice_parts(resawn: Resawn, wording: Wording) -> str:
    """Return what comes out of a strip, in words: ``R1 = 4 × slat 14 × 3 1/2 × 5/8``.

    For drawings that show no slices.
    """
    counts: dict[str, int] = {}
    layout = resawn.group.layout
    for piece in layout.pieces:
        if piece.fate == "part":
            # A strip stands for its stock, so that slices tell how thick they are.
            words = f"{wording.part(layout, piece)} {wording.face(layout, piece)}"
            counts[words] = counts.get(words, 0) + 1
    parts = " + ".join(f"{count} × {words}" for words, count in counts.items())
    return f"{resawn.name} = {parts}"


def end_view(resawn: Resawn, wording: Wording) -> Drawing:
    """Return the end of a strip with its slices, the lower face below.

    Rings are the steps of the resaws; thicknesses stand at the right, and the names of
    slices that are not cut again.
    """
    layout = resawn.group.layout
    strip = layout.pieces[0]
    one_to = max(_LARGEST_END, math.ceil(strip.width / TICKS_PER_MM / _END_WIDTH))
    scale = 1 / (TICKS_PER_MM * one_to)
    end = Box(0, 0, strip.width * scale, strip.thickness * scale)
    page = Recorder(width=0, height=0)
    rows: list[tuple[float, str, str]] = []
    number = 0
    for piece in resawn.slices:
        low = (piece.z - strip.z) * scale
        box = Box(0, low, end.width, piece.thickness * scale)
        words = {"offcut": "keep", "scrap": "scrap"}.get(piece.fate, "")
        if words:
            style = STYLE.offcut_hatch if words == "keep" else STYLE.scrap_hatch
            pen = Pen(STYLE.hatch_line)
            page.items.append(Hatch(box=box, style=style, pen=pen, about="end"))
        else:
            number += 1
            words = f"slice {number}:"
        page.rect(box, STYLE.thin_line, about=f"end:{piece.id}")
        words = f"{words} {wording.size(piece.thickness)}"
        about = "slice"
        if piece.fate == "part":
            words += f", {wording.part(layout, piece)}"
            about = f"label:{piece.id}"
        rows.append((box.centre[1], words, about))
    lines = []
    pieces = {piece.id: piece for piece in layout.pieces}
    for cut in resawn.cuts:
        y = (pieces[cut.piece].z + cut.at - strip.z) * scale
        page.rect(Box(0, y, end.width, cut.kerf * scale), None, 0.0, about="kerf")
        middle = y + cut.kerf * scale / 2
        lines.append(
            CutLine(
                number=cut_number(resawn.group, cut),
                start=(0.0, middle),
                end=(end.width, middle),
            )
        )
    page.rect(end, STYLE.stock_line, about="end")
    _write_rows(page, rows, end)
    for mark in place_marks(lines, end, ()):
        draw_mark(page, mark)
    covered = [bounds(item) for item in page.items]
    left, low = min(box.x for box in covered), min(box.y for box in covered)
    right, top = max(box.right for box in covered), max(box.top for box in covered)
    return Drawing(
        items=tuple(page.items),
        keys=(),
        stock=end,
        extent=Box(left, low, right - left, top - low),
    )


def _write_rows(page: Recorder, rows: list[tuple[float, str, str]], end: Box) -> None:
    """Write words right of an end view, each with a leader to its slice."""
    size = STYLE.note_text
    heights = [size * POINT * STYLE.leading] * len(rows)
    places = spread([y for y, _, _ in rows], heights, 0.0)
    for (y, words, about), place in zip(rows, places, strict=True):
        start, edge = (end.right - 1.0, y), (end.right + 1.0, y)
        at = end.right + _LEADER
        page.line(start, edge, STYLE.thin_line)
        page.line(edge, (at - 0.8, place), STYLE.thin_line)
        page.text(words, (at, place), size, level="middle", about=about)
