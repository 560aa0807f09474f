"""What the sheet search answers: possible, repeatable, as good as it says."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.problem import Budget, Progress
from nesting.model.shop import Saw
from nesting.model.stock import Edges
from nesting.model.terms import Form, Guide, Plane, StoppedBy
from nesting.solve.reach import ways_to_cut
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

HERE = Path(__file__).parent
DATA = HERE.parents[1] / "data" / "sheets" / "published.json"
PUBLISHED: list[dict[str, Any]] = json.loads(DATA.read_text(encoding="utf-8"))[
    "instances"
]


def _load_checking() -> ModuleType:
    spec = importlib.util.spec_from_file_location("checking", HERE / "checking.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


checking = _load_checking()


def sheet(
    length: int, width: int, cost: int = 1, limit: int | None = None, **more: Any
) -> SheetStock:
    """Return a kind of sheet without trims."""
    given: dict[str, Any] = {
        "id": f"{length} x {width}",
        "grain_along_length": True,
        "trim": Edges(),
        **more,
    }
    return SheetStock(length=length, width=width, cost=cost, limit=limit, **given)


def problem(
    parts: list[tuple[int, int, int]],
    *stock: SheetStock,
    kerf: int = 0,
    turn: bool = True,
    stages: int | None = None,
    **more: Any,
) -> SheetProblem:
    """Return a problem with one kerf for all cuts."""
    return SheetProblem(
        parts=tuple(
            SheetPart(
                id=f"p{number}",
                length=length,
                width=width,
                quantity=quantity,
                grain_bound=not turn,
            )
            for number, (length, width, quantity) in enumerate(parts)
        ),
        stock=stock,
        kerf_x=kerf,
        kerf_y=kerf,
        least_kerf_x=kerf,
        least_kerf_y=kerf,
        stages=stages,
        **more,
    )


def published(row: dict[str, Any], *, turn: bool) -> SheetProblem:
    """Return a published instance."""
    length, width = row["sheet"]
    parts = [(w, h, count) for w, h, count in row["parts"]]
    return problem(parts, sheet(length, width), turn=turn)


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize("row", PUBLISHED, ids=lambda row: str(row["name"]))
def test_published_instances_keep_between_bound_and_best(
    row: dict[str, Any], turn: bool
) -> None:
    """Never below a known bound; own bound as good as the functions' on the data.

    Sources: in the data beside each instance. A guillotine plan can at best equal the
    best known free cutting, so more than one sheet above it would be a poor search.
    """
    asked = published(row, turn=turn)
    answer = solve_sheets(asked, seed=0, budget=Budget(work=4_000))
    checking.check_answer(asked, answer)
    assert not answer.unplaced
    least = row["dual_bound_turned"] if turn else row["bound"]
    assert answer.cost >= least
    assert answer.lower_bound >= (row["dual_bound_turned" if turn else "dual_bound"])
    best = row["best_free_turned" if turn else "best_free"]
    if best is not None:
        assert best <= answer.cost <= best + 1


@pytest.mark.parametrize(
    ("parts", "kerf", "sheets"),
    [
        # eight 24 x 24 in parts on a 48 x 96 sheet need its whole size: with a 1/8 in
        # kerf only three fit (arithmetic; units 1/32 in)
        ([(768, 768, 8)], 4, 3),
        # 23 15/16 along and 23 29/32 across: all eight just fit (24 in less kerfs)
        ([(765, 766, 8)], 4, 1),
        ([(768, 768, 8)], 0, 1),
    ],
)
def test_a_kerf_decides_what_fits(
    parts: list[tuple[int, int, int]], kerf: int, sheets: int
) -> None:
    """Two rows of four with three kerfs along and one across, exactly."""
    asked = problem(parts, sheet(3072, 1536), kerf=kerf)
    answer = solve_sheets(asked, seed=0, budget=Budget(work=2_000))
    checking.check_answer(asked, answer)
    assert answer.cost == sheets


def test_grain_is_kept_on_sheets_whose_grain_runs_across() -> None:
    """A bound part lies along the grain: unturned along it, turned across it."""
    along = problem([(100, 30, 3)], sheet(100, 100), turn=False)
    across = problem(
        [(100, 30, 3)], sheet(100, 100, grain_along_length=False), turn=False
    )
    for asked in (along, across):
        answer = solve_sheets(asked, seed=0, budget=Budget(work=100))
        checking.check_answer(asked, answer)
        assert answer.cost == 1


def test_a_part_too_long_along_the_grain_is_unplaced() -> None:
    """It would fit turned, but grain forbids it; the rest is still laid out."""
    asked = problem([(120, 30, 2), (80, 30, 1)], sheet(100, 150), turn=False)
    answer = solve_sheets(asked, seed=0, budget=Budget(work=100))
    checking.check_answer(asked, answer)
    assert answer.unplaced == (("p0", 2),)


def test_owned_sheets_go_first_when_they_save() -> None:
    """A free half sheet is used instead of buying a second whole one."""
    asked = problem(
        [(100, 100, 1), (50, 100, 1)],
        sheet(100, 100, cost=60),
        sheet(50, 100, cost=0, limit=1),
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=1_000))
    checking.check_answer(asked, answer)
    assert (answer.cost, answer.lower_bound) == (60, 60)
    assert answer.stopped_by is StoppedBy.PROOF


def test_the_cheapest_mix_of_sizes_is_found() -> None:
    """Two small sheets at 30 beat one large at 70 for two small parts."""
    asked = problem([(50, 50, 2)], sheet(100, 100, cost=70), sheet(50, 50, cost=30))
    answer = solve_sheets(asked, seed=0, budget=Budget(work=1_000))
    checking.check_answer(asked, answer)
    assert answer.cost == 60


def test_what_limits_leave_no_room_for_is_unplaced() -> None:
    """Five quarters on one sheet: four are placed, one is not."""
    asked = problem([(50, 50, 5)], sheet(100, 100, limit=1))
    answer = solve_sheets(asked, seed=0, budget=Budget(work=500))
    checking.check_answer(asked, answer)
    assert answer.unplaced == (("p0", 1),)


def test_the_stage_limit_is_kept_where_it_costs_nothing() -> None:
    """With two stages allowed, no tree is deeper than two."""
    asked = problem([(40, 30, 6), (60, 30, 2)], sheet(130, 100), stages=2)
    answer = solve_sheets(asked, seed=0, budget=Budget(work=3_000))
    checking.check_answer(asked, answer)
    assert answer.stopped_by is StoppedBy.PROOF
    assert all(checking.depth_of(tree) <= 2 for _, tree in answer.sheets)


def test_the_stage_limit_is_lifted_rather_than_leave_parts() -> None:
    """A pattern that needs three levels is found in spite of a limit of one."""
    asked = problem(
        [(60, 100, 1), (40, 50, 1), (20, 50, 2)],
        sheet(100, 100, limit=1),
        turn=False,
        stages=1,
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=5_000))
    checking.check_answer(asked, answer)
    assert not answer.unplaced


def test_only_cuts_a_saw_can_make_are_planned() -> None:
    """Under a rail of 1 m no piece longer than that is ripped."""
    rail = Saw(
        name="rail", kerf=0, planes=(Plane.RIP, Plane.CROSSCUT), longest_cut=1000
    )
    asked = problem(
        [(900, 300, 4), (1400, 900, 1)],
        sheet(2400, 1000),
        turn=False,
        ways=ways_to_cut((rail,), Form.SHEET, 18),
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=3_000))
    checking.check_answer(asked, answer)
    # the long part takes a rip of 1400 mm, which no cut under the rail makes
    assert answer.unplaced == (("p1", 1),)


def test_a_fence_that_does_not_open_far_enough_is_respected() -> None:
    """A table saw with a 500 fence rips nothing wider, and crosscuts on a long edge."""
    saw = Saw(
        name="table",
        kerf=0,
        planes=(Plane.RIP, Plane.CROSSCUT),
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.STOP,
        widest_rip=500,
        widest_crosscut=400,
    )
    asked = problem(
        [(800, 600, 1), (800, 350, 2)],
        sheet(2000, 1000),
        turn=False,
        ways=ways_to_cut((saw,), Form.SHEET, 18),
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=2_000))
    checking.check_answer(asked, answer)
    assert answer.unplaced == (("p0", 1),)


def test_a_fence_lets_no_narrow_strip_pass() -> None:
    """A strip below the least rip is left out, and so is one cut with its neighbour."""
    saw = Saw(
        name="table",
        kerf=0,
        planes=(Plane.RIP, Plane.CROSSCUT),
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.FENCE,
        narrowest_rip=40,
    )
    asked = problem(
        [(800, 40, 3), (800, 39, 2), (39, 39, 1), (700, 60, 1)],
        sheet(2000, 1000),
        turn=False,
        ways=ways_to_cut((saw,), Form.SHEET, 18),
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=2_000))
    checking.check_answer(asked, answer)
    assert answer.unplaced == (("p1", 2), ("p2", 1))


def test_the_same_seed_gives_the_same_answer() -> None:
    """Searches that end by counted work repeat; the budget's words say how it ended."""
    row = next(row for row in PUBLISHED if row["name"] == "cl07_020_02")
    asked = published(row, turn=True)
    answers = [solve_sheets(asked, seed=3, budget=Budget(work=3_000)) for _ in "ab"]
    assert answers[0] == answers[1]


