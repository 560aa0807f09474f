"""Plans of many sheets: patches lose nothing, keep every rule, and save sheets."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator

from nesting.model.problem import Budget
from nesting.model.stock import Edges
from nesting.model.tree import Leaf, Tree
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock
from nesting.solve.sheets.replant import keeps_rules
from nesting.solve.sheets.squeeze import Squeeze
from nesting.solve.sheets.team import MANY_PARTS


def many(count: int, seed: int, stages: int | None = 3) -> SheetProblem:
    """Return a problem of many small parts on two kinds of sheet, one of few."""
    rng = random.Random(seed)

    def sheet(name: str, size: int, cost: int, limit: int | None) -> SheetStock:
        return SheetStock(
            id=name,
            length=size,
            width=60,
            cost=cost,
            limit=limit,
            grain_along_length=True,
            trim=Edges(),
        )

    return SheetProblem(
        parts=tuple(
            SheetPart(
                id=f"p{n}",
                length=rng.randint(12, 50),
                width=rng.randint(8, 30),
                quantity=1,
                grain_bound=n % 2 == 0,
            )
            for n in range(count)
        ),
        stock=(sheet("large", 100, 10, None), sheet("small", 60, 5, 4)),
        kerf_x=1,
        kerf_y=1,
        least_kerf_x=1,
        least_kerf_y=1,
        stages=stages,
    )


def leaves(tree: Tree) -> Iterator[str]:
    """Yield the parts of a tree."""
    if isinstance(tree, Leaf):
        yield tree.blank
    else:
        for child in tree.children:
            yield from leaves(child)


def placed(squeeze: Squeeze) -> Counter[str]:
    """Count the parts on all sheets."""
    return Counter(name for _, tree in squeeze.sheets for name in leaves(tree))


def test_patches_lose_no_part_and_keep_the_rules() -> None:
    """After any patch: each part once, limits kept, stages kept, the cost no higher."""
    asked = many(60, seed=4)
    engine = Engine(instance_of(asked), seed=0, bound=0)
    engine.start()
    squeeze = Squeeze(engine.best, engine.instance, seed=1)
    wanted = placed(squeeze)
    assert sum(wanted.values()) == 60
    for _ in range(12):
        before = squeeze.cost
        one = squeeze.patch()
        assert one is not None
        two = squeeze.patch(one.taken)
        patches = [one] if two is None else [one, two]
        if two is not None:
            assert not set(one.taken) & set(two.taken)
        for patch in patches:
            patch.engine.search(300)
        squeeze.take_in(patches)
        assert placed(squeeze) == wanted
        assert squeeze.cost <= before
        assert Counter(stock for stock, _ in squeeze.sheets)["small"] <= 4
        assert keeps_rules(squeeze.forest, squeeze.instance)


def test_patches_save_sheets() -> None:
    """From a first greedy plan, with room in it, at least one sheet is saved."""
    asked = many(80, seed=2, stages=None)
    engine = Engine(instance_of(asked), seed=0, bound=0)
    engine.start()
    squeeze = Squeeze(engine.best, engine.instance, seed=1)
    first = squeeze.cost
    for _ in range(25):
        patch = squeeze.patch()
        assert patch is not None
        patch.engine.search(1_000)
        squeeze.take_in([patch])
    assert squeeze.cost < first


def test_too_few_sheets_make_no_patch() -> None:
    """With two sheets there is nothing to empty one into but the other."""
    asked = many(6, seed=1)
    engine = Engine(instance_of(asked), seed=0, bound=0)
    engine.start()
    squeeze = Squeeze(engine.best, engine.instance, seed=1)
    assert len(squeeze.sheets) <= 2
    assert squeeze.patch() is None


def test_a_large_problem_is_the_same_each_time() -> None:
    """With so many parts that patches are used, counted work repeats."""
    asked = many(MANY_PARTS + 10, seed=9)
    answers = [solve_sheets(asked, seed=3, budget=Budget(work=120_000)) for _ in "ab"]
    assert answers[0] == answers[1]
    assert not answers[0].unplaced
