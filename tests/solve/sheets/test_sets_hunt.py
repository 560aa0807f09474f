"""Hunts among sheets that searches go through: what is noted, and what comes of it."""

from collections import Counter
from dataclasses import replace

import pytest
from solve.sheets.test_sets_dive import check, cut_up

from nesting.model.tree import Leaf
from nesting.solve.compile import may_compile
from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.pattern_table import count_of, grown, taken
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.sets_hunt import SetHunt, may_hunt
from nesting.solve.sheets.sets_seen import Notes, SeenSets, weighed

ONE = 1_000_000


def planned_for(problem):
    """Return what lays sets out, each part as often as it is wanted."""
    ids = [part.id for part in problem.parts]
    sizes = [(part.length, part.width) for part in problem.parts]
    kerfs = (problem.kerf_x, problem.kerf_y)

    def planned(cuts):
        left = [part.quantity for part in problem.parts]
        kept = [each for each in (taken(cut, left) for cut in cuts) if each]
        return tuple(("s0", grown(cut, ids, sizes, kerfs)[0]) for cut in kept)

    return planned


def areas(problem):
    sheet = problem.stock[0].length * problem.stock[0].width
    return [part.length * part.width * ONE // sheet for part in problem.parts]


def hunt_for(problem, sheets, *, seed=0, plain=False, notes=None):
    return SetHunt(
        problem,
        sheets,
        worths=areas(problem),
        most=ONE,
        planned=planned_for(problem),
        notes=notes,
        seed=seed,
        plain=plain,
    )


def followed(hunt, most):
    """Let a hunt go on for some effort; return that of its slices."""
    slices = []
    for units in hunt.run():
        slices.append(units)
        if sum(slices) >= most:
            break
    return slices


def read(notes, kinds):
    """Return the sets of a notebook as counts of kinds, by a reading of its own."""
    notes.settle()
    _, pieces, ends = notes.read()
    sets, begin = [], 0
    for end in ends.tolist():
        found = [int(piece) // 2 for piece in pieces[begin:end] if piece >= 0]
        sets.append(Counter(found))
        assert all(kind < kinds for kind in found)
        begin = end
    return sets


@pytest.mark.parametrize("kerf", [0, 2])
def test_notes_tell_the_sheets_of_the_best_forest(kerf):
    """Whatever sheets a forest has at a look, they are noted, each set once."""
    problem = cut_up(3, 12, kerf=kerf)
    notes = Notes(problem)
    engine = Engine(instance_of(problem), seed=1, bound=0)
    engine.start()
    for _ in range(5):
        engine.search(100, notes=notes.book)
        ids = {part.id: kind for kind, part in enumerate(problem.parts)}
        present = trees_of(engine._present, engine.instance)
        noted = read(notes, len(ids))
        for _, tree in present:
            parts = Counter(ids[leaf.blank] for leaf in leaves(tree))
            assert parts in noted
    assert len({frozenset(each.items()) for each in noted}) == len(noted)


def leaves(tree):
    if isinstance(tree, Leaf):
        yield tree
        return
    for child in tree.children:
        yield from leaves(child)


def test_every_set_met_can_be_cut_as_noted():
    problem = cut_up(4, 12, kerf=1)
    seen = SeenSets(problem, 12, others=None, seed=2, plain=True)
    for _ in seen.gather(weighed(problem, areas(problem), ONE), 1_000):
        pass
    listed = seen.listed(own=True)
    assert len(listed.rows) > 100
    ids = [part.id for part in problem.parts]
    sizes = [(part.length, part.width) for part in problem.parts]
    for number, row in enumerate(listed.rows):
        cut = listed.cut(number)
        counts = count_of(cut)
        assert [counts.get(kind, 0) for kind in range(len(ids))] == row.tolist()
        _, (x, y) = grown(cut, ids, sizes, (1, 1))
        assert x <= problem.stock[0].length
        assert y <= problem.stock[0].width


@pytest.mark.skipif(not may_compile(), reason="nothing is compiled here")
def test_notes_are_the_same_with_the_compiler():
    problem = cut_up(5, 12)
    books = []
    for is_compiled in (False, True):
        notes = Notes(problem)
        engine = Engine(instance_of(problem), seed=3, bound=0)
        if is_compiled:
            engine.compile()
        engine.start()
        engine.search(500, notes=notes.book)
        notes.settle()
        books.append([each.tolist() for each in notes.read()])
    assert books[0] == books[1]


@pytest.mark.parametrize(("seed", "kerf"), [(1, 0), (2, 0), (3, 1), (4, 2)])
def test_the_optimum_is_found(seed, kerf):
    """Of problems that were cut up: as many sheets as they were cut from."""
    problem = cut_up(seed, 14, kerf=kerf)
    assert may_hunt(problem)
    hunt = hunt_for(problem, 14)
    followed(hunt, 3_000_000)
    assert hunt.plan is not None
    check(problem, hunt.plan, 14)


def test_fewer_sheets_than_long_parts_are_never_enough():
    """Every long part is more than half as long as a sheet, and as wide."""
    problem = cut_up(5, 14)
    hunt = hunt_for(problem, 13)
    followed(hunt, 500_000)
    assert hunt.plan is None
    assert hunt.is_short
    assert hunt.rows.max() == 1


def test_the_same_seed_gives_the_same_plan():
    problem = cut_up(6, 14)
    one, two = (hunt_for(problem, 14, seed=3) for _ in range(2))
    assert followed(one, 3_000_000) == followed(two, 3_000_000)
    assert one.plan == two.plan is not None


@pytest.mark.parametrize("stages", [3, 4])
def test_sheets_keep_the_stage_limit(stages):
    problem = replace(cut_up(8, 14), stages=stages)
    hunt = hunt_for(problem, 15)
    followed(hunt, 3_000_000)
    assert hunt.plan is not None
    check(problem, hunt.plan, 15)


def test_what_another_search_has_met_may_be_enough():
    """A round comes before any search of its own."""
    problem = cut_up(9, 14)
    notes = Notes(problem)
    engine = Engine(instance_of(problem), seed=4, bound=14)
    engine.compile()
    engine.start()
    engine.search(60_000, notes=notes.book)
    hunt = hunt_for(problem, 14, notes=notes)
    notes.settle()
    before = notes.count
    followed(hunt, 400_000)
    notes.settle()
    assert notes.count == before > 0
    assert hunt.plan is not None
    check(problem, hunt.plan, 14)


def test_parts_that_count_by_worth_and_area():
    problem = cut_up(2, 12)
    even = weighed(problem, areas(problem), ONE)
    assert {part.weight for part in even.parts} <= {99, 100}
    dear = [2 * worth for worth in areas(problem)]
    assert all(part.weight in (149, 150) for part in weighed(problem, dear, ONE).parts)
    assert all(part.weight == 50 for part in weighed(problem, [0] * 48, ONE).parts)


@pytest.mark.parametrize(
    "change",
    [
        lambda p: replace(p, parts=p.parts[:40]),
        lambda p: replace(p, parts=(replace(p.parts[0], quantity=0), *p.parts[1:])),
        lambda p: replace(p, stock=(*p.stock, replace(p.stock[0], id="s1"))),
    ],
    ids=["few parts", "a part not wanted", "two kinds of sheet"],
)
def test_no_hunt(change):
    problem = cut_up(2, 14)
    assert may_hunt(problem)
    assert not may_hunt(change(problem))


def test_nothing_is_read_before_it_is_settled():
    """A search at work may note more at any moment; readers must not see when."""
    problem = cut_up(9, 12)
    notes = Notes(problem)
    seen = SeenSets(problem, 12, others=notes, seed=0, plain=True)
    engine = Engine(instance_of(problem), seed=4, bound=0)
    engine.start()
    sizes = []
    for is_settled in (False, True, False):
        engine.search(300, notes=notes.book)
        if is_settled:
            notes.settle()
        sizes.append(len(seen.listed(own=False).rows))
    assert sizes[0] == 0 < sizes[1] == sizes[2]


def test_the_same_weights_go_on_with_the_same_search():
    problem = cut_up(4, 12)
    one, two = (SeenSets(problem, 0, others=None, seed=2, plain=True) for _ in "12")
    for _ in one.gather(problem, 8_000):
        pass
    for _ in range(2):
        for _ in two.gather(problem, 4_000):
            pass
    assert one.listed(own=True).rows.tolist() == two.listed(own=True).rows.tolist()
