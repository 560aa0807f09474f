"""The page for the store: measures, changes of the list, glue."""

from __future__ import annotations

from dataclasses import replace

from nesting.model.plan import (
    Advice,
    Alternative,
    Layout,
    Operation,
    Plan,
    PlanBuild,
    PlanNeed,
    PlanRoute,
    PlanTake,
    Purchase,
    RackSaving,
    Spare,
)
from nesting.render.page import A4, LETTER
from nesting.render.scene import Text
from nesting.render.store_pages import glue_area, store_pages
from nesting.render.wording import read_wording

INCH = 40_640


def texts(plan: Plan) -> str:
    """Return all words of the page, in both papers the same number of pages."""
    wording = read_wording(plan)
    pages = store_pages(plan, wording, LETTER)
    assert len(store_pages(plan, wording, A4)) == len(pages)
    return " ".join(
        item.words for page in pages for item in page.items if isinstance(item, Text)
    )


def test_glue_lines_by_hand() -> None:
    """Three strips 30 x 1 edge to edge have two lines: 60 square inches; twice."""
    strips = Operation(
        what="cut",
        of="strip",
        pieces=3,
        length=30 * INCH,
        width=5 * INCH,
        thickness=INCH,
        machine="saws",
    )
    top = replace(
        strips,
        what="glue",
        of="top",
        pieces=1,
        width=15 * INCH,
        machine="clamps",
        takes=(PlanTake(blank="strip", count=3),),
    )
    route = PlanRoute(
        need="top", part="top", build="top", qty=2, operations=(strips, top)
    )

    build = PlanBuild(id="top", takes=top.takes, kind="edge-glued")
    need = PlanNeed(id="top", part="top", qty=2, builds=(build,), chosen="top")

    class Routes:
        routes = (route,)
        needs = (need,)

    assert glue_area(Routes()) == 2 * 60 * INCH * INCH  # type: ignore[arg-type]
    plies = replace(top, width=4 * INCH)
    Routes.routes = (replace(route, operations=(strips, plies)),)
    Routes.needs = (replace(need, builds=(replace(build, kind="laminated"),)),)
    # two lines 30 x 4
    assert glue_area(Routes()) == 2 * 240 * INCH * INCH  # type: ignore[arg-type]


def test_what_to_take_instead_is_told_as_a_change(bench: Plan) -> None:
    """What is bought anyway is not told again."""
    plan = bench
    line = plan.purchases[1]
    other = Alternative(
        material=line.material,
        missing=line.stock,
        instead=(Purchase(material=line.material, stock="other", qty=2, cost_cents=9),),
        more_cents=180,
    )
    rack = RackSaving(material=line.material, pieces=2, saved_cents=1240)
    spare = Spare(material=line.material, stock=line.stock, qty=1, cost_cents=500)
    plan = replace(
        plan, advice=Advice(alternatives=(other,), rack=(rack,), spares=(spare,))
    )
    words = texts(plan)
    assert "2 × other, in place of" in words
    assert "+ $1.80" in words
    assert f"No time was left to look for: {plan.purchases[0].stock}" in words
    assert "save $12.40" in words
    assert "Spares" in words
    short = replace(other, unplaced=3)
    words = texts(replace(plan, advice=Advice(alternatives=(short,))))
    assert "nothing else does: 3 pieces cannot be cut" in words
    words = texts(
        replace(plan, advice=Advice(alternatives=(replace(short, unplaced=1),)))
    )
    assert "nothing else does: 1 piece cannot be cut" in words


def test_nothing_to_buy_has_no_page(bench: Plan) -> None:
    """There is nothing to take to the store."""
    plan = replace(bench, purchases=())
    assert store_pages(plan, read_wording(plan), LETTER) == []


def test_which_boards_to_pick(bench: Plan) -> None:
    """Of three boards one is ripped, 60 long; two hold a part of 48, one of 3 1/2."""
    stick = next(lay for lay in bench.layouts if lay.form == "stick")
    piece, cut = stick.pieces[0], stick.cuts[0]

    def board(ripped: int, *parts: tuple[int, int]) -> Layout:
        pieces = [
            replace(piece, id=f"p{n}", fate="part", length=long * INCH, width=wide)
            for n, (long, wide) in enumerate(parts)
        ]
        strip = replace(piece, id="strip", fate="cut", length=ripped * INCH)
        rip = replace(cut, piece="strip", plane="rip")
        stock = replace(stick.stock, name="pine 2x4 x 96 in", origin="store")
        return replace(
            stick,
            stock=stock,
            pieces=(*pieces, strip),
            cuts=(rip,) if ripped else (cut,),
        )

    narrow, wide = 2 * INCH, 7 * INCH // 2
    boards = (board(60, (48, narrow)), board(0, (48, narrow)), board(0, (30, wide)))
    words = texts(replace(bench, layouts=boards))
    assert (
        "3 × pine 2x4 x 96 in: 1 straight, ripped up to 60 long at once; "
        "2 clear over 48 × 2, the rest over up to 30; parts up to 3 1/2 wide"
    ) in words
    words = texts(replace(bench, layouts=boards[:1]))
    assert "1 × pine 2x4 x 96 in: straight, ripped up to 60 long" in words
    words = texts(replace(bench, layouts=boards[1:2] * 2))
    assert "2 × pine 2x4 x 96 in: all clear over 48 × 2" in words
    assert "straight" not in words


def test_board_feet_are_explained_where_they_are_told(bench: Plan, unit: Plan) -> None:
    """A list in millimetres has none."""
    assert "Board feet" in texts(bench)
    assert "Board feet" not in texts(unit)


def test_which_boards_are_to_have_no_blemish(bench: Plan) -> None:
    """As many as hold a clear part, over the length of the longest of those."""
    stick = next(lay for lay in bench.layouts if lay.form == "stick")
    blank = next(p.blank for p in stick.pieces if p.fate == "part")
    stock = replace(stick.stock, name="pine", origin="store")
    part = next(p for p in stick.pieces if p.blank == blank)
    held = tuple(
        replace(p, id="part", length=20 * INCH, width=2 * INCH) if p is part else p
        for p in stick.pieces
        if p is part or p.blank != blank
    )
    other = tuple(p for p in held if p.blank != blank)
    layouts = (
        replace(stick, stock=stock, pieces=held),
        replace(stick, stock=stock, pieces=(*other, replace(part, blank="another"))),
    )
    clear = tuple(replace(b, clear=b.id == blank) for b in bench.blanks)
    words = texts(replace(bench, layouts=layouts, blanks=clear))
    assert "; 1 without any blemish over 20 × 2" in words
    words = texts(replace(bench, layouts=layouts[:1], blanks=clear))
    assert "; without any blemish over 20 × 2" in words
    assert "blemish" not in texts(replace(bench, layouts=layouts))
