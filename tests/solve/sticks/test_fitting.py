"""Jobs that fit by construction: sticks cut up, and exactly those sticks to be had."""

import random
from itertools import pairwise

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks import solve_sticks

INCH = 40640
MM = 1600


def cut_up(seed):
    """Return (stock, parts, kerf) of random sticks cut into 1 to 60 pieces in all."""
    rng = random.Random(seed)
    unit = rng.choice([1, 40, INCH // 64, INCH // 16, MM // 2, MM])
    kerf = rng.choice([0, unit, 3 * unit, INCH // 8 // unit * unit])
    lengths = [unit * rng.randint(300, 6000) for _ in range(rng.randint(1, 3))]
    lengths = [max(length, 4 * kerf) for length in lengths]
    most = rng.choice([3, 6, 12])
    share = rng.choice([1.0, 1.0, 0.98, 0.95, 0.9, 0.85])
    pieces = rng.randint(1, 60)
    used = [0] * len(lengths)
    parts = []
    while len(parts) < pieces:
        k = rng.randrange(len(lengths))
        used[k] += 1
        room = lengths[k] + kerf
        body = room if rng.random() < 0.2 else int(room * share)
        count = min(rng.randint(1, most), pieces - len(parts))
        marks = sorted(rng.sample(range(1, body // unit), count - 1))
        ends = [0, *(mark * unit for mark in marks), body]
        weights = [b - a for a, b in pairwise(ends)]
        parts += [weight - kerf for weight in weights if weight > kerf]
    rng.shuffle(parts)
    prices = rng.choice(["length", "any", "owned"])
    stock = [
        (length, {"length": length, "any": rng.randint(1, 900), "owned": 0}[prices], n)
        for length, n in zip(lengths, used, strict=True)
    ]
    if rng.random() < 0.5:
        return stock, [(length, 1) for length in parts], kerf
    return stock, [(length, parts.count(length)) for length in sorted({*parts})], kerf


@pytest.mark.parametrize("block", range(16))
def test_jobs_that_fit_are_wholly_placed(block, make, check):
    """Every job of a block of 16 is wholly placed on the sticks it was cut from."""
    for seed in range(16 * block, 16 * block + 16):
        stock, parts, kerf = cut_up(seed)
        problem = make(stock, parts, kerf)
        answer = solve_sticks(problem, seed=1, budget=Budget(work=300_000))
        check(problem, answer)
        assert not answer.unplaced, f"seed {seed}"


def test_full_sticks_of_three_are_found(make, check):
    """Eighteen sticks used up to the last tick, three odd parts on each, are found."""
    rng = random.Random(11)
    room, parts = 99_800, []
    for _ in range(18):
        first, second = rng.randint(20_000, 40_000), rng.randint(20_000, 40_000)
        parts += [first, second, room - first - second]
    rng.shuffle(parts)
    problem = make([(room - 40, 1, 18)], [(part - 40, 1) for part in parts], 40)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert not answer.unplaced
    assert answer.cost == answer.lower_bound == 18
