"""A proof of a mix is a proof: every mix counted out is at least as dear."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import gcd

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.certificate import Leaf, Split
from nesting.solve.proof import (
    Demand,
    Forked,
    Priced,
    Proof,
    prove,
    rows_of,
    scale_of,
    written,
)

KINDS = st.lists(
    st.tuples(
        st.integers(0, 12),
        st.none() | st.integers(0, 3),
        st.integers(0, 6),
        st.integers(0, 6),
    ),
    min_size=1,
    max_size=3,
)
NEEDS = st.tuples(st.integers(0, 14), st.integers(0, 14))


def least(kinds: list[tuple[int, int | None, int, int]], needs: tuple[int, int]) -> int:
    """The least cost of a mix, all of them counted out; -1 where there is none.

    Of a kind without limit no more than 14 can be of use.
    """
    costs = []
    for mix in product(*(range(15 if k[1] is None else k[1] + 1) for k in kinds)):
        if all(
            sum(n * kind[2 + row] for n, kind in zip(mix, kinds, strict=True)) >= need
            for row, need in enumerate(needs)
        ):
            costs.append(sum(n * k[0] for n, k in zip(mix, kinds, strict=True)))
    return min(costs, default=-1)


def prices_hold(
    proof: Proof,
    kinds: list[tuple[int, int | None, int, int]],
    needs: tuple[int, int],
    spans: list[tuple[int, int | None]],
    value: int,
) -> bool:
    """Add a proof up again, in fractions, by the words of the module."""
    if isinstance(proof, Forked):
        low, high = spans[proof.kind]
        few = proof.at if high is None else min(high, proof.at)
        most, more = [*spans], [*spans]
        most[proof.kind], more[proof.kind] = (low, few), (max(low, proof.at + 1), high)
        return prices_hold(proof.most, kinds, needs, most, value) and prices_hold(
            proof.more, kinds, needs, more, value
        )
    assert isinstance(proof, Priced)
    if any(high is not None and low > high for low, high in spans):
        return True
    total = proof.price * needs[proof.row]
    for kind, (low, high) in zip(kinds, spans, strict=True):
        reduced = kind[0] - proof.price * kind[2 + proof.row]
        if reduced < 0 and high is None:
            return False
        total += reduced * (low if reduced >= 0 else (high or 0))
    step = gcd(*(kind[0] for kind in kinds)) or 1
    return -(-total // step) * step >= value


@settings(deadline=None, derandomize=True, max_examples=300)
@given(kinds=KINDS, needs=NEEDS)
def test_the_least_mix_is_proved_and_no_more(
    kinds: list[tuple[int, int | None, int, int]], needs: tuple[int, int]
) -> None:
    """Just the least cost is proved, leaf by leaf; a cent more is not."""
    best = least(kinds, needs)
    rows = [Demand(holds=tuple(k[2 + r] for k in kinds), need=needs[r]) for r in (0, 1)]
    costs, limits = [k[0] for k in kinds], [k[1] for k in kinds]
    spans = [(0, limit) for limit in limits]
    if best < 0:
        best = 1000  # without a mix whatever is claimed is true
    else:
        assert prove(costs, limits, rows, best + 1) is None
    if best:
        proof = prove(costs, limits, rows, best)
        assert proof is not None
        assert prices_hold(proof, kinds, needs, spans, best)


def test_a_tree_is_written_in_whole_numbers() -> None:
    """Four to a dear one of 10, one to a cheap one of 7: nine cost 2 * 10 + 7.

    By hand: with two dear ones at most, the ninth is worth 7; three cost 30.
    """
    rows = [Demand(holds=(1, 1), need=1), Demand(holds=(4, 1), need=9)]
    proof = prove([10, 7], [None, None], rows, 27)
    assert proof is not None
    assert rows_of(proof) == [1]
    scale = scale_of(proof)
    assert scale is not None
    tree = written(proof, ["dear", "cheap"], [1], scale)
    assert isinstance(tree, Split)
    assert (tree.offer, tree.at) == ("dear", 2)
    assert isinstance(tree.most, Leaf)
    (weight,) = tree.most.weights
    assert Fraction(weight, scale) == 7


def test_it_gives_up_where_it_may_not_go_on() -> None:
    """The same tree has three nodes: with two there is none."""
    rows = [Demand(holds=(4, 1), need=9)]
    assert prove([10, 7], [None, None], rows, 27, most_nodes=3) is not None
    assert prove([10, 7], [None, None], rows, 27, most_nodes=2) is None
    assert prove([10, 7], [None, None], [], 1) is None
