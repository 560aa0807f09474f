"""What the solver certifies the checker proves again, and nothing above the optimum."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.files.plan_json import parse_plan, write_plan
from nesting.model.plan import (
    MadeBy,
    Offer,
    Plan,
    PlanBlank,
    PlanBound,
    PlanJob,
    PlanSaw,
    PlanShop,
    Totals,
)
from nesting.pipeline.write_up import _certificate
from nesting.solve.sheets import certify as sheets
from nesting.solve.sheets.linear import linear_bound
from nesting.solve.sheets.problem import SheetProblem
from nesting.solve.sticks import certify as sticks
from nesting.solve.sticks.problem import StickPart, StickProblem, StickStock
from nesting.verify.certificate import check_certificate

HERE = Path(__file__).parents[1]
_SPEC = importlib.util.spec_from_file_location(
    "brute", HERE / "solve" / "sheets" / "brute.py"
)
brute: Any = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)

PARTS = st.lists(
    st.tuples(st.integers(1, 8), st.integers(1, 8), st.integers(1, 2), st.booleans()),
    min_size=1,
    max_size=3,
)
STOCK = st.lists(
    st.tuples(
        st.integers(4, 10),
        st.integers(4, 10),
        st.integers(0, 20),
        st.none() | st.integers(0, 2),
        st.booleans(),
    ),
    min_size=1,
    max_size=3,
)


def plan_of(
    blanks: list[PlanBlank], offers: list[Offer], kerfs: tuple[int, int], bound: Any
) -> Plan:
    """A plan with nothing in it but what a certificate speaks of."""
    saws = (
        PlanSaw(name="across", kerf=kerfs[0], cuts=("crosscut",)),
        PlanSaw(name="along", kerf=kerfs[1], cuts=("rip",)),
    )
    return Plan(
        job=PlanJob(name="test"),
        shop=PlanShop(saws=saws),
        parts=(),
        blanks=tuple(blanks),
        layouts=(),
        offers=tuple(offers),
        bounds=(bound,),
        made_by=MadeBy(version="", seed=0, work=0, stopped_by="", input_digest=""),
        totals=Totals(
            **dict.fromkeys(
                ("cost_cents", "stock_cents", "hardware_cents", "unpriced", "layouts"),
                0,
            ),
            **dict.fromkeys(("cuts", "settings", "blanks", "parts"), 0),
        ),
    )


def bound_of(value: int, certificate: dict[str, Any] | None) -> PlanBound:
    return PlanBound(
        scope=("wood",),
        objective="cost",
        value=value,
        lower_bound=value,
        proven=True,
        basis="",
        certificate=certificate,
    )


def sheet_plan(problem: SheetProblem, bound: PlanBound) -> Plan:
    blanks = [
        PlanBlank(
            id=part.id,
            parts=(),
            role="",
            qty=part.quantity,
            length=part.length,
            width=part.width,
            thickness=1,
            material="wood",
            grain="length" if part.grain_bound else "any",
        )
        for part in problem.parts
    ]
    offers = [
        Offer(
            id=each.id,
            material="wood",
            form="sheet",
            length=each.length,
            width=each.width,
            thickness=1,
            grain="length" if each.grain_along_length else "width",
            price_cents=each.cost,
            limit=each.limit,
        )
        for each in problem.stock
    ]
    return plan_of(blanks, offers, (problem.kerf_x, problem.kerf_y), bound)


def stick_plan(problem: StickProblem, bound: PlanBound) -> Plan:
    blanks = [
        PlanBlank(
            id=part.id,
            parts=(),
            role="",
            qty=part.quantity,
            length=part.length,
            width=1,
            thickness=1,
            material="wood",
            grain="length",
        )
        for part in problem.parts
    ]
    offers = [
        Offer(
            id=each.id,
            material="wood",
            form="stick",
            length=each.length,
            width=1,
            thickness=1,
            grain="length",
            price_cents=each.cost,
            limit=each.limit,
        )
        for each in problem.stock
    ]
    return plan_of(blanks, offers, (problem.kerf, 0), bound)


def refusals(plan: Plan) -> list[str]:
    (bound,) = plan.bounds
    return [str(violation) for violation in check_certificate(plan, bound, "it")]


def proves(problem: SheetProblem, value: int, vectors: Any = ()) -> bool | None:
    """Tell whether a certificate is made, and see that the checker agrees with it."""
    made = sheets.certify(problem, value, vectors)
    if made is None:
        return None
    plan = sheet_plan(problem, bound_of(value, _certificate(made)))
    # What is written is what was held.
    assert parse_plan(write_plan(plan)) == plan
    return not refusals(plan)


@settings(deadline=None, derandomize=True, max_examples=120)
@given(
    PARTS,
    STOCK,
    st.integers(0, 1),
    st.integers(0, 1),
    st.sampled_from([30, 100, 10**6]),
)
def test_sheets_are_certified_up_to_the_optimum_only(
    parts: Any, stock: Any, kerf_x: int, kerf_y: int, cells: int
) -> None:
    """The linear bound's duals prove the bound as a rule, and never a cent too much."""
    problem = brute.problem_of(parts, stock, (kerf_x, kerf_y))
    best = brute.least(problem)
    linear = linear_bound(problem, most_work=10**6, most_cells=cells)
    if linear.value:
        assert proves(problem, linear.value, [linear.duals]) is not False
    if best is not None:
        assert proves(problem, best, [linear.duals]) is not False
        assert proves(problem, best + 1, [linear.duals]) is None


