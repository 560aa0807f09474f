"""Tests of whole documents, page by page, on both papers."""

import itertools
import re
from dataclasses import replace

import pytest

from nesting.model.plan import Plan
from nesting.render import A4, LETTER, Paper, compose, draw_scene
from nesting.render.page import FOOTER, MARGIN, Shape
from nesting.render.scene import Box, Polygon, Rect, Scene
from nesting.render.style import STYLE
from nesting.units import Display, Unit, write_length

INCH = 25.4


@pytest.fixture(params=[LETTER, A4], ids=["letter", "a4"], scope="module")
def paper(request: pytest.FixtureRequest) -> Paper:
    """Return both papers in turn."""
    return request.param


@pytest.fixture(scope="module")
def pages(plan: Plan, paper: Paper) -> tuple[Scene, ...]:
    """Return the pages of each plan on each paper."""
    return compose(plan, paper)


def words_of(scenes: tuple[Scene, ...]) -> str:
    """Return all that is written, texts apart by spaces."""
    return " ".join(text.words for scene in scenes for text in scene.texts)


def numbers(words: str) -> set[int]:
    """Return the steps that a ring such as ``4–6, 9`` stands for."""
    steps: set[int] = set()
    for run in re.findall(r"\d+(?:–\d+)?", words):
        first, _, last = run.partition("–")
        steps.update(range(int(first), int(last or first) + 1))
    return steps


def test_papers_have_their_standard_sizes() -> None:
    """Letter is 8 1/2 x 11 in; A4 is 210 x 297 mm (ISO 216)."""
    assert (LETTER.width, LETTER.height) == pytest.approx((8.5 * INCH, 11 * INCH))
    assert (A4.width, A4.height) == (210, 297)


def test_pages_stand_or_lie_on_their_paper(
    pages: tuple[Scene, ...], paper: Paper
) -> None:
    """Every page is the paper, upright or turned."""
    for page in pages:
        assert sorted((page.width, page.height)) == [paper.width, paper.height]


def test_nothing_is_written_outside_the_frame(pages: tuple[Scene, ...]) -> None:
    """Every text lies within the frame of its page, out of the printer's margin."""
    for page in pages:
        frame = Shape(width=page.width, height=page.height).frame
        assert frame.x >= MARGIN
        for text in page.texts:
            assert frame.contains(text.box), (page.title, text.words)


def test_nothing_is_drawn_into_the_footer(pages: tuple[Scene, ...]) -> None:
    """Only the footer stands in the strip at the bottom of the frame."""
    for page in pages:
        frame = Shape(width=page.width, height=page.height).frame
        strip = Box(frame.x, frame.y, frame.width, FOOTER)
        for text in page.texts:
            assert text.about == "footer" or not strip.overlaps(text.box)


def test_no_text_covers_another(pages: tuple[Scene, ...]) -> None:
    """No two texts of a page share more than a quarter of a millimetre."""
    for page in pages:
        for one, other in itertools.combinations(page.texts, 2):
            assert not one.box.overlaps(other.box, 0.25), (one.words, other.words)


def test_no_label_lies_on_another_piece(pages: tuple[Scene, ...]) -> None:
    """A name stands in its own piece, or outside the stock, never in another."""
    checked = 0
    for page in pages:
        rects = [item for item in page.items if isinstance(item, Rect)]
        stocks = [item.box for item in rects if item.about == "stock"]
        pieces = [
            (item.about.partition(":")[2], item.box)
            for item in rects
            if item.about.startswith("piece:")
        ]
        for text in page.texts:
            if not text.about.startswith("label:"):
                continue
            owner = text.about.partition(":")[2]
            own = [box for name, box in pieces if name == owner]
            inside = any(box.contains(text.box, 0.01) for box in own)
            outside = not any(stock.overlaps(text.box) for stock in stocks)
            assert inside or outside, text.words
            checked += 1
    assert checked > 10


