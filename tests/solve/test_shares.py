"""Shares of a budget add up, and the worst end of several searches is told."""

from __future__ import annotations

import time

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.shares import share_of, what_ended


def test_a_share_of_the_work_is_never_nothing() -> None:
    """A tenth of 1000 and of 5."""
    assert share_of(Budget(work=1000), 0.1, 0.1).work == 100
    assert share_of(Budget(work=5), 0.1, 0.1).work == 1
    assert share_of(Budget(work=5), 0.1, 0.1).deadline is None


def test_a_share_of_the_time_ends_before_the_whole() -> None:
    """Half of the hour that is left; nothing of an hour that is over."""
    now = time.monotonic()
    half = share_of(Budget(deadline=now + 3600), 0.5, 0.5).deadline
    assert half is not None
    assert now + 1700 < half < now + 1900
    over = share_of(Budget(deadline=now - 3600), 0.5, 0.5).deadline
    assert over is not None
    assert over >= now


def test_the_clock_counts_more_than_the_work() -> None:
    """And what the maker stopped more than the clock."""
    ends = [StoppedBy.PROOF, StoppedBy.WORK, StoppedBy.CLOCK]
    assert what_ended(ends[:1]) is StoppedBy.PROOF
    assert what_ended(ends) is StoppedBy.CLOCK
    assert what_ended([*ends, StoppedBy.CANCELLED]) is StoppedBy.CANCELLED
