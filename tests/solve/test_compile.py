"""Compiled kernels: where they are kept, and what happens where they cannot be."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from nesting.solve.compile import (
    cache_folder,
    is_complete,
    mark_complete,
    may_compile,
)
from nesting.solve.kernel import draw, seeded
from nesting.solve.sheets.engine import KERNELS

LONGEST_WAIT = 120.0  # seconds


def test_the_generator_is_the_one_in_print() -> None:
    """Ten thousand numbers from 1 lead to 399268537 with the multiplier 48271.

    Park, Miller & Stockmeyer, Comm. ACM 36 (1993) 105-110: the check value of their
    revised generator.
    """
    state = [1]
    for _ in range(10_000):
        draw(state)
    assert state == [399_268_537]


def test_seeds_lie_apart() -> None:
    """Neighbouring seeds and streams start from different numbers in the range."""
    starts = {seeded(seed, stream) for seed in range(100) for stream in range(4)}
    assert len(starts) == 400
    assert all(0 < start < 2_147_483_647 for start in starts)


def test_the_cache_is_named_by_the_sources(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Other sources, other folder; the mark says that everything is there."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    folder = cache_folder(KERNELS)
    assert folder is not None
    assert folder.parent == tmp_path
    assert folder != cache_folder(KERNELS[:1])
    assert not is_complete(KERNELS)
    mark_complete(KERNELS)
    assert is_complete(KERNELS)


@pytest.mark.parametrize("system", ["linux", "darwin", "win32"])
def test_the_users_own_cache_is_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, system: str
) -> None:
    """Each system has its place for caches, within the home."""
    for name in ("NUMBA_CACHE_DIR", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(sys, "platform", system)
    folder = cache_folder(KERNELS)
    assert folder is not None
    assert tmp_path in folder.parents
    assert "nesting" in folder.parts


def test_where_nothing_can_be_written_nothing_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file in the place of the folder: no cache, no error."""
    (tmp_path / "file").touch()
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "file"))
    assert cache_folder(KERNELS) is None
    assert not is_complete(KERNELS)
    mark_complete(KERNELS)


@pytest.mark.parametrize("switch", ["NESTING_NO_JIT", "NUMBA_DISABLE_JIT"])
def test_the_compiler_can_be_switched_off(
    monkeypatch: pytest.MonkeyPatch, switch: str
) -> None:
    """Either variable keeps everything plain; 0 does not."""
    for name in ("NESTING_NO_JIT", "NUMBA_DISABLE_JIT"):
        monkeypatch.delenv(name, raising=False)
    assert may_compile()
    monkeypatch.setenv(switch, "0")
    assert may_compile()
    monkeypatch.setenv(switch, "1")
    assert not may_compile()


def run(code: str, **more: str) -> str:
    """Run some code in a fresh process and return what it says."""
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        timeout=LONGEST_WAIT,
        env=dict(os.environ) | more,
    ).stdout.strip()


def test_a_small_job_needs_no_compiler() -> None:
    """The proof comes before numba is so much as imported."""
    code = """
import sys
from nesting.model.problem import Budget
from nesting.model.stock import Edges
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock
part = SheetPart(id="a", length=40, width=30, quantity=8, grain_bound=False)
stock = SheetStock(id="s", length=100, width=100, cost=1, limit=None,
                   grain_along_length=True, trim=Edges())
asked = SheetProblem(parts=(part,), stock=(stock,), kerf_x=1, kerf_y=1,
                     least_kerf_x=1, least_kerf_y=1)
answer = solve_sheets(asked, seed=0, budget=Budget())
print(answer.cost, answer.stopped_by, "numba" in sys.modules)
"""
    assert run(code) == "2 proof False"


def test_preparing_fills_the_cache_once(tmp_path: Path) -> None:
    """`python -m nesting.solve.warm` leaves what the next process loads."""
    told = {"NUMBA_CACHE_DIR": str(tmp_path)}
    code = "from nesting.solve.warm import is_warm; print(is_warm())"
    assert run(code, **told) == "False"
    command = [sys.executable, "-m", "nesting.solve.warm"]
    for _ in range(2):
        subprocess.run(
            command,
            check=True,
            timeout=LONGEST_WAIT,
            env=dict(os.environ) | told,
        )
    assert run(code, **told) == "True"
    assert list(tmp_path.rglob("*.nbi"))


def test_without_the_compiler_there_is_nothing_to_wait_for(tmp_path: Path) -> None:
    """Where it is switched off, the solver is as warm as it will be."""
    code = "from nesting.solve.warm import is_warm; print(is_warm())"
    off = {"NUMBA_CACHE_DIR": str(tmp_path), "NESTING_NO_JIT": "1"}
    assert run(code, **off) == "True"
