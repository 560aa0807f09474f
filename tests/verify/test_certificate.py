"""A certificate proves just what it proves: what is taken out of it is missed.

Sizes are whole millimetres and every number was worked out on paper.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.plan import Offer, Plan, PlanBlank, PlanBound, PlanSaw, PlanTrim
from nesting.verify import rectangles
from nesting.verify.certificate import MOST_NODES, check_certificate

MM = 1600
Proof = dict[str, Any]
Edit = Callable[[Proof], None]

SMALL = ("small", 104, 104, 7)
LARGE = ("large", 159, 104, 10)


def blank(id: str, qty: int, length: int, width: int, grain: str = "any") -> PlanBlank:
    return PlanBlank(
        id=id,
        parts=(id,),
        role="",
        qty=qty,
        length=length * MM,
        width=width * MM,
        thickness=18 * MM,
        material="ply",
        grain=grain,
    )


def offer(
    id: str, length: int, width: int, price: int, limit: int | None = None
) -> Any:
    """A sheet with a trim of 1 mm on every edge."""
    return Offer(
        id=id,
        material="ply",
        form="sheet",
        length=length * MM,
        width=width * MM,
        thickness=18 * MM,
        grain="length",
        price_cents=price,
        limit=limit,
        trim=PlanTrim(low_x=MM, high_x=MM, low_y=MM, high_y=MM),
    )


def plan_of(
    plan: Plan, blanks: list[PlanBlank], offers: list[Offer], *saws: PlanSaw
) -> Plan:
    """A plan of which only that matters which a certificate speaks of."""
    shop = replace(plan.shop, saws=saws or (saw("table", 4),))
    return replace(
        plan, blanks=tuple(blanks), offers=tuple(offers), layouts=(), shop=shop
    )


def saw(name: str, kerf: int, *cuts: str) -> PlanSaw:
    return PlanSaw(name=name, kerf=kerf * MM, cuts=cuts or ("rip", "crosscut"))


def faults(plan: Plan, proof: Any, bound: int, objective: str = "cost") -> list[str]:
    claim = PlanBound(
        scope=("ply",),
        objective=objective,
        value=bound,
        lower_bound=bound,
        proven=True,
        basis="on paper",
        certificate=proof,
    )
    found = list(check_certificate(plan, claim, "ply"))
    assert {violation.rule for violation in found} <= {"certificate"}
    return [violation.what for violation in found]


def pricing(kerf: int = 4, grid: int = MM) -> dict[str, Any]:
    return {
        "kind": "guillotine",
        "kerf": [kerf * MM, kerf * MM],
        "grid": [[1, grid], [1, grid]],
        "trim": True,
        "turning": True,
    }


@pytest.fixture(scope="session")
def tiles(sound: Plan) -> Plan:
    """Three tiles of 50 x 50 from sheets that hold 102 x 102 or 157 x 102 mm.

    With a kerf of 4 mm two tiles take up 104: one goes on a small sheet and, with
    50 + 4 + 50 + 4 + 50 = 158, two on a large one. Of seven and ten cents the least is
    one of each, 17.
    """
    return plan_of(sound, [blank("tile", 3, 50, 50)], [offer(*SMALL), offer(*LARGE)])


def by_tiles() -> Proof:
    """No fractions: a large one and a half would cost 15 cents."""
    return {
        "scale": 1,
        "vectors": [{"tile": 1}],
        "values": [{"small": 1, "large": 2}],
        "pricing": pricing(),
        # With one large sheet at most, a tile is worth 7: 3 * 7 + (10 - 2 * 7) = 17.
        "tree": {
            "split": "large",
            "at": 1,
            "most": {"weights": [7]},
            "more": {"weights": [0]},
        },
    }


def test_what_is_proved_on_paper_is_proved(tiles: Plan) -> None:
    """The tiles cost 17, and whatever is less."""
    for bound in (17, 16, 1, 0):
        assert faults(tiles, by_tiles(), bound) == []


def test_no_more_is_proved_than_is(tiles: Plan) -> None:
    """A cent more is refused, for there is a plan at 17."""
    assert faults(tiles, by_tiles(), 18) == [
        "the certificate does not prove 18: a leaf gives less"
    ]


def path(*keys: Any, to: Any = None, drop: bool = False) -> Edit:
    """Change, or take out, what stands somewhere in a certificate."""

    def edit(proof: Proof) -> None:
        held: Any = proof
        for key in keys[:-1]:
            held = held[key]
        if drop:
            del held[keys[-1]]
        else:
            held[keys[-1]] = to

    return edit


SPOILT: dict[str, tuple[Edit, str]] = {
    "a value too low": (path("values", 0, "large", to=1), "holds 1; it may hold 2"),
    "another value too low": (path("values", 0, "small", to=0), "it may hold 1"),
    "a value too high": (path("values", 0, "small", to=2), "a leaf gives less"),
    "an offer without a value": (path("values", 0, "small", drop=True), "a value"),
    "a value of nothing": (path("values", 0, "huge", to=9), "not in scope"),
    "a weight left out": (path("vectors", 0, "tile", drop=True), "a leaf gives less"),
    "a weight of nothing": (path("vectors", 0, "frame", to=1), "not in scope"),
    "a weight below nothing": (path("vectors", 0, "tile", to=-1), "whole numbers"),
    "a weight in parts": (path("vectors", 0, "tile", to=1.0), "whole numbers"),
    "a weight beyond all": (path("vectors", 0, "tile", to=2**80), "whole numbers"),
    "a heavier tile": (path("vectors", 0, "tile", to=2), "it may hold 2"),
    "no vector": (path("vectors", to=[]), "none or far too many"),
    "a vector without values": (path("vectors", 0, to=[1]), "not in scope"),
    "too many values": (path("values", to=[{}, {}]), "one row of values"),
    "a kerf that no saw has": (path("pricing", "kerf", 0, to=5 * MM), "a saw may cut"),
    "a kerf below nothing": (path("pricing", "kerf", 1, to=-1), "a saw may cut"),
    # Two tiles and 2 mm are 102 mm: they would share a small sheet.
    "a narrower kerf": (path("pricing", "kerf", to=[2 * MM] * 2), "it may hold"),
    "one kerf only": (path("pricing", "kerf", to=[4 * MM]), "another form"),
    # In tenths of a metre a tile and its kerf come to nothing, in 53 mm two fit.
    "too coarse a grid": (path("pricing", "grid", to=[[1, 100 * MM]] * 2), "coarse"),
    "a coarser grid": (path("pricing", "grid", to=[[1, 53 * MM]] * 2), "it may hold"),
    "too fine a grid": (path("pricing", "grid", to=[[10**6, MM]] * 2), "too large"),
    "a grid of nothing": (path("pricing", "grid", 0, to=[0, MM]), "a grid that is"),
    "a grid that ends": (path("pricing", "grid", 0, to=[1, 0]), "a grid that is"),
    "no grid": (path("pricing", "grid", to=None), "not one grid"),
    "tiles never turned": (path("pricing", "turning", to=False), "may be turned"),
    "trims not said": (path("pricing", "trim", drop=True), "trims and turned"),
    "other pricing": (path("pricing", "kind", to="by eye"), "not known"),
    "pricing along a line": (
        path(
            "pricing",
            to={**pricing(), "kind": "knapsack", "kerf": [0], "grid": [[1, 1]]},
        ),
        "in one row",
    ),
    "no pricing": (path("pricing", to=[]), "how its values were priced"),
    "a pruned tree": (path("tree", "more", drop=True), "missing"),
    "a tree pruned below": (path("tree", "most", to=None), "missing"),
    "no split": (path("tree", to={"weights": [7]}), "a leaf gives less"),
    "a split elsewhere": (path("tree", "at", to=2), "a leaf gives less"),
    "a split at a half": (path("tree", "at", to=1.5), "no number of pieces"),
    "a split below nothing": (path("tree", "at", to=-1), "no number of pieces"),
    "a split on another": (path("tree", "split", to="small"), "a leaf gives less"),
    "a split on nothing": (path("tree", "split", to="huge"), "not in scope"),
    "a lighter leaf": (path("tree", "most", "weights", to=[6]), "gives less"),
    "a heavier leaf": (path("tree", "most", "weights", to=[8]), "gives less"),
    "a leaf below nothing": (path("tree", "most", "weights", to=[-7]), "0 or more"),
    "a leaf of two": (path("tree", "most", "weights", to=[7, 0]), "every vector"),
    "a leaf of none": (path("tree", "most", to={}), "every vector"),
    "a larger scale": (path("scale", to=2), "gives less"),
    "no scale": (path("scale", to=0), "scale"),
    "a scale in parts": (path("scale", to=1.0), "scale"),
    "a part left out": (path("values", drop=True), "lacks values"),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_certificate_is_refused(tiles: Plan, name: str) -> None:
    """Each change alone is found out, in one sentence."""
    edit, word = SPOILT[name]
    proof = copy.deepcopy(by_tiles())
    edit(proof)
    (what,) = faults(tiles, proof, 17)
    assert word in what


def test_nothing_of_the_plan_is_believed_from_the_certificate(tiles: Plan) -> None:
    """More room, fewer tiles, a cheaper sheet, a finer saw, grain that is free."""
    (tile,), (small, large) = tiles.blanks, tiles.offers
    wide = replace(large, length=large.length + MM)  # 158 + 4 hold three tiles
    untrimmed = replace(small, trim=PlanTrim())  # 104 mm hold two
    for blanks, offers, saws in (
        ([replace(tile, qty=2)], [small, large], ()),
        ([tile], [small, wide], ()),
        ([tile], [untrimmed, large], ()),
        ([tile], [small, replace(large, price_cents=9)], ()),
        ([tile], [small, replace(large, price_cents=0)], ()),
        ([tile], [small, large, offer("other", 53, 53, 1)], ()),
        ([tile], [small, large], (saw("table", 4), saw("track", 3))),
        ([replace(tile, thickness=9 * MM - 4 * MM)], [small, large], ()),
        ([tile, tile], [small, large], ()),
    ):
        assert faults(plan_of(tiles, blanks, offers, *saws), by_tiles(), 17)


def test_what_helps_nobody_does_not_matter(tiles: Plan) -> None:
    """A saw that cannot cut so thick, a sheet that is not to be had, dearer stock."""
    (tile,), (small, large) = tiles.blanks, tiles.offers
    low = replace(saw("hobby", 1), tallest=17 * MM)
    none = offer("gone", 900, 900, 1, limit=0)
    planer = replace(saw("planer", 1, "rip"), kerf=None)
    band = replace(saw("thin", 1), kind="band saw")  # no saw for sheets
    saws = (saw("table", 4), low, planer, band)
    plan = plan_of(tiles, [tile], [small, large, none], *saws)
    assert faults(plan, by_tiles(), 17) == []
    dear = [replace(small, price_cents=8), replace(large, price_cents=11)]
    assert faults(plan_of(tiles, [tile], dear), by_tiles(), 17) == []


def test_limits_are_those_of_the_plan(tiles: Plan) -> None:
    """With one large sheet to be had there is no need to split; 17 it is all the same.

    With two small ones at most, three tiles need a large one: 10 + 7 still, and without
    any limit on what a leaf may take nothing is proved by its weights alone.
    """
    (tile,), (small, large) = tiles.blanks, tiles.offers
    proof = {**by_tiles(), "tree": {"weights": [7]}}
    one = plan_of(tiles, [tile], [small, replace(large, limit=1)])
    assert faults(one, proof, 17) == []
    assert faults(plan_of(tiles, [tile], [small, large]), proof, 17)


def test_free_stock_holds_what_it_holds(tiles: Plan) -> None:
    """One small sheet on the rack takes a tile; the others cost a large sheet."""
    (tile,), (small, large) = tiles.blanks, tiles.offers
    owned = replace(small, id="own", price_cents=None, origin="rack", limit=1)
    plan = plan_of(tiles, [tile], [owned, small, large])
    proof = by_tiles()
    proof["values"] = [{"own": 1, "small": 1, "large": 2}]
    proof["tree"] = {"weights": [5]}
    assert faults(plan, proof, 10) == []
    assert faults(plan, proof, 11)
    without = by_tiles()
    without["tree"] = {"weights": [5]}
    assert faults(plan, without, 10) == [
        "the certificate leaves an offer in scope without a value"
    ]


def test_objectives_count_what_they_say(tiles: Plan) -> None:
    """In pieces two are needed, in area as much as two small sheets and a half tile."""
    proof = {**by_tiles(), "scale": 2, "tree": {"weights": [1]}}
    assert faults(tiles, proof, 2, "count") == []
    assert faults(tiles, proof, 3, "count")
    unpriced = replace(tiles.offers[0], price_cents=None)
    plan = replace(tiles, offers=(unpriced, tiles.offers[1]))
    assert faults(plan, proof, 2, "count") == []
    assert faults(plan, proof, 2, "cost") == [
        "the certificate is about a cost, and an offer in scope has no price"
    ]
    area = 104 * 104 * MM * MM
    proof = {**by_tiles(), "scale": 1, "tree": {"weights": [area * 3 // 4]}}
    assert faults(tiles, proof, 2 * area, "area") == []
    assert faults(tiles, proof, 3 * area, "area")


def test_grain_keeps_a_strip_from_turning(sound: Plan) -> None:
    """Strips of 90 x 40 lie along a sheet of 98 x 62: one, not two."""
    sheet = [offer("sheet", 100, 64, 1)]
    proof = {
        **by_tiles(),
        "vectors": [{"strip": 1}],
        "values": [{"sheet": 1}],
        "tree": {"weights": [1]},
    }
    strips = [blank("strip", 3, 90, 40, "length")]
    assert faults(plan_of(sound, strips, sheet), proof, 3) == []
    across = [replace(sheet[0], grain="width")]
    # Across the grain no strip fits at all: no number of sheets would do.
    assert faults(plan_of(sound, strips, across), proof, 3) == []
    square = [offer("sheet", 100, 100, 1)]
    assert faults(plan_of(sound, strips, square), proof, 3)  # two of 40 + 4 in 98 mm


def test_a_line_counts_what_is_wanted_only(sound: Plan) -> None:
    """Rails fill a stick: of two of 400 and five of 300 mm, 998 mm hold three at most.

    The vector (4, 3) is worth 10 on 400 + 4 + 300 + 4 + ... with one long one, and 11
    with two, where two long ones and one short one are 1108 mm.
    """
    rails = [blank("long", 1, 400, 60, "length"), blank("short", 5, 290, 60, "length")]
    sticks = [offer("stick", 1000, 90, 5)]
    line = {"kind": "knapsack", "kerf": [4 * MM], "grid": [[1, 2 * MM]]}
    proof = {
        "scale": 10,
        "vectors": [{"long": 5, "short": 3}],
        "values": [{"stick": 11}],
        "pricing": {**pricing(), **line},
        "tree": {"weights": [4]},
    }
    # 400 + 290 + 290 and two kerfs are 988: the best is 5 + 3 + 3; the second long
    # one, which would make 5 + 5, is not wanted. 5 + 5 * 3 = 20 need two sticks.
    plan = plan_of(sound, rails, sticks)
    assert faults(plan, proof, 10) == []
    proof["values"] = [{"stick": 10}]
    assert faults(plan, proof, 10)
    thin = [replace(rails[0], width=40 * MM), rails[1]]
    assert faults(plan_of(sound, thin, sticks), proof, 10) == [
        "the certificate counts in one row where two blanks may lie side by side"
    ]


def test_volume_needs_no_rule_of_cutting(sound: Plan) -> None:
    """Ten cubes' worth of wood need two boards of nine, whatever way they are cut."""
    cubes = [blank("cube", 10, 18, 18)]
    board = [offer("board", 164, 20, 3)]  # 162 x 18 x 18 between the trims
    proof = {
        "scale": 3,
        "vectors": [{"cube": 1}],
        "values": [{"board": 9}],
        "pricing": {**pricing(), "kind": "volume", "kerf": [], "grid": []},
        "tree": {"weights": [1]},
    }
    plan = plan_of(sound, cubes, board)
    assert faults(plan, proof, 6) == []
    proof["values"] = [{"board": 8}]
    assert faults(plan, proof, 6)


