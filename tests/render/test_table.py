"""Tests of the cut order."""

import itertools
from dataclasses import replace

from nesting.model.plan import Cut, Layout, Plan
from nesting.render.page import LETTER
from nesting.render.table import cut_rows, table_pages
from nesting.render.wording import read_wording

TIE = "\N{NO-BREAK SPACE}"


def row_cells(plan: Plan, step: int) -> list[str]:
    """Return the cells of a step's row, with plain spaces."""
    rows = cut_rows(plan, read_wording(plan))
    row = next(row for row in rows if row.about == f"step:{step}")
    return [cell.replace(TIE, " ") for cell in row.cells]


def find(plan: Plan, layout_id: str, number: int) -> tuple[Layout, Cut]:
    """Return a layout and one of its cuts."""
    layout = next(layout for layout in plan.layouts if layout.id == layout_id)
    return layout, layout.cuts[number]


def test_a_heading_for_each_change_of_setting(bench: Plan) -> None:
    """A heading stands where the setting changes, says how many cuts, and no more."""
    rows = cut_rows(bench, read_wording(bench))
    cuts = {cut.step: cut for layout in bench.layouts for cut in layout.cuts}
    sections = []
    for row in rows:
        if row.heading:
            sections.append((row.heading, []))
        else:
            sections[-1][1].append(cuts[int(row.cells[0])])
    for heading, members in sections:
        assert heading.endswith(f"{len(members)} cut" + "s" * (len(members) > 1))
        keys = {(c.saw, c.guide, c.guide == "line" or c.measure) for c in members}
        assert len(keys) == 1
    for (_, one), (_, other) in itertools.pairwise(sections):
        last, first = one[-1], other[0]
        assert (last.setting, last.saw) != (first.setting, first.saw)


def test_a_heading_names_saw_and_distance(bench: Plan) -> None:
    """The heading of a fence setting reads as the maker sets it."""
    headings = [row.heading for row in cut_rows(bench, read_wording(bench))]
    plain = [heading.replace(TIE, " ") for heading in headings if heading]
    assert plain[0] == "Track saw, to pencil lines: 10 cuts"
    assert plain[1] == "Setting 1: table saw, fence at 15 1/4 in: 4 cuts"


def test_a_fence_that_nobody_moved_stands_still(bench: Plan) -> None:
    """Back from the rail the fence is where it was; back from other distances not."""
    steps = {11: 1, **{step: step + 1 for step in range(1, 11)}}
    moved = [
        replace(
            layout,
            cuts=tuple(
                replace(cut, step=steps.get(cut.step, cut.step)) for cut in layout.cuts
            ),
        )
        for layout in bench.layouts
    ]
    plan = replace(bench, layouts=tuple(moved))
    headings = [row.heading for row in cut_rows(plan, read_wording(plan))]
    plain = [heading.replace(TIE, " ") for heading in headings if heading]
    assert plain[:3] == [
        "Setting 1: table saw, fence at 15 1/4 in: 1 cut",
        "Track saw, to pencil lines: 10 cuts",
        "Setting 1 still: table saw, fence at 15 1/4 in: 3 cuts",
    ]


def test_rows_say_what_is_cut_and_what_it_makes(bench: Plan) -> None:
    """The first rip of a sheet names its piece, its setting and both results."""
    _, cut = find(bench, "S1", 2)
    assert row_cells(bench, cut.step) == [
        "11",
        "\N{BALLOT BOX}",
        "S1",
        "95 3/4 × 47 3/4 (step 6)",
        "table saw, rip",
        "fence 15 1/4, lower edge on it",
        "piece 95 3/4 × 15 1/4; piece 95 3/4 × 32 3/8",
        "",
    ]


def test_finished_pieces_have_their_names(bench: Plan) -> None:
    """A cut that frees a part names it with its size; what is cut again is the rest."""
    _, cut = find(bench, "S1", 3)
    assert row_cells(bench, cut.step)[6] == "Bench side 30 × 15 1/4; rest"


def test_a_piece_that_holds_one_part_has_its_name(bench: Plan) -> None:
    """What becomes one part and scrap is called by the part's name."""
    layout = next(layout for layout in bench.layouts if layout.id == "S5")
    assert row_cells(bench, layout.cuts[-1].step)[3].startswith("Bench side 31 1/4")


def test_cautions_are_marked_and_explained(bench: Plan) -> None:
    """A cut with a caution carries its letter, which stands above the table."""
    layout = next(layout for layout in bench.layouts if layout.id == "S4")
    cut = next(cut for cut in layout.cuts if cut.cautions)
    assert row_cells(bench, cut.step)[7] == "a"
    pages = table_pages(bench, read_wording(bench), LETTER)
    legend = [text.words for text in pages[0].scene().texts if text.about == "caution"]
    assert legend[0].startswith("Short piece: clamp it")


def test_sides_follow_where_a_cut_is_measured_from(chest: Plan) -> None:
    """A distance read from the high side names the upper edge."""
    layout = next(layout for layout in chest.layouts if layout.id == "M1")
    cut = next(cut for cut in layout.cuts if cut.from_ == "high")
    assert row_cells(chest, cut.step)[5] == "fence 1, upper edge on it"


def test_a_blade_along_the_edge_is_said_plainly(chest: Plan) -> None:
    """A trim that leaves nothing beside the blade says what it takes off."""
    layout = next(layout for layout in chest.layouts if layout.id == "G1")
    assert row_cells(chest, layout.cuts[0].step)[5] == "take 1/8- off the lower edge"


def test_a_trim_at_the_fence_keeps_its_distance(chest: Plan) -> None:
    """A trim that is set by the fence says the distance, not what the blade takes."""
    layout = next(layout for layout in chest.layouts if layout.id == "G1")
    cut = replace(layout.cuts[0], guide="fence", from_="high", measure=14 * 40640)
    words = read_wording(chest).setting(cut).replace(TIE, " ")
    assert words == "fence 14, upper edge on it"


def test_a_rough_cut_has_a_pencil_line(bench: Plan) -> None:
    """A cut without a measure is made to a line at about its place."""
    layout, cut = find(bench, "S1", 0)
    rough = replace(cut, measure=None)
    wording = read_wording(bench)
    words = wording.setting(rough).replace(TIE, " ")
    assert words == "pencil line about 1/8 from lower edge"
    assert wording.held(layout, cut.piece) == "whole sheet"


def test_the_header_is_on_every_page(bench: Plan) -> None:
    """Each page of the table has the names of its columns, and repeats its setting."""
    pages = [page.scene() for page in table_pages(bench, read_wording(bench), LETTER)]
    assert len(pages) > 3
    for page in pages:
        header = [text.words for text in page.texts if text.about == "header"]
        assert header[:3] == ["step", "layout", "piece"]
        body = [
            t for t in page.texts if t.about.partition(":")[0] in ("setting", "step")
        ]
        assert body[0].about == "setting"
