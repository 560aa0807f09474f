"""How the drawings name things: sizes, money, pieces, cuts and settings.

Sides are named as the layouts are drawn: the reference corner is lower left, so the low
end of x is the left end and the low edge of y the lower edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.model.quantities import write_money
from nesting.render.fonts import TIE
from nesting.render.runs import run_marks
from nesting.units import Display, Ticks, Unit, write_length

if TYPE_CHECKING:
    from nesting.model.plan import (
        Caution,
        Cut,
        Layout,
        Piece,
        Plan,
        PlanBlank,
        PlanRun,
    )

_SIDES = {
    ("crosscut", "low"): "left end",
    ("crosscut", "high"): "right end",
    ("rip", "low"): "lower edge",
    ("rip", "high"): "upper edge",
    ("resaw", "low"): "lower face",
    ("resaw", "high"): "upper face",
}
_NOUNS = {"crosscut": "section", "rip": "strip", "resaw": "slice"}
_FORMS = {"sheet": "sheet", "board": "board", "stick": "stick", "glueup": "glue-up"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """Words for the things of one plan."""

    display: Display
    currency: str
    blanks: dict[str, PlanBlank]
    parts: dict[str, str]
    """Part names by id."""
    setting_numbers: dict[str, int]
    """Fence and stop settings, numbered from 1 as the cuts use them."""
    makers: dict[tuple[str, str], Cut]
    """The cut that makes a piece, by (layout id, piece id)."""
    cuts: dict[tuple[str, str], Cut]
    """The cut that divides a piece, by (layout id, piece id)."""
    pieces: dict[tuple[str, str], Piece]
    marks: dict[str, str]
    """The mark of each caution that a cut refers to, by caution id."""
    runs: tuple[PlanRun, ...]
    run_marks: dict[tuple[str, str], str]
    """Which member of which run a piece is, by (layout id, piece id)."""

    # Sizes and money

    def size(self, *lengths: Ticks) -> str:
        """Return lengths as shown, with a multiplication sign between them."""
        words = (write_length(length, self.display) for length in lengths)
        return f"{TIE}×{TIE}".join(word.replace(" ", TIE) for word in words)

    def rounds(self, length: Ticks) -> bool:
        """Tell whether a length is rounded when it is shown."""
        return write_length(length, self.display)[-1] in "+-"

    @property
    def unit(self) -> str:
        """The unit of the shown sizes, in words."""
        return "inches" if self.display.unit is Unit.INCH else "millimetres"

    def money(self, cents: int | None) -> str:
        """Return an amount with its currency; a dash where it is not known."""
        return "–" if cents is None else write_money(cents, self.currency)

    # Stock and pieces

    def form(self, layout: Layout) -> str:
        """Return what the stock of a layout is called."""
        return _FORMS.get(layout.form, layout.form)

    def stock(self, layout: Layout) -> str:
        """Return material and size of a layout's stock."""
        stock = layout.stock
        if layout.section:
            return f"{layout.material} {layout.section} × {self.size(stock.length)}"
        size = self.size(stock.length, stock.width, stock.thickness)
        return f"{layout.material} {size}"

    def has_grain(self, layout: Layout) -> bool:
        """Tell whether grain matters on a layout: to a blank of its material."""
        return any(
            blank.grain == "length" and blank.material == layout.material
            for blank in self.blanks.values()
        )

    def signs(self, layout: Layout) -> tuple[str, ...]:
        """Return the signs of a layout that others do without.

        They are the kinds of its zones, such as ``damage``, ``run``, and ``store`` for
        a cut that is made there.
        """
        store = any(cut.purpose == "haul" for cut in layout.cuts)
        run = any(name == layout.id for name, _ in self.run_marks)
        zones = dict.fromkeys(zone.kind for zone in layout.stock.zones)
        return (*zones, *("run",) * run, *("store",) * store)

    def blank(self, blank_id: str) -> str:
        """Return a blank's name: the names of its parts, and what it is of them."""
        blank = self.blanks.get(blank_id)
        if blank is None:
            return blank_id
        names = dict.fromkeys(self.parts.get(part, part) for part in blank.parts)
        name = " / ".join(names) or blank_id
        return f"{name}, {blank.role}" if blank.role else name

    def part(self, layout: Layout, piece: Piece) -> str:
        """Return the name of a piece that is a part, and its place in its run."""
        name = self.blank(piece.blank or "")
        mark = self.run_marks.get((layout.id, piece.id))
        return f"{name} ({mark})" if mark else name

    def face(self, layout: Layout, piece: Piece) -> str:
        """Return the size of a piece as it lies: length and width, or length alone.

        A blank's own length comes first also where it is turned. The width is left out
        where it is that of the stick. What is thinner than its stock has its thickness
        behind.
        """
        if layout.form == "stick" and piece.width == layout.stock.width:
            return self.size(piece.length)
        sizes = (piece.length, piece.width)
        thin = (piece.thickness,) if piece.thickness < layout.stock.thickness else ()
        return self.size(*(sizes[::-1] if piece.turned else sizes), *thin)

    def made(self, layout: Layout, piece_id: str) -> str:
        """Return what a piece is that a cut makes."""
        piece = self.pieces[layout.id, piece_id]
        face = self.face(layout, piece)
        match piece.fate:
            case "part":
                return f"{self.blank(piece.blank or '')} {face}"
            case "offcut":
                return f"keep {face}"
            case "scrap":
                return "scrap"
        part = self._only_part(layout, piece_id)
        return f"{part} (not to size yet)" if part else f"piece {face}"

    def makes(self, layout: Layout, cut: Cut) -> tuple[str, ...]:
        """Return what a cut makes, the near piece first.

        What is cut again beside something finished is just the rest.
        """
        again = [made for made in cut.makes if (layout.id, made) in self.cuts]
        if layout.form == "board":
            return tuple(self._of_board(layout, made) for made in cut.makes)
        return tuple(
            "rest" if again == [made] else self._marked(layout, made)
            for made in cut.makes
        )

    def _of_board(self, layout: Layout, piece_id: str) -> str:
        """Return what a piece of a board is, by the cut that made it."""
        if (layout.id, piece_id) not in self.cuts:
            return self.made(layout, piece_id)
        noun = self._noun(layout, piece_id)
        if noun == "rest":
            return noun
        if self._only_part(layout, piece_id):
            return self.made(layout, piece_id)
        return f"{noun} {self.face(layout, self.pieces[layout.id, piece_id])}"

    def _noun(self, layout: Layout, piece_id: str) -> str:
        """Return what a piece of a board is called: by the cut that was made for it.

        The other side of that cut, and what is left of a trim, is a rest.
        """
        cut = self.makers.get((layout.id, piece_id))
        if cut is None:
            return "board"
        piece = self.pieces[layout.id, piece_id]
        whole = self.pieces[layout.id, cut.piece]
        start = {
            "crosscut": (piece.x, whole.x),
            "rip": (piece.y, whole.y),
            "resaw": (piece.z, whole.z),
        }[cut.plane]
        is_near = start[0] == start[1]
        if cut.purpose == "trim" or is_near is (cut.from_ == "high"):
            return "rest"
        if cut.plane != "crosscut":
            return _NOUNS[cut.plane]
        return "section" if piece.width == layout.stock.width else "piece"

    def _marked(self, layout: Layout, piece_id: str) -> str:
        """Return what a piece is that a cut makes, and its place in its run."""
        words = self.made(layout, piece_id)
        mark = self.run_marks.get((layout.id, piece_id))
        return f"{words} ({mark})" if mark else words

    def made_of(self, layout_id: str, piece_id: str) -> str:
        """Return which piece of another layout something is glued from."""
        piece = self.pieces.get((layout_id, piece_id))
        name = self.blank(piece.blank or "") if piece else piece_id
        return f"{name} of {layout_id}"

    def held(self, layout: Layout, piece_id: str) -> str:
        """Return what the maker takes in hand for a cut of a piece."""
        if piece_id == layout.id:
            return f"whole {self.form(layout)}"
        piece = self.pieces[layout.id, piece_id]
        words = [self.face(layout, piece)]
        if name := self._only_part(layout, piece_id):
            words.insert(0, name)
        elif layout.form == "board":
            words.insert(0, self._noun(layout, piece_id))
        if maker := self.makers.get((layout.id, piece_id)):
            words.append(f"(step{TIE}{maker.step})")
        return " ".join(words)

    def _only_part(self, layout: Layout, piece_id: str) -> str | None:
        """Return the name of the one blank a piece becomes, if it becomes just one."""
        leaves = [
            piece for piece in self._leaves(layout, piece_id) if piece.fate != "scrap"
        ]
        if len(leaves) != 1 or leaves[0].fate != "part":
            return None
        return self.blank(leaves[0].blank or "")

    def _leaves(self, layout: Layout, piece_id: str) -> list[Piece]:
        """Return what is left of a piece when all is cut."""
        leaves, waiting = [], [piece_id]
        while waiting:
            piece_id = waiting.pop()
            cut = self.cuts.get((layout.id, piece_id))
            if cut is None:
                leaves.append(self.pieces[layout.id, piece_id])
            else:
                waiting.extend(cut.makes)
        return leaves

    # Cuts and settings

    def kind(self, cut: Cut) -> str:
        """Return what a cut is called."""
        if cut.purpose == "haul":
            return f"at the store, {cut.plane}"
        return f"trim {cut.plane}" if cut.purpose == "trim" else cut.plane

    def side(self, cut: Cut) -> str:
        """Return the side of the piece that a cut is measured from."""
        return _SIDES[cut.plane, "high" if cut.from_ == "high" else "low"]

    def setting(self, cut: Cut) -> str:
        """Return how a cut is set: distance, and the side it is read from."""
        side = self.side(cut)
        if len(cut.makes) == 1 and (cut.guide == "line" or cut.measure is None):
            # The blade runs along the edge and leaves nothing on the other side of it.
            low = _SIDES[cut.plane, "low" if cut.at == 0 else "high"]
            return f"take {self.size(cut.kerf)} off the {low}"
        if cut.measure is None:
            return (
                f"pencil line about {self.size(cut.at)} from {_SIDES[cut.plane, 'low']}"
            )
        distance = self.size(cut.measure)
        match cut.guide:
            case "fence":
                return f"fence {distance}, {side} on it"
            case "stop":
                return f"stop {distance}, {side} on it"
            case "height":
                return f"height {distance} from {side}"
        return f"line {distance} from {side}"

    def setting_heading(self, cut: Cut) -> str:
        """Return the setting a cut needs, as the heading of all that share it."""
        if cut.purpose == "haul":
            return f"at the store: {cut.saw}, to pencil lines"
        if cut.guide == "line" or cut.measure is None:
            return f"{cut.saw}, to pencil lines"
        where = {"fence": "fence at", "stop": "stop at", "height": "height"}
        at = where.get(cut.guide, cut.guide)
        unit = "in" if self.display.unit is Unit.INCH else "mm"
        return f"{cut.saw}, {at} {self.size(cut.measure)} {unit}"

    def caution(self, caution: Caution) -> str:
        """Return a caution with its source."""
        source = caution.source.rstrip(".")
        return f"{caution.text} ({source})" if source else caution.text

    def cut_marks(self, cut: Cut) -> str:
        """Return the marks of the cautions that belong to a cut."""
        return " ".join(sorted(self.marks[caution] for caution in cut.cautions))


