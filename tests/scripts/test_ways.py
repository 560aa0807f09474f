"""What ways save is measured, and a line says all that was counted."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType

import pytest

Loader = Callable[[str], ModuleType]


@pytest.fixture
def ways(script: Loader) -> ModuleType:
    """Load the script."""
    return script("ways")


def test_a_line_of_a_sample(
    ways: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    """The hall bench is planned in all its ways; nothing saved is below nothing."""
    jobs = dict(ways.jobs(0, 1))
    saved, most = ways.measure("bench", jobs["hall-bench"], 2_000)
    words = capsys.readouterr().out.split()
    stock, changes, same, stock_of_best, best = (int(word) for word in words[1:6])
    assert stock_of_best <= stock + 1
    assert best <= same <= changes
    assert saved == 1 - best / changes
    assert 0 <= most < 1