def test_a_stop_is_heeded_and_progress_told() -> None:
    """A cancelled search returns a whole plan at once, and says it was cancelled."""
    row = next(row for row in PUBLISHED if row["name"] == "cl05_020_02")
    seen: list[Progress] = []
    budget = Budget(work=10**9, cancelled=lambda: len(seen) >= 2, progress=seen.append)
    asked = published(row, turn=False)
    answer = solve_sheets(asked, seed=0, budget=budget, scope="ply")
    checking.check_answer(asked, answer)
    assert answer.stopped_by in {StoppedBy.CANCELLED, StoppedBy.PROOF}
    assert all(one.scope == "ply" and one.value >= one.lower_bound for one in seen)


PLAIN = """
import json, sys
from nesting.model.stock import Edges
from nesting.solve.compile import may_compile
from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock
row = json.loads(sys.argv[1])
parts = tuple(
    SheetPart(id=f"p{n}", length=w, width=h, quantity=q, grain_bound=False)
    for n, (w, h, q) in enumerate(row["parts"])
)
stock = SheetStock(id="s", length=row["sheet"][0], width=row["sheet"][1], cost=1,
                   limit=None, grain_along_length=True, trim=Edges())
asked = SheetProblem(parts=parts, stock=(stock,), kerf_x=0, kerf_y=0, least_kerf_x=0,
                     least_kerf_y=0, stages=None)
engine = Engine(instance_of(asked), seed=5, bound=0)
if may_compile():
    engine.compile()
for _ in range(3):
    engine.start()
engine.search(4_000)
seen = [engine.best, engine.done]
engine.aim_at((5, 3, 1, 0, 0, 6, 8))
engine.polish(600)
print([*seen, engine.best, engine.done, engine.polished])
"""