def read_wording(plan: Plan) -> Wording:
    """Return the words for a plan."""
    cuts = [(layout, cut) for layout in plan.layouts for cut in layout.cuts]
    in_order = sorted((cut for _, cut in cuts), key=lambda cut: cut.step)
    used = dict.fromkeys(
        cut.setting
        for cut in in_order
        if cut.setting and cut.guide != "line" and cut.measure is not None
    )
    known = [caution.id for caution in plan.cautions]
    cited = dict.fromkeys(caution for cut in in_order for caution in cut.cautions)
    ranked = sorted(cited, key=lambda c: known.index(c) if c in known else len(known))
    return Wording(
        display=plan.job.display,
        currency=plan.job.currency,
        blanks={blank.id: blank for blank in plan.blanks},
        parts={part.id: part.name for part in plan.parts},
        setting_numbers={setting: count for count, setting in enumerate(used, 1)},
        makers={(lay.id, made): cut for lay, cut in cuts for made in cut.makes},
        cuts={(layout.id, cut.piece): cut for layout, cut in cuts},
        pieces={
            (layout.id, piece.id): piece
            for layout in plan.layouts
            for piece in layout.pieces
        },
        marks={caution: _letter(count) for count, caution in enumerate(ranked)},
        runs=plan.runs,
        run_marks=run_marks(plan),
    )


def _letter(count: int) -> str:
    """Return a, b, ..., z, aa, ab, ... for 0, 1, ..."""
    letters = ""
    count += 1
    while count:
        count, rest = divmod(count - 1, 26)
        letters = chr(ord("a") + rest) + letters
    return letters
