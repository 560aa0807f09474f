"""The cover of a need by sheets is the cheapest there is."""

from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from nesting.solve.least_cost import Offer, least_cost

offers = st.lists(
    st.builds(
        Offer,
        st.integers(0, 12),
        st.integers(0, 12),
        st.none() | st.integers(0, 3),
    ),
    min_size=1,
    max_size=4,
)


@given(offers=offers, need=st.integers(0, 40))
def test_the_cover_is_the_cheapest(offers: list[Offer], need: int) -> None:
    """It costs what the best of all mixes costs, counted out."""
    most = [
        min(
            40 if each.limit is None else each.limit,
            -(-need // each.holds) if each.holds else 0,
        )
        for each in offers
    ]
    costs = [
        sum(each.cost * n for each, n in zip(offers, mix, strict=True))
        for mix in itertools.product(*(range(n + 1) for n in most))
        if sum(each.holds * n for each, n in zip(offers, mix, strict=True)) >= need
    ]
    if costs:
        assert least_cost(offers, need) == min(costs)


def test_more_than_there_is_costs_all_there_is() -> None:
    """A need that the limits cannot meet costs every sheet: no infinity is said."""
    assert least_cost([Offer(5, 10, 2), Offer(3, 4, 1)], 100) == 13


def test_free_sheets_are_used_first() -> None:
    """Two rack pieces hold 14 of 20 at no cost; the rest takes one bought sheet."""
    assert least_cost([Offer(0, 7, 2), Offer(50, 10, None)], 20) == 50
    assert least_cost([Offer(0, 7, 2), Offer(50, 10, None)], 14) == 0
