"""Boards: rough crosscuts, then rips, then resaws, and lengths last of all."""

from __future__ import annotations

from dataclasses import replace

from nesting.model.plan import Cut, Layout, Piece, PlanSaw, PlanStock
from nesting.sequence import put_in_order
from nesting.sequence.phases import phases
from nesting.units import Display, Unit

MM = 1600
METRIC = Display(unit=Unit.MM)
SAWS = (
    PlanSaw(name="chop", kind="miter saw", kerf=0, cuts=("crosscut",)),
    PlanSaw(name="table", kind="table saw", kerf=0, cuts=("rip",)),
    PlanSaw(name="band", kind="band saw", kerf=0, cuts=("resaw",)),
)
AXES = {"crosscut": "length", "rip": "width", "resaw": "thickness"}
SAW_OF = {"crosscut": "chop", "rip": "table", "resaw": "band"}
GUIDE_OF = {"crosscut": "stop", "rip": "fence", "resaw": "fence"}


def board(name: str, *cuts: tuple[str, str, int], width: int = 180) -> Layout:
    """Return a board of 2400 x 180 x 40 mm: what is cut, in which plane and where.

    Pieces are named after what they come from: ``a`` and ``b`` behind its name.
    """
    sizes = {name: {"length": 2400, "width": width, "thickness": 40}}
    done = []
    for of, plane, at in cuts:
        near, far = f"{of}a", f"{of}b"
        axis = AXES[plane]
        sizes[near] = {**sizes[of], axis: at}
        sizes[far] = {**sizes[of], axis: sizes[of][axis] - at}
        done.append(
            Cut(
                step=0,
                piece=of,
                plane=plane,
                at=at * MM,
                kerf=0,
                saw=SAW_OF[plane],
                makes=(near, far),
                setting="",
                measure=at * MM,
                guide=GUIDE_OF[plane],
            )
        )
    pieces = tuple(
        Piece(
            id=piece,
            x=0,
            y=0,
            **{axis: mm * MM for axis, mm in size.items()},
            fate="cut" if any(piece == of for of, _, _ in cuts) else "part",
        )
        for piece, size in sizes.items()
    )
    whole = pieces[0]
    return Layout(
        id=name,
        material="ash",
        form="board",
        stock=PlanStock(
            name="ash",
            length=whole.length,
            width=whole.width,
            thickness=whole.thickness,
            grain="length",
            origin="store",
        ),
        pieces=pieces,
        cuts=tuple(done),
    )


STAGES = (
    ("B", "crosscut", 1200),
    ("Ba", "rip", 80),
    ("Baa", "resaw", 18),
    ("Baaa", "crosscut", 500),
    ("Bab", "crosscut", 500),
)


def test_a_board_goes_through_the_stages() -> None:
    """Rough, rip, resaw, and both the slice and the strip to length."""
    assert phases(board("B", *STAGES)) == (2, 3, 4, 5, 5)


def test_a_length_is_not_rough() -> None:
    """A crosscut that nothing is ripped after waits, and so does a blank's own rip."""
    plain = board("B", ("B", "crosscut", 900), ("Bb", "crosscut", 700))
    assert phases(plain) == (5, 5)
    narrow = board("B", ("B", "crosscut", 900), ("Ba", "rip", 60))
    assert phases(narrow) == (5, 5)
    slices = board("B", ("B", "crosscut", 900), ("Ba", "resaw", 18))
    assert phases(slices) == (2, 4)


def test_no_cut_is_before_what_makes_its_piece() -> None:
    """A section that comes off after a blank waits for the blank's cut."""
    late = board(
        "B",
        ("B", "rip", 90),
        ("Ba", "crosscut", 900),
        ("Baa", "rip", 60),
        ("Baaa", "crosscut", 400),
    )
    assert phases(late) == (3, 3, 3, 5)


def test_two_boards_share_the_stages_and_their_settings() -> None:
    """All rough crosscuts, all rips, all resaws, then one stop for all lengths."""
    other = tuple(("C" + of[1:], plane, at) for of, plane, at in STAGES)
    ordered = put_in_order([board("B", *STAGES), board("C", *other)], SAWS, METRIC)
    cuts = sorted(
        (cut for layout in ordered.layouts for cut in layout.cuts),
        key=lambda cut: cut.step,
    )
    assert [cut.plane for cut in cuts] == (
        ["crosscut"] * 2 + ["rip"] * 2 + ["resaw"] * 2 + ["crosscut"] * 4
    )
    assert len(ordered.settings) == 4
    resaw = next(s for s in ordered.settings if s.saw == "band")
    assert (resaw.kind, resaw.distance) == ("fence", 18 * MM)
    assert resaw.from_edge == "the face against the fence"


def test_a_resaw_has_its_cautions_at_its_step() -> None:
    """Common ones once per setting, those of a piece at each; long rips at no step."""
    wide = (("B", "crosscut", 1200), ("Ba", "resaw", 18), ("Bab", "resaw", 18))
    ordered = put_in_order([board("B", *wide)], SAWS, METRIC)
    (layout,) = ordered.layouts
    assert [cut.cautions for cut in layout.cuts] == [
        (),
        ("resaw-tall", "resaw", "bandsaw-hands"),
        ("resaw-tall",),
    ]
    assert {"straight-edge", "general"} <= {each.id for each in ordered.cautions}
    assert "outfeed" not in {each.id for each in ordered.cautions}
    whole = put_in_order([board("B", ("B", "rip", 80))], SAWS, METRIC)
    assert "outfeed" in {each.id for each in whole.cautions}


def test_what_is_sawn_at_the_store_comes_first() -> None:
    """Of a board, of a stick and of a sheet."""
    long = board("B", ("B", "crosscut", 900), ("Ba", "rip", 60))
    cuts = (replace(long.cuts[0], purpose="haul"), *long.cuts[1:])
    for form in ("board", "stick", "sheet"):
        first, then = phases(replace(long, form=form, cuts=cuts))
        assert first < min(*phases(replace(long, form=form)), then)