WEIGHTS = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 9)),
    min_size=1,
    max_size=2,
)


@st.composite
def trees(draw: Any, names: list[str], rows: int, depth: int = 2) -> dict[str, Any]:
    """A tree of splits, of whatever weights."""
    if not depth or draw(st.booleans()):
        return {"weights": [draw(st.integers(0, 40)) for _ in range(rows)]}
    return {
        "split": draw(st.sampled_from(names)),
        "at": draw(st.integers(0, 3)),
        "most": draw(trees(names, rows, depth - 1)),
        "more": draw(trees(names, rows, depth - 1)),
    }


@settings(deadline=None, derandomize=True, max_examples=400)
@given(
    data=st.data(),
    parts=PARTS,
    stock=STOCK,
    kerf=st.integers(0, 1),
    rows=WEIGHTS,
    grid=st.sampled_from([[1, 1], [1, 2], [2, 3], [3, 1]]),
)
def test_no_certificate_whatever_proves_more_than_the_optimum(
    data: Any, parts: Any, stock: Any, kerf: int, rows: Any, grid: list[int]
) -> None:
    """Weights, values and trees drawn at random: what the checker passes is true."""
    problem = brute.problem_of(parts, stock, (kerf, kerf))
    best = brute.least(problem)
    names = [each.id for each in problem.stock if each.limit != 0]
    if best is None or not names:
        return
    certificate = {
        "scale": data.draw(st.integers(1, 9)),
        "vectors": [
            {part.id: weight for part, weight in zip(problem.parts, row, strict=False)}
            for row in rows
        ],
        "values": [
            {name: data.draw(st.integers(0, 30)) for name in names} for _ in rows
        ],
        "pricing": {
            "kind": "guillotine",
            "kerf": [kerf, kerf],
            "grid": [grid, grid],
            "trim": True,
            "turning": True,
        },
        "tree": data.draw(trees(names, len(rows))),
    }
    plan = sheet_plan(problem, bound_of(best + 1, certificate))
    assert refusals(plan)


