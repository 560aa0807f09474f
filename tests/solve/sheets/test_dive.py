"""Plans by columns are possible ones, and as good as the bound on real orders."""

from __future__ import annotations

import importlib.util
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.shop import Saw
from nesting.model.terms import Form, Guide, Plane, StoppedBy
from nesting.solve.reach import ways_to_cut
from nesting.solve.sheets.dive import ColumnPlans
from nesting.solve.sheets.forest import OUT
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.linear import BASIS
from nesting.solve.sheets.problem import SheetAnswer
from nesting.solve.sheets.replant import forest_of, keeps_rules


def _loaded(name):
    path = Path(__file__).parent / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


brute = _loaded("brute")
checking = _loaded("checking")

DATA = Path(__file__).parents[2] / "data" / "sheets" / "orders.json"
ORDERS = {row["name"]: row for row in json.loads(DATA.read_text(encoding="utf-8"))}
FENCE = Saw(
    name="fence",
    kerf=0,
    planes=(Plane.CROSSCUT, Plane.RIP),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.LINE,
    longest_cut=9,
    widest_rip=6,
)


def run(problem, *, pieces=400, seed=0, **given_):
    """Advance until the end, or so many times."""
    plans = ColumnPlans(problem, seed=seed)
    work = 0
    for _ in range(pieces):
        work += plans.advance(**given_)
        if plans.is_done:
            break
    return plans, work


def check(problem, plans):
    """Assert that the best plan holds every part and keeps every rule of cutting."""
    checking.check_answer(
        problem,
        SheetAnswer(
            sheets=plans.best.sheets,
            unplaced=(),
            cost=plans.best.cost,
            lower_bound=plans.value,
            basis=plans.basis,
            stopped_by=StoppedBy.WORK,
            work=0,
        ),
    )
    instance = instance_of(problem)
    forest = forest_of(plans.best.sheets, instance)
    assert forest[4][OUT] == 0
    assert keeps_rules(forest, instance)


def order(name, turning):
    row = ORDERS[name]
    problem = brute.problem_of(
        [(w, h, n, not turning) for w, h, n in row["parts"]],
        [(*row["sheet"], 1, None, True)],
    )
    return replace(problem, stages=None)


@settings(deadline=None, derandomize=True, max_examples=25)
@given(
    parts=st.lists(
        st.tuples(
            st.integers(1, 8), st.integers(1, 8), st.integers(1, 3), st.booleans()
        ),
        min_size=1,
        max_size=3,
    ),
    stock=st.lists(
        st.tuples(
            st.integers(8, 10),
            st.integers(8, 10),
            st.integers(1, 20),
            st.none() | st.integers(0, 2),
            st.booleans(),
        ),
        min_size=1,
        max_size=3,
    ),
    kerfs=st.tuples(st.integers(0, 1), st.integers(0, 1)),
    stages=st.none() | st.integers(2, 4),
    with_saw=st.booleans(),
)
def test_plans_lie_between_the_optimum_and_the_rules(
    parts, stock, kerfs, stages, with_saw
):
    """No plan beats trying everything, no bound passes it, and every rule is kept."""
    problem = brute.problem_of(parts, stock, kerfs)
    ways = ways_to_cut((FENCE,), Form.SHEET, 1) if with_saw else ()
    problem = replace(problem, stages=stages, ways=ways)
    instance = instance_of(problem)
    if not all(instance.fits(kind) for kind in range(len(parts))):
        return
    plans, _ = run(problem, pieces=40)
    least = brute.least(problem)
    if least is not None:
        assert plans.value <= least
    if plans.best is not None:
        check(problem, plans)
        assert least is not None
        assert plans.best.cost >= least
        is_plain = stages is None and not with_saw and len(stock) == 1
        if is_plain and least > stock[0][2]:  # one sheet is left to the search
            assert plans.best.cost <= least + stock[0][2]


@pytest.mark.parametrize(
    ("name", "turning", "value"),
    # The bounds are those of test_linear; a plan that meets one is an optimal plan.
    [
        ("a07", False, 13),
        ("a41", False, 18),
        ("a15", False, 39),
        ("a07", True, 11),
        ("a41", True, 18),
        ("a15", True, 37),
    ],
)
def test_orders_of_a_furniture_maker_are_proved(name, turning, value):
    """Real orders of few kinds end at their bound.

    Orders: Macedo, Alves & Valerio de Carvalho, Computers & OR 37 (2010) 991-1001.
    """
    problem = order(name, turning)
    plans, _ = run(problem)
    check(problem, plans)
    assert plans.is_done
    assert (plans.best.cost, plans.value, plans.basis) == (value, value, BASIS)


@pytest.mark.parametrize("stages", [2, 3, 4])
def test_an_order_keeps_a_stage_limit(stages):
    """Columns of few stages make a plan of few stages, at the bound or one above.

    The bound, 37, is of any number of stages (see `test_linear`).
    """
    problem = replace(order("a15", turning=True), stages=stages)
    plans, _ = run(problem, pieces=250)
    check(problem, plans)
    assert max(checking.depth_of(tree) for _, tree in plans.best.sheets) <= stages
    assert plans.value == 37
    assert plans.best.cost <= 38 + (stages == 2)


def test_a_mix_of_rack_and_store_by_hand():
    """Rack pieces are free but few; two kinds to buy, and the cheapest mix wins.

    By hand: 38 squares of 5; the two free halves hold two each, and of the 34 left
    eight sheets of four (at 10) and two singles (at 4) cost 88; nine sheets cost 90,
    seven sheets and six singles 94.
    """
    problem = brute.problem_of(
        [(5, 5, 38, False)],
        [(10, 10, 10, None, True), (5, 5, 4, None, True), (10, 5, 0, 2, True)],
    )
    plans, _ = run(problem)
    check(problem, plans)
    assert (plans.best.cost, plans.value) == (88, 88)


def test_limits_that_hold_too_little_give_no_plan():
    """Where the stock does not hold every part there is no whole plan to give."""
    problem = brute.problem_of([(6, 6, 9, False)], [(10, 10, 1, 4, True)])
    plans, _ = run(problem)
    assert plans.best is None
    assert plans.is_done


def test_only_cheaper_plans_are_offered():
    """With a plan at the bound known, there is nothing left to do."""
    problem = order("a41", turning=False)
    plans, _ = run(problem, goal=18)
    assert plans.best is None
    assert plans.value == 18
    assert plans.is_done
    known, work = run(problem, goal=18, known=18)
    assert known.is_done
    assert work < 3_000


def test_one_seed_gives_one_plan():
    """Counted work and a seed decide; another seed may dive elsewhere."""
    problem = order("a15", turning=True)
    one, two = (run(problem, seed=3) for _ in "ab")
    assert one[0].best == two[0].best
    assert one[1] == two[1]


def test_many_kinds_of_few_copies_are_left_to_the_search():
    """Patterns are no plan where each kind comes once: only the bound is raised."""
    rare = brute.problem_of(
        [(7 + n, 5 + n // 2, 1, False) for n in range(24)], [(40, 40, 1, None, True)]
    )
    plans, _ = run(rare)
    assert not plans.worthwhile
    assert plans.best is None
    assert plans.value >= 4  # by area: the parts cover 5234, a sheet 1600
    assert ColumnPlans(order("a15", turning=True), seed=0).worthwhile
