"""Square edges as makers ask for them, and how far lumber is rounded."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.errors import InputError
from nesting.files import quick_job, read_job
from nesting.model.job import Job

IN = 40640
JOB = """
[job]
name = "Stool"
units = "inch"

[materials.pine]
kind = "lumber"
LUMBER

[[materials.pine.stock]]
section = "2x4"
length = "8 ft"

[[materials.pine.stock]]
section = "1x4"
length = "8 ft"

[materials.ply]
kind = "sheet"
thickness = "1/2"

[[materials.ply.stock]]
length = 96
width = 48
"""


def read(
    folder: Path, cells: str, lumber: str = "", more: str = "", units: str = "inch"
) -> Job:
    """Return the job of one part: material, section, length, width and edges."""
    text = JOB.replace("LUMBER", lumber).replace("inch", units) + more
    (folder / "job.toml").write_text(text, encoding="utf-8")
    head = "part,qty,material,section,length,width,edges\n"
    (folder / "parts.csv").write_text(f"{head}leg,1,{cells}\n", encoding="utf-8")
    return read_job(folder)


def eased(job: Job) -> list[float]:
    """Return how far each kind of lumber is rounded, in inches."""
    return [each.eased / IN for m in job.materials for each in m.stock if each.section]


@pytest.mark.parametrize(
    ("cell", "square"), [("square", True), ("any", False), ("", False)]
)
def test_a_part_asks_for_square_edges(tmp_path: Path, cell: str, square: bool) -> None:
    """A part says so in its row; one that says nothing keeps what comes."""
    (part,) = read(tmp_path, f"pine,2x4,20,3,{cell}").parts
    assert part.square_edges is square


@pytest.mark.parametrize(
    ("lumber", "milling", "expected"),
    [
        ("", "", [1 / 8, 0]),  # common practice: 2x lumber is rounded, 1x is not
        ("eased = 0", "", [0, 0]),
        ('eased = "1/16"', "", [1 / 16, 1 / 16]),
        ("", "[milling]\neased = '3/16'", [3 / 16, 0]),
        ("eased = 0", "[milling]\neased = '3/16'", [0, 0]),
    ],
)
def test_how_far_lumber_is_rounded(
    tmp_path: Path, lumber: str, milling: str, expected: list[float]
) -> None:
    """The material goes before the shop's allowance, and that before the usual."""
    job = read(tmp_path, "pine,2x4,20,3,", lumber, milling)
    assert eased(job) == expected
    assert [s.eased / IN for s in job.materials[0].sections] == expected


def test_lumber_of_a_metric_job_is_rounded_by_3_mm(tmp_path: Path) -> None:
    """1/8 in to the nearest half millimetre."""
    job = read(tmp_path, "pine,2x4,500,60,", units="mm")
    assert eased(job) == [3 * 1600 / IN, 0]


def test_lumber_of_an_option_is_rounded_too(tmp_path: Path) -> None:
    """A part list without a job folder asks for square edges as well."""
    path = tmp_path / "parts.csv"
    path.write_text("part,qty,length,width,edges\nleg,1,20,3,square\n")
    job = quick_job(path, sticks=["pine 2x4 = 96"])
    assert (eased(job), job.parts[0].square_edges) == ([1 / 8], True)


@pytest.mark.parametrize(
    ("cells", "word"),
    [
        ("pine,2x4,20,3,round", "edges"),
        ("ply,,20,3,square", "only lumber has rounded edges"),
        ("pine,2x4,20,,square", "as wide as 2x4 keeps its rounded edges"),
    ],
)
def test_edges_that_cannot_be(tmp_path: Path, cells: str, word: str) -> None:
    """One sentence, at the cell, for what is no word and what no lumber gives."""
    with pytest.raises(InputError) as caught:
        read(tmp_path, cells)
    (fault,) = caught.value.faults
    assert word in str(fault)
    assert (fault.line, fault.field) == (2, "edges")


def test_a_part_as_wide_as_sharp_edged_lumber(tmp_path: Path) -> None:
    """A 1x4 has no rounded edges to lose."""
    assert read(tmp_path, "pine,1x4,20,,square").parts[0].square_edges
