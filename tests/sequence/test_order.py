"""The cuts of all layouts in one order: possible, broken down first, few settings."""

from __future__ import annotations

from itertools import groupby

from nesting.model.plan import Cut, Layout, Piece, PlanOrder, PlanSaw, PlanStock
from nesting.sequence import Ordered, put_in_order
from nesting.units import Display, Unit

MM = 1600
METRIC = Display(unit=Unit.MM)
SAWS = (
    PlanSaw(name="rail", kind="track saw", kerf=0, cuts=("rip", "crosscut")),
    PlanSaw(name="table", kind="table saw", kerf=0, cuts=("rip", "crosscut")),
    PlanSaw(
        name="chop",
        kind="miter saw",
        kerf=0,
        cuts=("crosscut",),
        smallest_piece=200 * MM,
    ),
)


def strips(
    name: str, widths: list[int], *, size: tuple[int, int] = (1000, 600), **more: str
) -> Layout:
    """Return a layout that is ripped into strips one after another, without kerf."""
    length, width = size
    how = {"saw": "table", "guide": "fence", "plane": "rip", "form": "sheet", **more}
    across = how["plane"] == "crosscut"
    pieces = [piece(name, 0, length, width, across)]
    cuts = []
    rest, start = name, 0
    for number, wide in enumerate(widths):
        near, far = f"{name}.{2 * number + 1}", f"{name}.{2 * number + 2}"
        left = (length if across else width) - start - wide
        pieces.append(piece(near, start, *swap(wide, length, width, across), across))
        start += wide
        pieces.append(piece(far, start, *swap(left, length, width, across), across))
        cuts.append(
            Cut(
                step=0,
                piece=rest,
                plane=how["plane"],
                at=wide * MM,
                kerf=0,
                saw=how["saw"],
                makes=(near, far),
                setting="",
                measure=wide * MM,
                guide=how["guide"],
            )
        )
        rest = far
    stock = PlanStock(
        name="stock",
        length=length * MM,
        width=width * MM,
        thickness=18 * MM,
        grain="length",
        origin="store",
    )
    return Layout(
        id=name,
        material="ply",
        form=how["form"],
        stock=stock,
        pieces=tuple(pieces),
        cuts=tuple(cuts),
    )


def swap(size: int, length: int, width: int, across: bool) -> tuple[int, int]:
    """Return the length and width of a strip."""
    return (size, width) if across else (length, size)


def piece(name: str, start: int, length: int, width: int, across: bool) -> Piece:
    """Return a piece, in mm."""
    return Piece(
        id=name,
        x=start * MM if across else 0,
        y=0 if across else start * MM,
        length=length * MM,
        width=width * MM,
        thickness=18 * MM,
        fate="cut",
    )


def steps(ordered: Ordered) -> list[tuple[str, Cut]]:
    """Return every cut with its layout, by step."""
    found = [(layout.id, cut) for layout in ordered.layouts for cut in layout.cuts]
    return sorted(found, key=lambda pair: pair[1].step)


def test_steps_run_from_one_and_pieces_exist_when_cut() -> None:
    """Steps are 1..n over all layouts, and no cut comes before the one it needs."""
    ordered = put_in_order(
        [strips("a", [100, 200, 100]), strips("b", [200, 100])], SAWS, METRIC
    )
    taken = steps(ordered)
    assert [cut.step for _, cut in taken] == list(range(1, 6))
    exist = {"a", "b"}
    for _, cut in taken:
        assert cut.piece in exist
        exist.remove(cut.piece)
        exist.update(cut.makes)


def test_a_setting_serves_every_cut_it_can_before_it_is_moved() -> None:
    """Two like sheets need each fence setting once, not twice."""
    ordered = put_in_order(
        [strips("a", [300, 200]), strips("b", [300, 200])], SAWS, METRIC
    )
    moves = [key for key, _ in groupby(cut.setting for _, cut in steps(ordered))]
    assert len(moves) == len(ordered.settings) == 2
    assert {setting.distance for setting in ordered.settings} == {200 * MM, 300 * MM}


