"""Projects made by chance are what they are said to be; sizes are added up anew here.

An inch is 40640 ticks, so a sixteenth is 2540 and a kerf of 1/8 in is 5080.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from nesting.files import quick_job
from nesting.model.job import Job
from nesting.model.terms import Grain

Loader = Callable[[str], ModuleType]
KERF = 5080
SHEET = (96 * 40640 + KERF) * (48 * 40640 + KERF)


@pytest.fixture
def projects(script: Loader) -> ModuleType:
    """Load the generator."""
    return script("bench.projects")


def _area(job: Job) -> int:
    return sum(
        part.quantity * (part.length + KERF) * ((part.width or 0) + KERF)
        for part in job.parts
    )


@pytest.mark.parametrize("seed", range(1, 49))
def test_a_full_project_fills_its_sheets(projects: ModuleType, seed: int) -> None:
    """Parts are 43 to 77, fill 4 to 6 sheets to 90 to 94 %, half keep their grain."""
    project = projects.full_project(seed)
    job = project.job
    pieces = sum(part.quantity for part in job.parts)
    assert project.pieces == pieces
    assert 43 <= pieces <= 77
    sheets = -(-_area(job) // SHEET)
    assert sheets in (4, 5, 6)
    assert 0.90 <= _area(job) / (sheets * SHEET) <= 0.94
    assert project.fill(sheets) == pytest.approx(_area(job) / (sheets * SHEET))
    locked = sum(p.quantity for p in job.parts if p.grain is Grain.LENGTH)
    assert project.locked == locked
    assert abs(2 * locked - pieces) <= 2
    assert job.stages == 4


@pytest.mark.parametrize("seed", range(1, 49))
def test_every_part_can_be_cut(projects: ModuleType, seed: int) -> None:
    """Sizes are whole sixteenths, above an inch, and lie on a sheet along its grain."""
    job = projects.full_project(seed).job
    assert len({part.name for part in job.parts}) == len(job.parts)
    for part in job.parts:
        width = part.width or 0
        assert part.length % 2540 == width % 2540 == 0
        assert 40640 < part.length <= 96 * 40640
        assert 40640 < width <= 48 * 40640


@pytest.mark.parametrize("count", [1, 12, 50, 333])
def test_a_counted_project_has_so_many_parts(projects: ModuleType, count: int) -> None:
    """As many parts as are asked for, however many sheets they take."""
    project = projects.counted_project(7, count)
    assert sum(part.quantity for part in project.job.parts) == count == project.pieces
    assert project.area * 2540**2 == _area(project.job)


def test_a_seed_makes_one_project(projects: ModuleType) -> None:
    """The same seed makes the same, another seed another."""
    assert projects.full_project(3) == projects.full_project(3)
    assert projects.full_project(3).job.parts != projects.full_project(4).job.parts
    assert projects.counted_project(3, 40) == projects.counted_project(3, 40)


def test_the_part_list_is_read_back(projects: ModuleType, tmp_path: Path) -> None:
    """The written list holds the parts of the job, size by size and grain by grain."""
    project = projects.counted_project(2, 30)
    path = tmp_path / "parts.csv"
    path.write_text(project.part_list())
    read = quick_job(path, sheets=["ply = 96 x 48 x 3/4"], units="inch")
    assert [(p.length, p.width, p.quantity, p.grain) for p in read.parts] == [
        (p.length, p.width, p.quantity, p.grain) for p in project.job.parts
    ]
    head = next(csv.reader(io.StringIO(project.part_list())))
    assert head == ["part", "qty", "length", "width", "grain"]
