"""Orders are measured by their bound, and a line says all that was counted."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from types import ModuleType

import pytest

Loader = Callable[[str], ModuleType]


@pytest.fixture
def orders(script: Loader) -> ModuleType:
    """Load the script."""
    return script("orders")


def test_the_mean_is_over_jobs_that_need_settings(orders: ModuleType) -> None:
    """11 for 10 and 20 for 20 are 5 % above the bound; 0 for 0 counts nothing."""
    assert orders.over([(11, 10), (20, 20), (0, 0)]) == Fraction(5, 100)
    assert orders.over([]) == 0


def test_a_line_of_a_sample(orders: ModuleType) -> None:
    """The garden bench is measured whole, and no bound is above the changes."""
    jobs = dict(orders.jobs(0, 1))
    line = orders.measure("bench", jobs["garden-bench"], 500)
    assert 0 < line.settings <= line.bound <= line.changes <= line.habit
    words = orders.told(line).split()
    assert words[:3] == ["bench", str(line.stock), str(line.cuts)]
    assert words[6] == str(line.changes)
