"""Tests of the drawing of a layout, read back from its primitives."""

from dataclasses import replace

import pytest

from nesting.model.plan import Layout, Plan
from nesting.render import A4, compose
from nesting.render.diagram import Drawing, draw_layout, layers, paper_scale
from nesting.render.groups import Group, group_layouts
from nesting.render.scene import Arrow, Box, Hatch, Line, Rect, Text
from nesting.render.style import STYLE
from nesting.render.wording import Wording, read_wording

ONE_TO = 12
MM = 1600


def drawn(plan: Plan, layout_id: str, one_to: int = ONE_TO) -> tuple[Layout, Drawing]:
    """Return a layout of a plan and its drawing to a scale."""
    group = group_of(plan, layout_id)
    wording: Wording = read_wording(plan)
    layer = layers(group.layout)[0]
    return group.layout, draw_layout(group, wording, paper_scale(one_to), 1, layer)


def group_of(plan: Plan, layout_id: str) -> Group:
    """Return the group a layout belongs to."""
    return next(
        group
        for group in group_layouts(plan.layouts)
        if layout_id in [layout.id for layout in group.layouts]
    )


def rects(drawing: Drawing, about: str) -> list[Box]:
    """Return the rectangles about something."""
    return [
        item.box
        for item in drawing.items
        if isinstance(item, Rect) and item.about == about
    ]


def test_pieces_are_to_scale(bench: Plan) -> None:
    """Each piece lies where it should, a twelfth of its size, from the reference."""
    layout, drawing = drawn(bench, "S1")
    for piece in layout.pieces:
        if piece.fate == "cut":
            continue
        (box,) = rects(drawing, f"piece:{piece.id}")
        assert (box.x, box.y, box.width, box.height) == pytest.approx(
            (
                piece.x / MM / ONE_TO,
                piece.y / MM / ONE_TO,
                piece.length / MM / ONE_TO,
                piece.width / MM / ONE_TO,
            )
        )


def test_kerfs_are_to_scale(bench: Plan) -> None:
    """A kerf of 1/8 in is 3.175 mm / 12 on paper and lies between what it parts."""
    layout, drawing = drawn(bench, "S1")
    pieces = {piece.id: piece for piece in layout.pieces}
    for cut in layout.cuts:
        (box,) = rects(drawing, f"kerf:{cut.step}")
        piece = pieces[cut.piece]
        if cut.plane == "crosscut":
            assert box.width == pytest.approx(3.175 / 12)
            assert box.x == pytest.approx((piece.x + cut.at) / MM / ONE_TO)
            assert box.height == pytest.approx(piece.width / MM / ONE_TO)
        else:
            assert box.height == pytest.approx(3.175 / 12)
            assert box.y == pytest.approx((piece.y + cut.at) / MM / ONE_TO)


def test_a_fine_kerf_is_still_seen(unit: Plan) -> None:
    """A kerf that would be finer than the finest line is drawn as one."""
    _, drawing = drawn(unit, "P1", one_to=40)
    kerfs = [
        item.box
        for item in drawing.items
        if isinstance(item, Rect) and item.about.startswith("kerf:")
    ]
    assert min(min(box.width, box.height) for box in kerfs) == pytest.approx(
        STYLE.least_kerf
    )


def test_rests_are_hatched_by_what_becomes_of_them(bench: Plan) -> None:
    """Offcuts carry one hatching, scrap another, parts none."""
    layout, drawing = drawn(bench, "S1")
    hatches = {
        item.about: item.style for item in drawing.items if isinstance(item, Hatch)
    }
    wanted = {
        f"{piece.fate}:{piece.id}": (
            STYLE.offcut_hatch if piece.fate == "offcut" else STYLE.scrap_hatch
        )
        for piece in layout.pieces
        if piece.fate in ("offcut", "scrap")
    }
    assert len(wanted) > 3
    assert hatches == wanted


def test_rests_are_named_in_words(bench: Plan) -> None:
    """A large offcut says keep and its size, a large scrap says scrap."""
    _, drawing = drawn(bench, "S1")
    words = [item.words for item in drawing.items if isinstance(item, Text)]
    assert "keep" in words
    assert "67 1/2 × 13 1/2" in words
    assert "scrap" in words


def test_grain_is_marked_where_it_matters(bench: Plan, chest: Plan) -> None:
    """Blanks bound to the grain carry an arrow along it, others none."""
    layout, drawing = drawn(bench, "S1")
    marked = {
        item.about.partition(":")[2]
        for item in drawing.items
        if isinstance(item, Arrow) and item.about.startswith("grain:")
    }
    bound = {piece.id for piece in layout.pieces if piece.blank in ("side", "shelf")}
    assert marked == bound
    layout, drawing = drawn(chest, "M1")
    arrows = [item for item in drawing.items if isinstance(item, Arrow)]
    assert arrows
    assert all(arrow.start[0] == arrow.end[0] for arrow in arrows)


def test_a_sheet_without_grain_shows_none(unit: Plan) -> None:
    """Where no blank of a material minds its grain, no sheet of it has an arrow."""
    blanks = tuple(replace(blank, grain="any") for blank in unit.blanks)
    plain = compose(replace(unit, blanks=blanks), A4)
    for pages, marked in ((compose(unit, A4), True), (plain, False)):
        words = [text.words for page in pages for text in page.texts]
        assert ("grain of the sheet" in words) is marked


def test_a_turned_blank_shows_its_own_length_first(chest: Plan) -> None:
    """A panel 40 x 20 laid across the sheet is still written 40 × 20."""
    layout, drawing = drawn(chest, "M1")
    turned = next(piece for piece in layout.pieces if piece.blank == "panel")
    assert turned.turned
    words = [
        item.words
        for item in drawing.items
        if isinstance(item, Text) and item.about == f"label:{turned.id}"
    ]
    assert words[-1] == "40 × 20"


def test_the_reference_corner_is_marked(bench: Plan) -> None:
    """Two heavy lines meet at the corner that all measures run from."""
    _, drawing = drawn(bench, "S4")
    corner = [
        item
        for item in drawing.items
        if isinstance(item, Line) and item.about == "reference"
    ]
    assert len(corner) == 2
    assert {line.start for line in corner} == {(-0.9, -0.9)}


def test_resawn_stock_is_shown_in_layers(chest: Plan) -> None:
    """A board resawn in two shows both slices, one layer each."""
    group = group_of(chest, "B1")
    heights = layers(group.layout)
    assert len(heights) == 2
    seen = set()
    for height in heights:
        drawing = draw_layout(group, read_wording(chest), paper_scale(12), 1, height)
        seen |= {
            item.about
            for item in drawing.items
            if getattr(item, "about", "")[:6] == "label:"
        }
    parts = {f"label:{p.id}" for p in group.layout.pieces if p.fate == "part"}
    assert parts <= seen


def test_the_stock_carries_its_measures(unit: Plan) -> None:
    """Length and width of the sheet stand at its dimension lines."""
    _, drawing = drawn(unit, "P1")
    words = [
        item.words
        for item in drawing.items
        if isinstance(item, Text) and item.about == "dimension"
    ]
    assert words == ["2440", "1220"]
