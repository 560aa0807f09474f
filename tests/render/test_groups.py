"""Tests of finding layouts and cuts that are alike."""

from dataclasses import replace

from nesting.model.plan import Plan
from nesting.render.chains import chain_cuts, cut_number
from nesting.render.groups import group_layouts, write_steps


def test_copies_are_drawn_once(bench: Plan) -> None:
    """Three sheets cut alike are one group; a sheet cut otherwise is its own."""
    groups = group_layouts(bench.layouts)
    ids = [[layout.id for layout in group.layouts] for group in groups]
    assert ids == [
        ["S1", "S2", "S3"],
        ["S4"],
        ["S5"],
        ["L1", "L2"],
        ["L3"],
        ["L4", "L5", "L6", "L7", "L8"],
        ["L9"],
    ]
    assert [group.total for group in groups] == [5, 5, 5, 3, 3, 6, 6]


def test_a_copy_keeps_its_steps(bench: Plan) -> None:
    """The steps of a group are those of the same cut in each copy."""
    group = group_layouts(bench.layouts)[0]
    by_piece = [
        {cut.piece.partition(".")[2]: cut.step for cut in layout.cuts}
        for layout in group.layouts
    ]
    for cut in group.layout.cuts:
        wanted = sorted(steps[cut.piece.partition(".")[2]] for steps in by_piece)
        assert list(group.steps[cut.step]) == wanted


def test_another_measure_makes_another_group(bench: Plan) -> None:
    """One cut that is set from the other side keeps two layouts apart."""
    first, second = bench.layouts[:2]
    changed = replace(second.cuts[-1], from_="high")
    other = replace(second, cuts=(*second.cuts[:-1], changed))
    assert len(group_layouts((first, second))) == 1
    assert len(group_layouts((first, other))) == 2


def test_steps_are_written_in_short() -> None:
    """Runs of three and more steps become ranges."""
    assert write_steps((4, 5, 6, 9, 11, 12)) == "4–6, 9, 11, 12"
    assert write_steps((7,)) == "7"


def test_repeated_cuts_make_a_chain(bench: Plan) -> None:
    """Six drawer fronts crosscut from one strip are one chain of six cuts."""
    layout = next(layout for layout in bench.layouts if layout.id == "S4")
    chains = chain_cuts(layout)
    assert sum(len(chain) for chain in chains) == len(layout.cuts)
    fronts = [
        chain
        for chain in chains
        if any(
            piece.blank == "front"
            for piece in layout.pieces
            if piece.id in chain[0].makes
        )
    ]
    assert [len(chain) for chain in fronts] == [6]


def test_the_number_of_many_steps_is_cut_short(bench: Plan) -> None:
    """A ring holds a range of steps; scattered ones end in dots."""
    group = group_layouts(bench.layouts)[0]
    numbers = {cut_number(group, cut) for cut in group.layout.cuts}
    assert "1–3" in numbers
    scattered = [cut for cut in group.layout.cuts if cut.plane == "crosscut"][1]
    assert cut_number(group, scattered) == f"{scattered.step}…"