def test_no_page_holds_but_the_last_few_cuts(pages: tuple[Scene, ...]) -> None:
    """A list of cuts on a page of its own is worth the page."""
    for page in pages:
        if any(text.words.endswith(", cuts") for text in page.texts):
            rings = [
                item
                for item in page.items
                if isinstance(item, Polygon) and item.about == "ring"
            ]
            assert len(rings) >= 4


def test_no_ring_covers_a_name(pages: tuple[Scene, ...]) -> None:
    """The rings of the cuts keep clear of the names in the pieces."""
    for page in pages:
        rings = [
            box_of(item)
            for item in page.items
            if isinstance(item, Polygon) and item.about == "ring"
        ]
        for text in page.texts:
            if text.about.startswith("label:"):
                assert not any(ring.overlaps(text.box) for ring in rings), text.words


def box_of(polygon: Polygon) -> Box:
    """Return the box around a polygon."""
    xs = [x for x, _ in polygon.points]
    ys = [y for _, y in polygon.points]
    return Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def test_letters_are_large_enough(pages: tuple[Scene, ...]) -> None:
    """No text is smaller than the style's smallest."""
    assert min(text.size for page in pages for text in page.texts) >= STYLE.least_text


def test_pages_are_numbered(pages: tuple[Scene, ...], plan: Plan) -> None:
    """Each footer says which page of how many it is, of which job, in which unit."""
    for count, page in enumerate(pages, 1):
        footer = [text.words for text in page.texts if text.about == "footer"]
        assert f"page {count} of {len(pages)}" in footer
        assert plan.job.name in footer
        assert any("inches" in words or "millimetres" in words for words in footer)


def test_every_part_is_named_with_its_sizes(
    pages: tuple[Scene, ...], plan: Plan
) -> None:
    """Name, finished size and cut size of each part stand in the document."""
    unit = Unit.INCH if plan.job.unit == "inch" else Unit.MM
    display = Display(unit=unit, denominator=plan.job.fraction)
    words = words_of(pages)
    for part in plan.parts:
        assert part.name in words
        sizes = (part.length, part.width, part.thickness)
        assert " × ".join(write_length(size, display) for size in sizes) in words


def test_every_piece_is_named_in_its_drawing(
    pages: tuple[Scene, ...], plan: Plan
) -> None:
    """Each blank of each layout has a label or a key letter, and keys are explained."""
    drawn = {text.about for page in pages for text in page.texts}
    called = {
        text.about.partition(":")[2]: text
        for page in pages
        for text in page.texts
        if text.about.startswith("label:")
    }
    copies = {"S2", "S3", "L2", "L5", "L6", "L7", "L8"}
    runs = 0
    for layout in plan.layouts:
        if layout.id in copies:
            continue
        for piece in layout.pieces:
            if piece.fate != "part":
                continue
            if f"label:{piece.id}" in drawn:
                continue
            # One letter outside serves a row of pieces of one blank.
            alike = [p.id for p in layout.pieces if p.blank == piece.blank]
            assert any(other in called for other in alike)
            runs += 1
    keys = " ".join(t.words for p in pages for t in p.texts if t.about == "key")
    for text in called.values():
        if text.bold:
            assert f"{text.words} = " in keys
    assert runs < 40


def test_every_cut_is_numbered_in_a_drawing(
    pages: tuple[Scene, ...], plan: Plan
) -> None:
    """Each step stands in a ring of a drawing or, for copies, in its list of cuts."""
    ringed: set[int] = set()
    listed: set[int] = set()
    for page in pages:
        for text in page.texts:
            if text.about.startswith("cut:"):
                ringed |= numbers(text.words)
            elif text.about.startswith("listed:"):
                if text.words == text.about.partition(":")[2]:
                    listed |= numbers(text.words)
                elif "Steps" in text.words:
                    listed |= numbers(text.words.partition("Steps")[2])
    steps = {cut.step for layout in plan.layouts for cut in layout.cuts}
    assert listed == steps
    drawn = {
        cut.step
        for layout in plan.layouts
        if layout.id not in {"S2", "S3", "L2", "L5", "L6", "L7", "L8"}
        for cut in layout.cuts
    }
    assert drawn <= ringed