def test_what_would_take_too_long_is_refused(tiles: Plan) -> None:
    """Work is counted, not timed: cells of a table, nodes of a tree."""
    endless: Proof = {"split": "small", "at": 1}
    endless["most"] = endless["more"] = endless
    (what,) = faults(tiles, {**by_tiles(), "tree": endless}, 17)
    assert what.endswith(f"more than {MOST_NODES} nodes: too large")
    strips = [blank(f"s{n}", 1, 50 + n, 50 + n) for n in range(9)]
    fine = {
        **by_tiles(),
        "vectors": [{strip.id: 1 for strip in strips}],
        "values": [{"sheet": 9}],
        "pricing": pricing(grid=MM // 2),
    }
    plan = plan_of(tiles, strips, [offer("sheet", 3002, 3002, 1)])
    (what,) = faults(plan, fine, 1)
    assert what.endswith("too large to re-check")


def test_a_table_counts_its_work_before_it_does_it() -> None:
    """Sums of 3 and 5 leave 13 places on 20, and the best is exact.

    By hand: 20 less each sum is at most 20, 17, 15, 14, 12, 11, 10, 9, 8, 6, 5, 3 or 0.
    """
    table = rectangles.Table({(3, 5): [1, 4], (5, 3): [1, 3]}, [(20, 20)], 2)
    assert table.steps == 13 * 13 * 26 * 2 // 4
    table.fill()
    # By area no more than 26, and 26 can be had.
    count, _ = table.at(20, 20)
    assert count == 26
    assert table.at(20, 4) == [4, 12]
    assert table.at(2, 20) == [0, 0]


@settings(deadline=None, derandomize=True, max_examples=150)
@given(
    pieces=st.dictionaries(
        st.tuples(st.integers(1, 9), st.integers(1, 9)),
        st.lists(st.integers(0, 20), min_size=2, max_size=2),
        min_size=1,
        max_size=4,
    ),
    sheets=st.lists(
        st.tuples(st.integers(1, 18), st.integers(1, 18)), min_size=1, max_size=3
    ),
)
def test_a_table_is_right_wherever_it_does_not_cut(
    pieces: dict[tuple[int, int], list[int]], sheets: list[tuple[int, int]]
) -> None:
    """Trying every cut at every unit gives no more, and no less."""

    @cache
    def best(x: int, y: int, row: int) -> int:
        found = [w[row] for (a, b), w in pieces.items() if a <= x and b <= y]
        found += [best(a, y, row) + best(x - a, y, row) for a in range(1, x // 2 + 1)]
        found += [best(x, b, row) + best(x, y - b, row) for b in range(1, y // 2 + 1)]
        return max(found, default=0)

    fitting = {
        (x, y): worth
        for (x, y), worth in pieces.items()
        if any(x <= long and y <= wide for long, wide in sheets)
    }
    table = rectangles.Table(fitting, sheets, 2)
    table.fill()
    for x, y in sheets:
        assert table.at(x, y) == [best(x, y, 0), best(x, y, 1)]


JUNK = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.floats(),
        st.integers(),
        st.integers(2**60, 2**90),
        st.text(max_size=3),
        st.sampled_from(["tile", "small", "large", "weights", "knapsack", "volume"]),
        st.just(()),
    ),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["tile", "small", "large", "split", "at", "most", "weights"]
            ),
            inner,
            max_size=3,
        )
    ),
    max_leaves=6,
)


def spots(held: Any, keys: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a certificate."""
    found = [keys] if keys else []
    if isinstance(held, dict):
        for key, value in held.items():
            found += spots(value, (*keys, key))
    elif isinstance(held, list):
        for at, value in enumerate(held):
            found += spots(value, (*keys, at))
    return found


@settings(deadline=None, derandomize=True, max_examples=300)
@given(data=st.data())
def test_a_certificate_of_anything_is_refused_in_a_sentence(
    tiles: Plan, data: st.DataObject
) -> None:
    """Whatever stands anywhere in it: one sentence at most, and never an error."""
    proof = copy.deepcopy(by_tiles())
    keys = data.draw(st.sampled_from(spots(proof)))
    path(*keys, to=data.draw(JUNK))(proof)
    assert len(faults(tiles, proof, 17)) <= 1
    # Nothing in its place makes more of it than is true.
    assert len(faults(tiles, proof, 18)) == 1
