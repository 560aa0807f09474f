"""The solver's door: groups are solved apart and put side by side."""

from __future__ import annotations

from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.problem import Budget, Problem
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Objective, Origin, Plane
from nesting.solve import solve

MM = 1600
CHOP = Saw(
    name="chop", kerf=3 * MM, planes=(Plane.CROSSCUT,), crosscut_guide=Guide.STOP
)


def stick(name: str, length: int, *, owned: bool) -> Stock:
    return Stock(
        id=name,
        material="pine",
        section="2x4",
        form=Form.STICK,
        length=length * MM,
        width=89 * MM,
        thickness=38 * MM,
        price_cents=0 if owned else 500,
        limit=1 if owned else None,
        origin=Origin.RACK if owned else Origin.STORE,
    )


def need(name: str, length: int, quantity: int, width: int = 89) -> Need:
    blank = Blank(
        id=name,
        part=name,
        length=length * MM,
        width=width * MM,
        thickness=38 * MM,
        material="pine",
        section="2x4",
    )
    build = Build(id=name, takes=(Take(blank=blank),))
    return Need(id=name, part=name, quantity=quantity, builds=(build,))


def test_what_the_rack_holds_is_proved_the_best_without_a_price() -> None:
    """Three legs from an owned stick cost nothing, and the bound says why."""
    problem = Problem(
        stock=(stick("bought", 2400, owned=False), stick("owned", 1300, owned=True)),
        needs=(need("leg", 400, 3),),
        saws=(CHOP,),
    )
    result = solve(problem, Budget(work=1000))
    (bound,) = result.bounds
    assert [cut.stock for cut in result.trees] == ["owned"]
    assert (bound.objective, bound.value, bound.proven) == (Objective.COST, 0, True)
    assert bound.basis == "nothing has to be bought"


def test_what_the_rack_does_not_hold_is_bought() -> None:
    """A fourth leg takes a stick for 500 cents, and no plan does with less."""
    problem = Problem(
        stock=(stick("bought", 2400, owned=False), stick("owned", 1300, owned=True)),
        needs=(need("leg", 400, 4),),
        saws=(CHOP,),
    )
    (bound,) = solve(problem, Budget(work=1000)).bounds
    assert (bound.value, bound.lower_bound, bound.proven) == (500, 500, True)
    assert bound.basis != "nothing has to be bought"
    assert bound.certificate is not None
    assert bound.certificate.kind == "knapsack"
    assert bound.certificate.kerf == (3 * MM,)


def test_where_blanks_might_share_a_length_volume_is_certified() -> None:
    """Two slats of 40 mm would go side by side in 89 mm, so no length is counted.

    By hand: five slats of 400 x 40 mm are under half a stick, which holds 13 by volume.
    """
    slats = Problem(
        stock=(stick("bought", 2400, owned=False),),
        needs=(need("slat", 400, 5, width=40),),
        saws=(
            CHOP,
            Saw(name="rip", kerf=3 * MM, planes=(Plane.RIP,), rip_guide=Guide.FENCE),
        ),
    )
    (bound,) = solve(slats, Budget(work=1000)).bounds
    assert (bound.value, bound.lower_bound, bound.proven) == (500, 500, True)
    assert bound.certificate is not None
    assert bound.certificate.kind == "volume"
    assert bound.certificate.vectors == ((("slat", 1),),)
    assert bound.certificate.values == ((("bought", 13),),)


def test_a_proof_that_has_no_certificate_says_search() -> None:
    """Whoever reads it has the solver's word alone, and is told so.

    By hand: no two of these lie on one sheet of 100 mm, though they are small enough
    in all, and the checker's patterns would take a part more often than it is wanted.
    """
    sheet = Stock(
        id="sheet",
        material="ply",
        form=Form.SHEET,
        length=100 * MM,
        width=100 * MM,
        thickness=18 * MM,
        price_cents=500,
    )
    blanks = [
        Blank(
            id=name,
            part=name,
            length=length * MM,
            width=width * MM,
            thickness=18 * MM,
            material="ply",
        )
        for name, length, width in (("cross", 20, 90), ("beam", 90, 20))
    ]
    needs = tuple(
        Need(
            id=blank.id,
            part=blank.id,
            quantity=1,
            builds=(Build(id=blank.id, takes=(Take(blank=blank),)),),
        )
        for blank in blanks
    )
    saw = Saw(name="saw", kerf=0, planes=(Plane.RIP, Plane.CROSSCUT))
    problem = Problem(stock=(sheet,), needs=needs, saws=(saw,))
    (bound,) = solve(problem, Budget(work=1000)).bounds
    assert (bound.value, bound.proven) == (1000, True)
    assert bound.certificate is None
    assert bound.basis == "search: parts that cannot share a sheet"


def test_what_is_given_away_counts_nothing_beside_what_has_no_price() -> None:
    """A free sheet is taken before one of unknown price, and the bound is nothing."""
    sheets = tuple(
        Stock(
            id=name,
            material="ply",
            form=Form.SHEET,
            length=length * MM,
            width=700 * MM,
            thickness=18 * MM,
            price_cents=price,
        )
        for name, length, price in (("unpriced", 2440, None), ("gift", 1000, 0))
    )
    blank = Blank(
        id="shelf",
        part="shelf",
        length=600 * MM,
        width=300 * MM,
        thickness=18 * MM,
        material="ply",
    )
    build = Build(id="shelf", takes=(Take(blank=blank),))
    rail = Saw(name="rail", kerf=2 * MM, planes=(Plane.CROSSCUT, Plane.RIP))
    problem = Problem(
        stock=sheets,
        needs=(Need(id="shelf", part="shelf", quantity=2, builds=(build,)),),
        saws=(rail,),
    )
    result = solve(problem, Budget(work=100))
    (bound,) = result.bounds
    assert [cut.stock for cut in result.trees] == ["gift"]
    assert (bound.objective, bound.value, bound.proven) == (Objective.AREA, 0, True)


def test_a_narrow_saw_that_resaws_may_part_two_blanks_of_a_width() -> None:
    """Two slats come out of one length if a band saw parts them: no proof of two.

    By hand: 19 + 19 + 1 mm of kerf are 39 mm, the stick has 40; by the chop saw's kerf
    of 3 mm two would not lie above each other. The slats are 2 x 600 x 19 of
    1000 x 40 mm, 57 % of a stick, and sticks are bought whole: 500 cents.
    """
    band = Saw(name="band", kerf=MM, planes=(Plane.RESAW,))
    thick = Stock(
        id="thick",
        material="pine",
        section="40",
        form=Form.STICK,
        length=1000 * MM,
        width=89 * MM,
        thickness=40 * MM,
        price_cents=500,
    )
    slat = Blank(
        id="slat",
        part="slat",
        length=600 * MM,
        width=89 * MM,
        thickness=19 * MM,
        material="pine",
        section="40",
        minimum=True,
    )
    build = Build(id="slat", takes=(Take(blank=slat),))
    slats = Need(id="slat", part="slat", quantity=2, builds=(build,))
    problem = Problem(stock=(thick,), needs=(slats,), saws=(CHOP, band))
    (bound,) = solve(problem, Budget(work=1000)).bounds
    assert (bound.value, bound.lower_bound, bound.proven) == (1000, 500, False)
