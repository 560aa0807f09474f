"""Members of a run say so in the drawings, and arrows lead from one to the next."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.plan import Plan, PlanRun, PlanZone
from nesting.render.document import compose, draw_scene
from nesting.render.page import LETTER
from nesting.render.runs import members, run_marks
from nesting.render.scene import Arrow, Hatch, Scene, Text, bounds
from nesting.render.wording import read_wording


def runs_of(plan: Plan) -> tuple[str, str, str]:
    """Two neighbouring parts of one blank: layout, and the two pieces."""
    for layout in plan.layouts:
        parts = [piece for piece in layout.pieces if piece.fate == "part"]
        for one in parts:
            for two in parts:
                beside = two.x > one.x + one.length and two.y == one.y
                if layout.form == "sheet" and one.blank == two.blank and beside:
                    return layout.id, one.id, two.id
    raise AssertionError("the plan has no two like parts in a row")


def with_run(plan: Plan, *, back: bool = False) -> tuple[Plan, str, str, str]:
    """The plan with just these two of their blank, called a run."""
    name, one, two = runs_of(plan)
    layouts = []
    for layout in plan.layouts:
        pieces = tuple(
            replace(p, blank="row left" if p.id == one else "row right")
            if p.id in (one, two) and layout.id == name
            else p
            for p in layout.pieces
        )
        layouts.append(replace(layout, pieces=pieces))
    like = plan.blanks[0]
    blanks = (
        *plan.blanks,
        replace(like, id="row left", qty=1),
        replace(like, id="row right", qty=1),
    )
    order = ("row left", "row right")
    run = PlanRun(id="row", axis="along", members=order[::-1] if back else order)
    return (
        replace(plan, layouts=tuple(layouts), blanks=blanks, runs=(run,)),
        name,
        one,
        two,
    )


def arrows(scene: Scene) -> list[Arrow]:
    return [
        item
        for item in scene.items
        if isinstance(item, Arrow) and item.about == "flow:row"
    ]


@pytest.mark.parametrize("back", [False, True])
def test_an_arrow_leads_from_each_member_to_the_next(bench: Plan, back: bool) -> None:
    """From the first to the second, whichever lies nearer the corner."""
    plan, layout, one, two = with_run(bench, back=back)
    (arrow,) = arrows(draw_scene(plan, layout, width=250))
    assert (arrow.end[0] < arrow.start[0]) is back
    marks = run_marks(plan)
    number = {one: "2/2" if back else "1/2", two: "1/2" if back else "2/2"}
    assert marks == {
        (layout, piece): f"row\N{NO-BREAK SPACE}{count}"
        for piece, count in number.items()
    }


def test_names_and_cut_lists_say_which_member_a_piece_is(bench: Plan) -> None:
    """On the pages: in the pieces, in the lists, beside the parts and as a sign."""
    plan, *_ = with_run(bench)
    words = " ".join(
        item.words.replace("\N{NO-BREAK SPACE}", " ")
        for page in compose(plan, LETTER)
        for item in page.items
        if isinstance(item, Text)
    )
    assert "(row 1/2)" in words
    assert "(row 2/2)" in words
    assert "run row" in words
    assert "run, flows on" in words
    assert read_wording(plan).run_marks


def test_all_signs_find_room_in_one_row(bench: Plan) -> None:
    """With damage and runs on one sheet nothing is written beside the page's frame."""
    plan, name, *_ = with_run(bench)
    dent = PlanZone(x=0, y=0, length=80_000, width=80_000)
    layouts = tuple(
        replace(lay, stock=replace(lay.stock, zones=(dent,))) if lay.id == name else lay
        for lay in plan.layouts
    )
    for page in compose(replace(plan, layouts=layouts), LETTER):
        signs = [item for item in page.items if getattr(item, "about", "") == "sign"]
        for item in signs:
            assert bounds(item).right <= page.width - 10
        if any(
            isinstance(item, Hatch) and item.about == "zone:0" for item in page.items
        ):
            assert {"damage", "run, flows on"} <= {
                item.words for item in signs if isinstance(item, Text)
            }
            break
    else:
        raise AssertionError("no page shows the damage")


def test_a_plan_without_runs_has_no_such_signs(bench: Plan) -> None:
    """Nothing is said of runs where there are none."""
    assert run_marks(bench) == {}
    for page in compose(bench, LETTER):
        assert not any(
            isinstance(item, Text) and "flows on" in item.words for item in page.items
        )


def test_members_missing_from_a_layout_are_no_run_there(bench: Plan) -> None:
    """A layout without members has none."""
    plan, layout, *_ = with_run(bench)
    run = plan.runs[0]
    for other in plan.layouts:
        assert bool(members(run, other)) is (other.id == layout)
