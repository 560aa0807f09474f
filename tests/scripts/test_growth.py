"""Growth is measured up to a good plan: one sheet more than the bound, or 2 %."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any
from xml.etree import ElementTree

import pytest

Loader = Callable[[str], ModuleType]


@pytest.fixture
def growth(script: Loader) -> ModuleType:
    """Load the script."""
    return script("growth")


def _row(growth: ModuleType, parts: int, good: float | None) -> Any:
    return growth.GrowthRow(
        seed=1,
        parts=parts,
        bound=10,
        value=11,
        good_after=good,
        checked_after=None if good is None else 2 * good,
        faults=(),
    )


@pytest.mark.parametrize(
    ("bound", "most"), [(0, 1), (5, 6), (50, 51), (99, 100), (100, 102), (1000, 1020)]
)
def test_a_good_plan_has_few_sheets_more(
    growth: ModuleType, bound: int, most: int
) -> None:
    """One sheet more is allowed, above a hundred sheets 2 %."""
    assert growth.goal(bound) == most


def test_a_search_ends_when_its_plan_is_good(
    script: Loader, growth: ModuleType
) -> None:
    """Twelve parts are planned at once; the plan is checked later than it is found."""
    row = growth.grow(script("bench.projects").counted_project(1, 12), 60.0)
    assert row.value <= growth.goal(row.bound)
    assert row.good_after is not None
    assert row.checked_after is not None
    assert row.good_after <= row.checked_after
    assert row.faults == ()


def test_medians_are_of_plans_that_became_good(growth: ModuleType) -> None:
    """The middle of 1, 2 and 9 s is 2 s; a size with a plan that did not has none."""
    rows = [_row(growth, 50, seconds) for seconds in (9.0, 1.0, 2.0)]
    rows += [_row(growth, 200, 5.0), _row(growth, 200, None)]
    assert growth.medians(rows) == {50: (2.0, 4.0), 200: None}


def test_the_picture_is_the_same_every_time(growth: ModuleType) -> None:
    """Equal rows give equal bytes of SVG, with a line for the search and the plan."""
    rows = [_row(growth, 50, 0.5), _row(growth, 200, 2.0), _row(growth, 1000, None)]
    drawn = growth.picture(rows, 60.0)
    assert drawn == growth.picture(rows, 60.0)
    assert drawn != growth.picture(rows[:1], 60.0)
    assert drawn != growth.picture(rows[:2], 60.0)  # what was late is marked
    assert ElementTree.fromstring(drawn).tag == "{http://www.w3.org/2000/svg}svg"
    assert growth.picture(rows[2:], 60.0)  # so it is where nothing else is
    assert growth.picture([], 60.0)


def test_a_result_and_its_picture_are_written(
    growth: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The file has a row for each size and seed, in their order."""
    out, drawn = tmp_path / "a" / "result.json", tmp_path / "b" / "growth.svg"
    words = ["--parts", "3", "6", "--projects", "2", "--out", str(out)]
    assert growth.main([*words, "--picture", str(drawn)]) == 0
    result = json.loads(out.read_text())
    assert result["kind"] == "growth"
    assert [(row["parts"], row["seed"]) for row in result["rows"]] == [
        (3, 1),
        (3, 2),
        (6, 1),
        (6, 2),
    ]
    assert drawn.read_bytes().startswith(b"<?xml")
    assert capsys.readouterr().out.count("\n") == 5
