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


def need(name: str, length: int, quantity: int) -> Need:
    blank = Blank(
        id=name,
        part=name,
        length=length * MM,
        width=89 * MM,
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