def test_large_sheets_are_broken_down_before_anything_else() -> None:
    """Whole sheets first, then smaller pieces, then sticks."""
    stick = strips(
        "stick",
        [500],
        size=(2400, 90),
        saw="chop",
        guide="stop",
        plane="crosscut",
        form="stick",
    )
    small = strips("small", [300])
    large = strips("large", [600], size=(2440, 1220), saw="rail", guide="line")
    ordered = put_in_order([stick, small, large], SAWS, METRIC)
    assert [name for name, _ in steps(ordered)] == ["large", "small", "stick"]


def test_every_cut_names_a_setting_that_says_the_same() -> None:
    """Saw, guide and distance of a cut are those of its setting."""
    ordered = put_in_order(
        [strips("a", [100, 200]), strips("b", [100], saw="rail", guide="line")],
        SAWS,
        METRIC,
    )
    known = {setting.id: setting for setting in ordered.settings}
    for _, cut in steps(ordered):
        setting = known[cut.setting]
        assert (setting.saw, setting.kind) == (cut.saw, cut.guide)
        assert setting.distance == cut.measure


def test_the_same_layouts_give_the_same_order() -> None:
    """Nothing depends on chance."""
    layouts = [strips(name, [100, 150, 100]) for name in "abc"]
    assert put_in_order(layouts, SAWS, METRIC) == put_in_order(layouts, SAWS, METRIC)


def test_push_stick_is_said_once_per_setting_and_thin_strips_each_time() -> None:
    """Under 6 in to the fence once per setting, under 3 in at every cut.

    Source: a saw manual (teaching rule) for the push stick, common practice for the
    thin strip.
    """
    ordered = put_in_order([strips("a", [60, 60, 60, 140])], SAWS, METRIC)
    said = [cut.cautions for _, cut in steps(ordered)]
    assert sum("push-stick" in rules for rules in said) == 2
    assert sum("thin-strip" in rules for rules in said) == 3
    assert {"general", "push-stick", "thin-strip", "support-sheet"} <= {
        caution.id for caution in ordered.cautions
    }


def test_a_short_edge_on_the_fence_is_a_caution_at_every_cut() -> None:
    """A 100 mm edge does not run on a fence 300 mm from the blade.

    Source: common practice (the edge on the fence at least as long as the distance);
    a saw manual (teaching rule) for pieces under 12 in long.
    """
    across = put_in_order([strips("a", [300, 300], size=(100, 900))], SAWS, METRIC)
    assert [cut.cautions for _, cut in steps(across)] == [
        ("fence-crosscut", "short-rip")
    ] * 2
    assert "fence-crosscut" in {caution.id for caution in across.cautions}
    along = put_in_order([strips("a", [300, 300], size=(320, 900))], SAWS, METRIC)
    assert all(not cut.cautions for _, cut in steps(along))


def test_wide_rips_need_no_push_stick() -> None:
    """A 200 mm rip of a 1 m piece carries no caution."""
    ordered = put_in_order([strips("a", [200, 300])], SAWS, METRIC)
    assert all(not cut.cautions for _, cut in steps(ordered))


def test_short_pieces_at_the_crosscut_saw_are_clamped() -> None:
    """Less than 8 in to hold, or under the saw's own shortest piece: clamp it.

    Source: common practice, from the teaching rule of hands 6 in from the blade.
    """
    how = {"saw": "chop", "guide": "stop", "plane": "crosscut", "form": "stick"}
    short = put_in_order([strips("s", [150], size=(340, 90), **how)], SAWS, METRIC)
    held = put_in_order([strips("s", [150], size=(400, 90), **how)], SAWS, METRIC)
    assert [cut.cautions for _, cut in steps(short)] == [("clamp-short",)]
    assert [cut.cautions for _, cut in steps(held)] == [()]


def test_a_heavy_sheet_is_a_caution_for_the_whole_job() -> None:
    """A full 18 mm sheet is over 51 lb (load constant of the NIOSH equation)."""
    heavy = put_in_order([strips("a", [600], size=(2440, 1220))], SAWS, METRIC)
    light = put_in_order([strips("a", [300])], SAWS, METRIC)
    assert "lift" in {caution.id for caution in heavy.cautions}
    assert "lift" not in {caution.id for caution in light.cautions}


def test_an_uncut_job_has_no_steps() -> None:
    """No layouts, no settings, no cautions."""
    assert put_in_order([], SAWS, METRIC) == Ordered(
        layouts=(),
        settings=(),
        cautions=(),
        order=PlanOrder(changes=0, lower_bound=0),
    )
