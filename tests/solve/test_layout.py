"""Trees get coordinates, saws, real kerfs and trims that are cut when they serve."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Cut, Layout
from nesting.model.shop import Saw
from nesting.model.stock import Edges, OffcutRule, Stock, Zone
from nesting.model.terms import Fate, Form, Grain, Guide, Plane, Purpose
from nesting.model.tree import Leaf, Node, SheetTree, Split
from nesting.solve.layout import lay_out

MM = 1600
BOTH = (Plane.RIP, Plane.CROSSCUT)


def table(**more: object) -> Saw:
    """Return a table saw with a 3.2 mm kerf and a fence that opens 760 mm."""
    given: dict[str, object] = {
        "name": "table",
        "kind": "table saw",
        "kerf": 3 * MM,
        "planes": BOTH,
        "rip_guide": Guide.FENCE,
        "crosscut_guide": Guide.STOP,
        "widest_rip": 760 * MM,
        "widest_crosscut": 600 * MM,
        **more,
    }
    return Saw(**given)  # type: ignore[arg-type]


def rail(length: int | None = None) -> Saw:
    """Return a rail saw with a 2 mm kerf."""
    limit = None if length is None else length * MM
    return Saw(
        name="rail", kind="track saw", kerf=2 * MM, planes=BOTH, longest_cut=limit
    )


def sheet(trim: int = 0, length: int = 2440, width: int = 1220) -> Stock:
    """Return a sheet with the same trim all round, in mm."""
    edges = Edges(low_x=trim * MM, high_x=trim * MM, low_y=trim * MM, high_y=trim * MM)
    return Stock(
        id="ply",
        material="ply",
        form=Form.SHEET,
        length=length * MM,
        width=width * MM,
        thickness=18 * MM,
        trim=edges,
    )


def blank(name: str, length: int, width: int, **more: object) -> Blank:
    """Return a blank in mm."""
    return Blank(
        id=name,
        part=name,
        length=length * MM,
        width=width * MM,
        thickness=18 * MM,
        material="ply",
        **more,  # type: ignore[arg-type]
    )


def laid(tree: SheetTree, stock: Stock, saws: list[Saw], *blanks: Blank) -> Layout:
    """Lay a tree out, keeping rests of 300 x 300 mm and more."""
    return lay_out(
        tree,
        stock,
        saws,
        blanks={each.id: each for each in blanks},
        offcuts=OffcutRule(sheet=((300 * MM, 300 * MM),), stick=300 * MM),
        layout="sheet-1",
    )


def strokes(layout: Layout) -> list[tuple[str, int, int]]:
    """Return plane, position and kerf of each cut, in mm."""
    return [(cut.plane, cut.at // MM, cut.kerf // MM) for cut in layout.cuts]


def test_a_part_as_large_as_its_sheet_needs_no_cut() -> None:
    """Without trims the whole sheet is the part."""
    layout = laid(Leaf("top"), sheet(), [table()], blank("top", 2440, 1220))
    assert layout.cuts == ()
    (piece,) = layout.pieces
    assert (piece.id, piece.fate, piece.blank) == ("sheet-1", Fate.PART, "top")


def test_children_are_cut_from_the_low_side_larger_first() -> None:
    """Two strips come off, larger first, and the rest is kept as an offcut."""
    tree = Node(Plane.RIP, (200 * MM, 500 * MM), (Leaf("small"), Leaf("large")))
    layout = laid(
        tree,
        sheet(),
        [table()],
        blank("small", 2440, 200),
        blank("large", 2440, 500),
    )
    assert strokes(layout) == [("rip", 500, 3), ("rip", 200, 3)]
    assert [cut.guide for cut in layout.cuts] == [Guide.FENCE, Guide.FENCE]
    rest = layout.pieces[-1]
    assert (rest.fate, rest.y // MM, rest.width // MM) == (Fate.OFFCUT, 706, 514)


def test_the_last_kerf_may_run_off_the_edge() -> None:
    """A rest of 2 mm under a 3 mm kerf turns to dust; nothing is left of it."""
    layout = laid(
        Node(Plane.RIP, (1218 * MM,), (Leaf("wide"),)),
        sheet(),
        [table(widest_rip=None)],
        blank("wide", 2440, 1218),
    )
    assert strokes(layout) == [("rip", 1218, 2)]
    assert len(layout.pieces) == 2


@pytest.mark.parametrize(
    ("trim", "at", "kerf"),
    [
        # thinner than the blade: it runs partly off the edge
        (2, 0, 2),
        # just the blade
        (3, 0, 3),
        # wider: a ribbon of scrap falls off
        (10, 7, 3),
    ],
)
def test_a_trim_includes_its_kerf(trim: int, at: int, kerf: int) -> None:
    """The clean edge stands exactly at the trim, whatever the kerf."""
    layout = laid(
        Leaf("part"),
        sheet(trim),
        [table(widest_rip=None, widest_crosscut=None)],
        blank("part", 2440 - 2 * trim, 1220 - 2 * trim),
    )
    first = layout.cuts[0]
    assert (first.at // MM, first.kerf // MM) == (at, kerf)
    assert first.purpose == Purpose.TRIM
    part = next(piece for piece in layout.pieces if piece.fate == Fate.PART)
    assert (part.x // MM, part.y // MM) == (trim, trim)


def test_a_rest_keeps_its_factory_edge() -> None:
    """The far trim is not cut where nothing but an offcut has that edge."""
    tree = Node(
        Plane.CROSSCUT,
        (800 * MM,),
        (Node(Plane.RIP, (400 * MM,), (Leaf("part"),)),),
    )
    layout = laid(tree, sheet(5), [rail()], blank("part", 800, 400))
    offcuts = [piece for piece in layout.pieces if piece.fate == Fate.OFFCUT]
    assert {(p.x + p.length) // MM for p in offcuts} == {2440, 805}
    assert any(p.y + p.width == 1220 * MM and p.y == 0 for p in offcuts)


def test_a_margin_no_saw_takes_off_the_whole_piece_is_pushed_down() -> None:
    """A fence too small for the sheet cuts oversize, then off the clean edge.

    The fence opens 760 mm, so the factory edge of a 1220 mm sheet cannot be trimmed
    by running the other edge along it. The first strip is cut 5 mm too wide and its
    factory edge comes off later, measured from the clean side.
    """
    tree = Node(Plane.RIP, (700 * MM,), (Leaf("side"),))
    layout = laid(
        tree, sheet(5), [table(widest_crosscut=800 * MM)], blank("side", 2430, 700)
    )
    first, *_, last = layout.cuts
    assert (first.plane, first.at // MM, first.measure) == ("rip", 705, 705 * MM)
    assert (last.plane, last.from_, last.measure) == ("rip", "high", 700 * MM)
    side = next(piece for piece in layout.pieces if piece.fate == Fate.PART)
    assert (side.y // MM, side.width // MM) == (5, 700)


@pytest.mark.parametrize("ordered", [False, True])
def test_a_margin_is_taken_off_while_a_saw_still_can(ordered: bool) -> None:
    """Cut to 601 mm, it is too wide for the sled and shorter than its fence distance.

    Arithmetic: the sled takes 600 mm; on the fence the edge must be at least the 605 mm
    that are set. So the end is trimmed while the piece is as wide as the sheet.
    """
    door = Node(Plane.RIP, (299 * MM, 299 * MM), (Leaf("door"), Leaf("door")), True)
    panel = door if ordered else Leaf("panel")
    tree = Node(Plane.CROSSCUT, (605 * MM,), (Node(Plane.RIP, (601 * MM,), (panel,)),))
    layout = laid(
        tree, sheet(3), [table()], blank("panel", 605, 601), blank("door", 605, 299)
    )
    parts = [piece for piece in layout.pieces if piece.fate == Fate.PART]
    assert {piece.x // MM for piece in parts} == {3}
    assert {piece.length // MM for piece in parts} == {605}
    trim = next(cut for cut in layout.cuts if (cut.plane, cut.at) == ("crosscut", 0))
    assert (trim.from_, trim.measure) == ("high", 605 * MM)


def test_a_short_rail_crosscuts_first() -> None:
    """A rail that crosses the sheet but does not follow it still cuts both ways."""
    tree = Node(
        Plane.CROSSCUT,
        (1000 * MM,),
        (Node(Plane.RIP, (600 * MM,), (Leaf("door"),)),),
    )
    layout = laid(tree, sheet(5), [rail(1230)], blank("door", 1000, 600))
    assert all(cut.saw == "rail" for cut in layout.cuts)
    widths = {piece.id: piece for piece in layout.pieces}
    for cut in layout.cuts:
        piece = widths[cut.piece]
        run = piece.width if cut.plane == "crosscut" else piece.length
        assert run <= 1230 * MM


def test_what_no_saw_reaches_is_refused_with_the_part() -> None:
    """A 2 m rip under a 1.2 m rail is refused, and the part is named."""
    tree = Node(Plane.RIP, (600 * MM,), (Leaf("door"),))
    with pytest.raises(InfeasibleError, match="no saw of the shop") as caught:
        laid(tree, sheet(), [rail(1230)], blank("door", 2440, 600))
    assert caught.value.parts == ("door",)


def test_a_tree_larger_than_its_stock_is_our_own_bug() -> None:
    """Sizes that do not add up are a ValueError, not a plan."""
    tree = Node(Plane.RIP, (700 * MM, 600 * MM), (Leaf("a"), Leaf("a")))
    with pytest.raises(ValueError, match="does not fit"):
        laid(tree, sheet(), [table()], blank("a", 2440, 700))


def test_the_whole_sheet_goes_under_the_rail_and_strips_to_the_fence() -> None:
    """A large piece is cut along a line where the shop can, the others at the fence."""
    tree = Node(
        Plane.CROSSCUT,
        (600 * MM,),
        (Node(Plane.RIP, (300 * MM,), (Leaf("shelf"),)),),
    )
    layout = laid(tree, sheet(), [table(), rail()], blank("shelf", 600, 300))
    assert [(cut.saw, cut.guide) for cut in layout.cuts] == [
        ("rail", Guide.LINE),
        ("table", Guide.FENCE),
    ]


def test_a_half_sheet_goes_straight_to_the_fence() -> None:
    """What is no longer than 4 ft either way is handy enough (common practice)."""
    tree = Node(Plane.RIP, (300 * MM,), (Leaf("shelf"),))
    half = sheet(length=1219, width=1219)
    layout = laid(tree, half, [table(), rail()], blank("shelf", 1219, 300))
    assert [cut.guide for cut in layout.cuts] == [Guide.FENCE]


def test_a_turned_blank_lies_across() -> None:
    """A turned blank's length is the piece's width."""
    layout = laid(
        Node(
            Plane.CROSSCUT,
            (300 * MM,),
            (Node(Plane.RIP, (700 * MM,), (Leaf("p", turned=True),)),),
        ),
        sheet(),
        [rail()],
        blank("p", 700, 300, grain=Grain.ANY),
    )
    piece = next(piece for piece in layout.pieces if piece.fate == Fate.PART)
    assert piece.turned
    assert (piece.length // MM, piece.width // MM) == (300, 700)


def stick(width: int = 140) -> Stock:
    """Return a 2.4 m stick with 20 mm end trims."""
    return Stock(
        id="pine",
        material="pine",
        section="2x6",
        form=Form.STICK,
        length=2400 * MM,
        width=width * MM,
        thickness=38 * MM,
        trim=Edges(low_x=20 * MM, high_x=20 * MM),
    )


def chop() -> Saw:
    """Return a crosscut saw with a stop."""
    return Saw(
        name="chop",
        kind="miter saw",
        kerf=3 * MM,
        planes=(Plane.CROSSCUT,),
        crosscut_guide=Guide.STOP,
        widest_crosscut=300 * MM,
    )


def stick_cuts(layout: Layout) -> list[tuple[str, str, int | None]]:
    """Return saw, guide and measure (mm) of each cut."""

    def measure(cut: Cut) -> int | None:
        return None if cut.measure is None else cut.measure // MM

    return [(cut.saw, cut.guide, measure(cut)) for cut in layout.cuts]


def test_a_stick_is_squared_to_a_line_then_cut_at_the_stop() -> None:
    """The end trim has no setting, lengths come from the stop, the rest is kept."""
    tree = Node(Plane.CROSSCUT, (700 * MM, 700 * MM), (Leaf("leg"), Leaf("leg")))
    layout = laid(
        tree, stick(), [table(), chop()], blank("leg", 700, 140, minimum=False)
    )
    assert stick_cuts(layout) == [
        ("chop", Guide.LINE, None),
        ("chop", Guide.STOP, 700),
        ("chop", Guide.STOP, 700),
    ]
    assert layout.pieces[-1].fate == Fate.OFFCUT


def test_short_pieces_of_a_stick_come_off_while_it_is_long() -> None:
    """What is too short to hold is not left for the stick's end; the rest is longest
    first (common practice)."""
    lengths = {"cleat": 150, "leg": 700, "rail": 900, "block": 120}
    tree = Node(
        Plane.CROSSCUT,
        tuple(length * MM for length in lengths.values()),
        tuple(Leaf(name) for name in lengths),
    )
    blanks = [blank(name, length, 140) for name, length in lengths.items()]
    saw = replace(chop(), smallest_piece=200 * MM)
    layout = laid(tree, stick(), [saw], *blanks)
    measures = [measure for _, _, measure in stick_cuts(layout)]
    assert measures == [None, 150, 120, 900, 700]


def test_a_narrower_blank_is_ripped_after_the_crosscut() -> None:
    """A 100 mm wide rail from a 140 mm stick is ripped down at the fence."""
    tree = Node(Plane.CROSSCUT, (700 * MM,), (Leaf("rail"),))
    layout = laid(tree, stick(), [table(), chop()], blank("rail", 700, 100))
    assert stick_cuts(layout)[-1] == ("table", Guide.FENCE, 100)
    fates = [piece.fate for piece in layout.pieces]
    assert fates.count(Fate.PART) == 1


@pytest.mark.parametrize(
    ("width", "saws", "left"),
    [
        # a sliver under 1/4 in is not ripped off (common practice)
        (135, ["table", "chop"], 140),
        # more than that is
        (130, ["table", "chop"], 130),
        # without a saw that rips, the board keeps its width
        (130, ["chop"], 140),
    ],
)
def test_a_minimum_blank_may_stay_wide(width: int, saws: list[str], left: int) -> None:
    """Rough blanks are minimum sizes; the plan says what was really cut."""
    shop = [table() if name == "table" else chop() for name in saws]
    tree = Node(Plane.CROSSCUT, (700 * MM,), (Leaf("rough"),))
    layout = laid(tree, stick(), shop, blank("rough", 700, width, minimum=True))
    part = next(piece for piece in layout.pieces if piece.fate == Fate.PART)
    assert part.width // MM == left


@pytest.mark.parametrize(
    ("length", "saw"),
    [
        # a stop is set up on the sled for handy lengths
        (1200, "table"),
        # farther than 4 ft it is not: the rail is laid to a line (common practice)
        (1300, "rail"),
    ],
)
def test_a_far_crosscut_of_a_strip_is_made_to_a_line(length: int, saw: str) -> None:
    """A strip on the sled is cut at a stop only as far as one sets a stop up."""
    tree = Node(
        Plane.RIP,
        (300 * MM,),
        (Node(Plane.CROSSCUT, (length * MM,), (Leaf("shelf"),)),),
    )
    layout = laid(tree, sheet(), [table(), rail()], blank("shelf", length, 300))
    assert layout.cuts[1].saw == saw


def test_a_run_keeps_its_order_and_is_squared_first() -> None:
    """The smallest first, as it was asked; one cut brings all to the largest across."""
    names = {"top": (600, 100), "middle": (500, 300), "bottom": (600, 200)}
    tree = Node(
        Plane.RIP,
        tuple(width * MM for _, width in names.values()),
        tuple(Leaf(name) for name in names),
        ordered=True,
    )
    blanks = [blank(name, *size) for name, size in names.items()]
    layout = laid(tree, sheet(), [rail()], *blanks)
    kerf = rail().kerf
    parts = {p.blank: p for p in layout.pieces if p.fate == Fate.PART}
    lies = [(parts[name].x, parts[name].y) for name in names]
    assert lies == [(0, 0), (0, 100 * MM + kerf), (0, 400 * MM + 2 * kerf)]
    assert layout.cuts[0].plane == Plane.CROSSCUT
    assert layout.cuts[0].at == 600 * MM


def test_damage_is_cut_out_at_fixed_places() -> None:
    """What lies beyond it begins where it ends, and what has it in it is scrap."""
    dented = replace(
        sheet(), zones=(Zone(x=1000 * MM, y=0, length=200 * MM, width=1220 * MM),)
    )
    tree = Split(Plane.CROSSCUT, 1000 * MM, 1200 * MM, Leaf("left"), Leaf("right"))
    layout = laid(
        tree, dented, [rail()], blank("left", 1000, 1220), blank("right", 1240, 1220)
    )
    parts = {p.blank: p for p in layout.pieces if p.fate == Fate.PART}
    assert (parts["left"].x, parts["right"].x) == (0, 1200 * MM)
    (rest,) = (p for p in layout.pieces if p.fate in (Fate.SCRAP, Fate.OFFCUT))
    assert rest.fate == Fate.SCRAP
    assert rest.length == 200 * MM - 2 * rail().kerf


def test_a_narrow_kerf_leaves_no_damage_on_what_lies_behind_it() -> None:
    """Cut for a kerf of 10 mm by a saw that takes less, the rest is cut off as well."""
    dented = replace(
        sheet(), zones=(Zone(x=1000 * MM, y=0, length=10 * MM, width=1220 * MM),)
    )
    tree = Split(Plane.CROSSCUT, 1000 * MM, 1010 * MM, Leaf("left"), Leaf("right"))
    layout = laid(
        tree, dented, [rail()], blank("left", 1000, 1220), blank("right", 1430, 1220)
    )
    (right,) = (p for p in layout.pieces if p.blank == "right")
    assert right.x == 1010 * MM