def test_compiled_and_plain_searches_are_the_same() -> None:
    """One source, run compiled and as plain Python: the same forest, step for step."""
    row = next(row for row in PUBLISHED if row["name"] == "cl07_020_02")
    said = [
        subprocess.run(
            [sys.executable, "-c", PLAIN, json.dumps(row)],
            capture_output=True,
            text=True,
            check=True,
            env=dict(os.environ) | more,
        ).stdout
        for more in ({}, {"NESTING_NO_JIT": "1"})
    ]
    assert said[0] == said[1]
    assert ", 4600, " in said[0]  # 4,000 steps of the search and 600 of polishing


sizes = st.integers(5, 60)


@settings(max_examples=60)
@given(
    parts=st.lists(st.tuples(sizes, sizes, st.integers(1, 3)), min_size=1, max_size=7),
    kerf=st.integers(0, 4),
    turn=st.booleans(),
    stages=st.sampled_from([None, 2, 3]),
    stock=st.lists(
        st.builds(
            sheet,
            st.integers(40, 100),
            st.integers(40, 100),
            st.integers(0, 9),
            st.sampled_from([None, None, 1, 2]),
            grain_along_length=st.booleans(),
        ),
        min_size=1,
        max_size=3,
        unique_by=lambda each: each.id,
    ),
)
def test_any_answer_is_possible(
    parts: list[tuple[int, int, int]],
    kerf: int,
    turn: bool,
    stages: int | None,
    stock: list[SheetStock],
) -> None:
    """Whatever is asked, sizes, kerfs, grain, limits, cost and bound hold together."""
    asked = problem(parts, *stock, kerf=kerf, turn=turn, stages=stages)
    answer = solve_sheets(asked, seed=1, budget=Budget(work=60))
    checking.check_answer(asked, answer)