@settings(deadline=None, derandomize=True, max_examples=150)
@given(
    stock=st.lists(
        st.tuples(
            st.integers(10, 60),
            st.integers(0, 40),
            st.one_of(st.none(), st.integers(0, 3)),
        ),
        min_size=1,
        max_size=3,
    ),
    parts=st.lists(
        st.tuples(st.integers(3, 30), st.integers(1, 3), st.integers(0, 9)),
        min_size=1,
        max_size=3,
    ).filter(lambda rows: sum(n for _, n, _ in rows) <= 6),
    kerf=st.integers(0, 3),
)
def test_sticks_are_certified_up_to_the_optimum_only(
    stock: Any, parts: Any, kerf: int
) -> None:
    """Every bound up to the optimum that is certified is proved; none above is."""
    problem = StickProblem(
        parts=tuple(
            StickPart(id=f"p{i}", length=length, quantity=n)
            for i, (length, n, _) in enumerate(parts)
        ),
        stock=tuple(
            StickStock(id=f"s{k}", length=length, cost=cost, limit=limit)
            for k, (length, cost, limit) in enumerate(stock)
        ),
        kerf=kerf,
        least_kerf=kerf,
    )
    flat = brute.problem_of(
        [(length, 1, n, True) for length, n, _ in parts],
        [(length, 1, cost, limit, True) for length, cost, limit in stock],
        (kerf, 0),
    )
    best = brute.least(flat)
    if best is None:
        return
    some = [[weight for _, _, weight in parts]]
    assert sticks.certify(problem, best + 1, some) is None
    for value in range(1, best + 1, max(1, best // 4)):
        made = sticks.certify(problem, value, some)
        if made is not None:
            plan = stick_plan(problem, bound_of(value, _certificate(made)))
            assert refusals(plan) == []


PUBLISHED = {
    row["name"]: row
    for row in json.loads(
        (HERE / "data" / "sheets" / "published.json").read_text(encoding="utf-8")
    )["instances"]
}


@pytest.mark.parametrize("name", sorted(PUBLISHED))
def test_published_bounds_are_proved_again(name: str) -> None:
    """The bounds that dual feasible functions give, with their sources in the file.

    One sheet more than the best that is published is never proved.
    """
    row = PUBLISHED[name]
    problem = brute.problem_of(
        [(w, h, n, True) for w, h, n in row["parts"]], [(*row["sheet"], 1, None, True)]
    )
    assert proves(problem, row["dual_bound"]) is True
    assert sheets.certify(problem, row["dual_bound"] + 1, ()) is None


ORDERS = {
    row["name"]: row
    for row in json.loads(
        (HERE / "data" / "sheets" / "orders.json").read_text(encoding="utf-8")
    )
}


@pytest.mark.parametrize(("name", "value"), [("a07", 13), ("a41", 18)])
def test_linear_bounds_on_orders_are_proved_again(name: str, value: int) -> None:
    """The linear program's bound on a furniture maker's order needs its duals.

    Orders: Macedo, Alves & Valerio de Carvalho, Computers & OR 37 (2010) 991-1001.
    """
    row = ORDERS[name]
    problem = brute.problem_of(
        [(w, h, n, True) for w, h, n in row["parts"]], [(*row["sheet"], 1, None, True)]
    )
    linear = linear_bound(problem, most_work=10**9)
    assert linear.value == value
    assert proves(problem, value, [linear.duals]) is True


def test_a_mix_of_sheets_needs_a_tree() -> None:
    """Nine parts, four to a dear sheet and one to a cheap one: 2 * 10 + 7 = 27.

    By hand: 9/4 dear sheets would cost 22.5, which no whole sheets cost.
    """
    problem = brute.problem_of(
        [(5, 5, 9, False)], [(10, 10, 10, None, True), (5, 5, 7, None, True)]
    )
    made = sheets.certify(problem, 27, ())
    assert made is not None
    written = _certificate(made)
    assert written["tree"]["split"] == "s0"
    assert refusals(sheet_plan(problem, bound_of(27, written))) == []
    assert sheets.certify(problem, 28, ()) is None