def test_every_cut_has_a_box_to_tick(pages: tuple[Scene, ...], plan: Plan) -> None:
    """Each step has its row in the cut order, in order, and a box to tick."""
    boxes = [
        item.about
        for page in pages
        for item in page.items
        if isinstance(item, Rect) and item.about.startswith("tick step:")
    ]
    count = sum(len(layout.cuts) for layout in plan.layouts)
    assert boxes == [f"tick step:{step}" for step in range(1, count + 1)]


def test_copies_are_drawn_once(bench: Plan) -> None:
    """Three sheets cut alike share one page that says so."""
    pages = compose(bench, LETTER)
    titles = [page.title for page in pages if page.title.startswith("Sheet")]
    assert "Sheets 1–3 of 5 (3 × alike): birch ply 96 × 48 × 1/2" in [
        title.replace("\N{NO-BREAK SPACE}", " ") for title in titles
    ]
    stocks = [
        item
        for page in pages
        for item in page.items
        if isinstance(item, Rect) and item.about == "stock"
    ]
    assert len(stocks) == 7  # 14 layouts in 7 groups


def test_the_scale_is_said_and_true(pages: tuple[Scene, ...], plan: Plan) -> None:
    """Where a page says 1:n, the stock on it is an n-th of a layout's length."""
    lengths = {layout.stock.length / 1600 for layout in plan.layouts}
    scales = 0
    for page in pages:
        for text in page.texts:
            if text.about != "scale":
                continue
            scales += 1
            one_to = int(re.findall(r"1:(\d+)", text.words)[0])
            stocks = [
                item.box
                for item in page.items
                if isinstance(item, Rect) and item.about == "stock"
            ]
            for stock in stocks:
                assert any(
                    stock.width * one_to == pytest.approx(length) for length in lengths
                )
    assert scales


def test_drawn_out_widths_are_said(bench: Plan) -> None:
    """A stick whose width is not to the scale of its length says how much it is not."""
    (text, *_) = [
        text
        for page in compose(bench, A4)
        for text in page.texts
        if text.about == "scale" and text.words.startswith("Lengths")
    ]
    times = int(re.findall(r"widths drawn (\d+) × as large", text.words)[0])
    one_to = int(re.findall(r"1:(\d+)", text.words)[0])
    page = next(page for page in compose(bench, A4) if text in page.texts)
    bars = [i.box for i in page.items if isinstance(i, Rect) and i.about == "stock"]
    assert bars[0].height * one_to / times == pytest.approx(3.5 * INCH)


def test_one_drawing_alone_holds_its_names(plan: Plan) -> None:
    """A drawing for the screen is as wide as asked and nothing leaves it."""
    for layout in plan.layouts:
        scene = draw_scene(plan, layout.id, width=180)
        assert scene.width == 180
        page = Box(0, 0, scene.width, scene.height)
        assert all(page.contains(text.box) for text in scene.texts)


def test_an_unknown_layout_is_refused(bench: Plan) -> None:
    """Asking for a layout that is not in the plan is an error."""
    with pytest.raises(KeyError, match="S99"):
        draw_scene(bench, "S99", width=180)


def test_a_plan_without_layouts_still_makes_a_page(bench: Plan) -> None:
    """A plan that cuts nothing, and buys nothing, has its summary and no more."""
    nothing = replace(bench, layouts=(), settings=(), purchases=())
    pages = compose(nothing, LETTER)
    assert {page.title.partition(",")[0] for page in pages} == {bench.job.name}
    assert "Measure before cutting" not in words_of(pages)
