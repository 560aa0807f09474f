"""Layouts grown at random, sound by the way they grow, pass; a tick's change does not.

The layouts are cut here by nothing but the words of the plan's format: take a piece
that is left, choose a plane and a place, note the two sides. That is all the checker's
replay has in common with them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from nesting.model.plan import (
    Advice,
    Cut,
    Layout,
    Piece,
    Plan,
    PlanBlank,
    PlanOrder,
    PlanPart,
    PlanSaw,
    PlanShop,
    PlanStock,
    Purchase,
    Setting,
    Totals,
    Yield,
)
from nesting.verify import verify

Change = Callable[[Plan, str, Any], Plan]

SIDES = {
    "crosscut": ("x", "length"),
    "rip": ("y", "width"),
    "resaw": ("z", "thickness"),
}
SIZES = ("length", "width", "thickness")


@dataclass
class Bench:
    """A piece of stock that is being cut at random."""

    draw: Callable[[st.SearchStrategy[Any]], Any]
    name: str
    material: str
    kerf: int
    steps: list[int]
    pieces: list[Piece]
    cuts: list[Cut] = field(default_factory=list)
    blanks: list[PlanBlank] = field(default_factory=list)

    def cut(self, at: int, planes: tuple[str, ...]) -> None:
        """Cut the piece at a place of the list, if it has room for a kerf."""
        piece = self.pieces[at]
        plane = self.draw(st.sampled_from(planes))
        start, along = SIDES[plane]
        size = getattr(piece, along)
        if size <= self.kerf + 1:
            return
        near = self.draw(st.integers(1, size - 1))
        kerf = min(self.kerf, size - near)
        side = self.draw(st.sampled_from(["low", "high"]))
        made = []
        for begin, extent in ((0, near), (near + kerf, size - near - kerf)):
            if extent > 0:
                sides = {start: getattr(piece, start) + begin, along: extent}
                name = f"{self.name}.{len(self.pieces)}"
                self.pieces.append(replace(piece, id=name, fate="?", **sides))
                made.append(name)
        measure = near if side == "low" else size - near - kerf
        self.pieces[at] = replace(piece, fate="cut")
        self.steps.append(len(self.steps) + 1)
        self.cuts.append(
            Cut(
                step=self.steps[-1],
                piece=piece.id,
                plane=plane,
                at=near,
                kerf=kerf,
                saw="saw",
                makes=tuple(made),
                setting=f"line {measure}",
                measure=measure,
                from_=side,
            )
        )

    def settle(self) -> None:
        """Decide what becomes of the pieces that are left."""
        for at, piece in enumerate(self.pieces):
            if piece.fate != "?":
                continue
            fate = self.draw(st.sampled_from(["part", "offcut", "scrap"]))
            if fate != "part":
                self.pieces[at] = replace(piece, fate=fate)
                continue
            turned, minimum = self.draw(st.booleans()), self.draw(st.booleans())
            sizes = dict(zip(SIZES, (getattr(piece, s) for s in SIZES), strict=True))
            if turned:
                sizes["length"], sizes["width"] = sizes["width"], sizes["length"]
            if minimum:
                sizes["width"] = self.draw(st.integers(1, sizes["width"]))
                sizes["thickness"] = self.draw(st.integers(1, sizes["thickness"]))
            blank = PlanBlank(
                id=f"blank {piece.id}",
                parts=(f"part {piece.id}",),
                role="",
                qty=1,
                material=self.material,
                grain="any" if turned else "length",
                minimum=minimum,
                **sizes,
            )
            self.blanks.append(blank)
            self.pieces[at] = replace(piece, fate="part", blank=blank.id, turned=turned)

    def layout(self, price: int) -> Layout:
        whole = self.pieces[0]
        stock = PlanStock(
            name=f"stock {self.name}",
            **{size: getattr(whole, size) for size in SIZES},
            grain="length",
            origin="store",
            price_cents=price,
        )
        return Layout(
            id=self.name,
            material=self.material,
            form="sheet",
            stock=stock,
            pieces=tuple(self.pieces),
            cuts=tuple(self.cuts),
        )

    def yields(self) -> Yield:
        whole = self.pieces[0]
        wood = dict.fromkeys(("part", "offcut", "scrap"), 0)
        for piece in self.pieces:
            if piece.fate != "cut":
                wood[piece.fate] += piece.length * piece.width * piece.thickness
        shares = {fate: held // whole.thickness for fate, held in wood.items()}
        return Yield(
            material=self.material,
            form="sheet",
            stock=whole.length * whole.width,
            parts=shares["part"],
            offcuts=shares["offcut"],
            scrap=shares["scrap"],
            kerf=whole.length * whole.width - sum(shares.values()),
        )


def grow(draw: Callable[[st.SearchStrategy[Any]], Any], sound: Plan) -> Plan:
    """A plan of one to three sheets, cut at random, in steps that go to and fro."""
    kerf = draw(st.integers(0, 4))
    planes = tuple(SIDES) if draw(st.booleans()) else ("crosscut", "rip")
    steps: list[int] = []
    benches = []
    for number in range(draw(st.integers(1, 3))):
        name = f"S{number}"
        sizes = {size: draw(st.integers(1, 60)) for size in SIZES}
        whole = Piece(id=name, x=0, y=0, fate="?", **sizes)
        benches.append(
            Bench(
                draw=draw,
                name=name,
                material=f"sheet {number}",
                kerf=kerf,
                steps=steps,
                pieces=[whole],
            )
        )
    for _ in range(draw(st.integers(0, 12))):
        bench = draw(st.sampled_from(benches))
        left = [at for at, piece in enumerate(bench.pieces) if piece.fate == "?"]
        bench.cut(draw(st.sampled_from(left)), planes)
    for bench in benches:
        bench.settle()
    return written(benches, kerf, sound)


def written(benches: list[Bench], kerf: int, sound: Plan) -> Plan:
    """Write down what the benches hold; the sums are the benches' own."""
    layouts = tuple(bench.layout(100 * n + 1) for n, bench in enumerate(benches))
    blanks = tuple(blank for bench in benches for blank in bench.blanks)
    cuts = [cut for bench in benches for cut in bench.cuts]
    lengths = sorted({cut.measure for cut in cuts if cut.measure is not None})
    cost = sum(100 * n + 1 for n in range(len(benches)))
    offer = sound.offers[3]
    return replace(
        sound,
        routes=(),
        advice=Advice(),
        shop=PlanShop(saws=(PlanSaw(name="saw", kerf=kerf, cuts=tuple(SIDES)),)),
        parts=tuple(
            PlanPart(
                id=blank.parts[0],
                name="",
                qty=1,
                material=blank.material,
                grain=blank.grain,
                **{size: getattr(blank, size) for size in SIZES},
            )
            for blank in blanks
        ),
        blanks=blanks,
        layouts=layouts,
        offers=tuple(
            replace(
                offer,
                id=layout.stock.name,
                material=layout.material,
                grain="length",
                price_cents=layout.stock.price_cents,
                **{size: getattr(layout.stock, size) for size in SIZES},
            )
            for layout in layouts
        ),
        needs=(),
        order=PlanOrder(changes=0, lower_bound=0),
        settings=tuple(
            Setting(id=f"line {size}", saw="saw", kind="line", distance=size)
            for size in lengths
        ),
        unplaced=(),
        purchases=tuple(
            Purchase(
                material=layout.material,
                stock=layout.stock.name,
                qty=1,
                cost_cents=layout.stock.price_cents,
            )
            for layout in layouts
        ),
        runs=(),
        hardware=(),
        bounds=(),
        totals=Totals(
            cost_cents=cost,
            stock_cents=cost,
            hardware_cents=0,
            unpriced=0,
            layouts=len(layouts),
            cuts=len(cuts),
            settings=len(lengths),
            blanks=len(blanks),
            parts=len(blanks),
            yields=tuple(bench.yields() for bench in benches),
        ),
    )


@given(data=st.data())
def test_what_grows_by_the_rules_breaks_none(data: st.DataObject, sound: Plan) -> None:
    """No sound plan is called unsound."""
    assert [str(fault) for fault in verify(grow(data.draw, sound))] == []


@given(data=st.data())
def test_a_piece_moved_by_a_tick_is_noticed(
    data: st.DataObject, sound: Plan, change: Change
) -> None:
    """Wherever a layout grew, a place or a size that is one tick off is told."""
    plan = grow(data.draw, sound)
    at = data.draw(st.integers(0, len(plan.layouts) - 1))
    piece = data.draw(st.integers(0, len(plan.layouts[at].pieces) - 1))
    name = data.draw(st.sampled_from(["x", "y", "z", *SIZES]))
    by = data.draw(st.sampled_from([-1, 1]))
    path = f"layouts.{at}.pieces.{piece}.{name}"
    moved = change(plan, path, lambda held: held + by)
    assert "replay" in {fault.rule for fault in verify(moved)}
