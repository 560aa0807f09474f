"""What is compiled before the clock starts, and for which jobs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from nesting.files import read_job
from nesting.model.job import Job, MaterialKind
from nesting.model.terms import Plane
from nesting.pipeline import ready

if TYPE_CHECKING:
    import pytest

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "hall-bench"


def preparations(
    job: Job, monkeypatch: pytest.MonkeyPatch, *, is_warm: bool
) -> list[str]:
    """Return what happens when a job is made ready."""
    found: list[str] = []
    monkeypatch.setattr(ready, "is_warm", lambda: is_warm)
    monkeypatch.setattr(ready, "warm", lambda: found.append("compiled"))
    ready.prepare(job, lambda text: found.append(text.split()[0]))
    return found


def of_kind(job: Job, kind: MaterialKind) -> Job:
    """Return a job with its materials of one kind only."""
    return replace(job, materials=tuple(m for m in job.materials if m.kind is kind))


def crosscut_only(job: Job) -> Job:
    """Return a job whose shop rips nothing."""
    saws = tuple(
        replace(saw, planes=(Plane.CROSSCUT,))
        for saw in job.shop.saws
        if Plane.CROSSCUT in saw.planes
    )
    return replace(job, shop=replace(job.shop, saws=saws))


def test_what_needs_a_search_is_compiled_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sheets always do, lumber where it can be ripped; a warm cache takes no word."""
    job = read_job(SAMPLE)
    sheets = of_kind(job, MaterialKind.SHEET)
    lumber = of_kind(job, MaterialKind.LUMBER)
    assert sheets.materials
    assert lumber.materials
    for each in (sheets, lumber, crosscut_only(sheets)):
        assert preparations(each, monkeypatch, is_warm=False) == [
            "preparing",
            "compiled",
        ]
        assert preparations(each, monkeypatch, is_warm=True) == []


def test_lumber_that_is_only_crosscut_waits_for_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Sticks are solved without a compiler."""
    job = crosscut_only(of_kind(read_job(SAMPLE), MaterialKind.LUMBER))
    assert preparations(job, monkeypatch, is_warm=False) == []
