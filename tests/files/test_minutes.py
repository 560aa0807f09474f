"""The rates of the time estimate: the usual ones, or those of the shop."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting import read_job
from nesting.errors import InputError
from nesting.model.job import Job
from nesting.model.shop import Minutes

JOB = """
[job]
name = "rack"
units = "inch"
[materials.ply]
kind = "sheet"
thickness = "3/4"
[[materials.ply.stock]]
length = 96
width = 48
"""


def read(folder: Path, more: str) -> Job:
    """Read a job of one part with more tables."""
    (folder / "job.toml").write_text(JOB + more, encoding="utf-8")
    (folder / "parts.csv").write_text("part,qty,length,width\na,1,20,10\n", "utf-8")
    return read_job(folder)


def test_the_usual_rates(tmp_path: Path) -> None:
    """3 min a setting, 1 min a cut, 5 min a sheet (common practice)."""
    assert read(tmp_path, "").shop.minutes == Minutes(setting=3, cut=1, sheet=5)


def test_rates_of_the_shop(tmp_path: Path) -> None:
    """What is not said stays as usual."""
    job = read(tmp_path, "[shop]\nminutes = { setting = 6, sheet = 0 }\n")
    assert job.shop.minutes == Minutes(setting=6, cut=1, sheet=0)


@pytest.mark.parametrize(
    ("rates", "where"),
    [("{ setting = -1 }", "setting"), ("{ cuts = 2 }", "cuts"), ("3", "minutes")],
)
def test_rates_that_cannot_be(tmp_path: Path, rates: str, where: str) -> None:
    """The message names the key that is wrong."""
    with pytest.raises(InputError, match=where):
        read(tmp_path, f"[shop]\nminutes = {rates}\n")
