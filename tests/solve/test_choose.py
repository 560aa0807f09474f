"""Among the builds of the needs, those are cut that cost least together."""

from __future__ import annotations

import itertools
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.problem import Budget, Problem
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Origin, Plane
from nesting.solve import solve

SAW = Saw(
    name="saw", kerf=1, planes=(Plane.CROSSCUT, Plane.RIP), crosscut_guide=Guide.STOP
)
SIZES = {"thin": (10, 40), "thick": (20, 40)}


def stick(section: str, length: int, cents: int | None, **more: object) -> Stock:
    """Return lumber of one of two sections."""
    thickness, width = SIZES[section]
    return Stock(
        id=f"{section} {length}",
        material="ash",
        section=section,
        form=Form.STICK,
        length=length,
        width=width,
        thickness=thickness,
        price_cents=cents,
        **more,  # type: ignore[arg-type]
    )


def build(name: str, section: str, length: int, count: int = 1) -> Build:
    """Return a build of some full-width pieces of a section."""
    thickness, width = SIZES[section]
    blank = Blank(
        id=name,
        part=name.split(":")[0],
        role="" if count == 1 else "ply",
        length=length,
        width=width,
        thickness=thickness,
        material="ash",
        section=section,
    )
    return Build(id=name, takes=(Take(blank=blank, count=count),))


def leg(name: str, length: int, quantity: int = 1) -> Need:
    """Return legs from one thick piece, or from two thin plies."""
    return Need(
        id=name,
        part=name,
        quantity=quantity,
        builds=(
            build(f"{name}: one piece", "thick", length),
            build(f"{name}: two plies", "thin", length, 2),
        ),
    )


def chosen(problem: Problem, work: int = 20_000) -> tuple[dict[str, str], int]:
    """Return the builds chosen, and what all of it costs."""
    result = solve(problem, Budget(work=work))
    assert not result.unplaced
    prices = {stock.id: stock.price_cents or 0 for stock in problem.stock}
    return (
        {each.need: each.build for each in result.chosen},
        sum(prices[tree.stock] for tree in result.trees),
    )


def test_the_cheaper_way_is_taken_and_the_other_named() -> None:
    """Thick wood at 900 a stick, two thin ones at 300: plies save 300."""
    stock = (stick("thick", 100, 900), stick("thin", 100, 300))
    problem = Problem(stock=stock, needs=(leg("leg", 90),), saws=(SAW,))
    assert chosen(problem) == ({"leg": "leg: two plies"}, 600)
    result = solve(problem, Budget(work=20_000))
    (note,) = result.notes
    assert note == "leg: two plies; one piece would cost 3.00 more"
    (bound,) = result.bounds
    assert bound.proven
    assert bound.basis.endswith("for the builds chosen")


def test_at_one_price_the_usual_way_is_taken() -> None:
    """The first build is the usual one, and it has fewer pieces to glue."""
    stock = (stick("thick", 100, 600), stick("thin", 100, 300))
    problem = Problem(stock=stock, needs=(leg("leg", 90),), saws=(SAW,))
    assert chosen(problem) == ({"leg": "leg: one piece"}, 600)


def test_what_fits_no_stock_is_not_chosen() -> None:
    """There is no thick wood long enough, whatever it would save."""
    stock = (stick("thick", 80, 1), stick("thin", 100, 300))
    problem = Problem(stock=stock, needs=(leg("leg", 90),), saws=(SAW,))
    assert chosen(problem) == ({"leg": "leg: two plies"}, 600)
    nothing = replace(problem, stock=(stick("thick", 80, 1), stick("thin", 80, 1)))
    result = solve(nothing, Budget(work=20_000))
    assert [miss.blank for miss in result.unplaced] == ["leg: one piece"]


def test_limited_stock_sends_one_part_another_way() -> None:
    """One cheap thick stick holds one leg; the other is glued from plies.

    By hand: 100 + 2 * 300 = 700; both of thick wood at the store would be 100 + 900.
    """
    stock = (
        stick("thick", 100, 900),
        stick("thin", 100, 300),
        replace(
            stick("thick", 95, 100, limit=1), id="rack", origin=Origin.RACK, tag="r"
        ),
    )
    needs = (leg("a", 90), leg("b", 90))
    problem = Problem(stock=stock, needs=needs, saws=(SAW,))
    builds, cost = chosen(problem)
    assert cost == 700
    assert sorted(build.split(": ")[1] for build in builds.values()) == [
        "one piece",
        "two plies",
    ]


def test_without_prices_the_least_wood_is_taken() -> None:
    """One thick piece is 20 x 40 x 100, two plies on one thin stick 10 x 40 x 185."""
    stock = (stick("thick", 100, None), stick("thin", 185, None))
    problem = Problem(stock=stock, needs=(leg("leg", 90),), saws=(SAW,))
    assert chosen(problem)[0] == {"leg": "leg: two plies"}


@settings(max_examples=25)
@given(
    st.lists(st.integers(20, 95), min_size=1, max_size=4),
    st.integers(200, 900),
    st.integers(100, 500),
)
def test_it_is_as_good_as_trying_all_of_them(
    lengths: list[int], thick: int, thin: int
) -> None:
    """Every choice of builds is solved apart; none is cheaper.

    One change at a time finds the best of so few needs nearly always; where it does
    not, it is at most one stick of either section above it.
    """
    stock = (stick("thick", 100, thick), stick("thin", 100, thin))
    needs = tuple(leg(f"leg {n}", length) for n, length in enumerate(lengths))
    problem = Problem(stock=stock, needs=needs, saws=(SAW,))
    costs = []
    for choice in itertools.product((0, 1), repeat=len(needs)):
        single = tuple(
            replace(need, builds=(need.builds[number],))
            for need, number in zip(needs, choice, strict=True)
        )
        costs.append(chosen(replace(problem, needs=single))[1])
    found = chosen(problem)
    assert min(costs) <= found[1] <= min(costs) + max(thick, thin)
    assert found == chosen(problem)
