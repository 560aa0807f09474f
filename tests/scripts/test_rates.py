"""Rate, start and memory are measured on small processes; no clock is held to."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from nesting.files import read_plan
from nesting.verify import verify

Loader = Callable[[str], ModuleType]
pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="a child's memory cannot be measured there"
)


@pytest.fixture
def rates(script: Loader) -> ModuleType:
    """Load the script."""
    return script("rates")


def test_the_memory_of_a_child_is_its_own(rates: ModuleType) -> None:
    """A child that fills 128 MiB holds little more; one that does not, much less."""
    code = (
        "import sys; sys.path.insert(0, 'scripts'); from rates import usage_of; "
        "words = [sys.executable, '-c']; "
        "small = usage_of([*words, 'print(0)']); "
        "large = usage_of([*words, \"print(len(b'x' * (128 << 20)))\"]); "
        "print(large.said, small.memory, large.memory, large.cpu)"
    )
    said = rates.usage_of([sys.executable, "-c", code]).said.split()
    filled, small, large, cpu = map(float, said)
    assert filled == 128 << 20
    assert 128 < large < 160
    assert 4 < small < 64
    assert cpu > 0


def test_a_command_that_fails_is_told(rates: ModuleType) -> None:
    """What a failed command said is in the error."""
    words = [sys.executable, "-c", "import sys; print('alas'); sys.exit(4)"]
    with pytest.raises(rates.CommandError, match="alas"):
        rates.usage_of(words)


def test_the_commands_that_are_measured_plan(
    script: Loader, rates: ModuleType, tmp_path: Path
) -> None:
    """Both the command and its first half make a sound plan of a small project."""
    project = script("bench.projects").counted_project(1, 3)
    words = rates.plan_words(project, tmp_path, "--work", "10")
    rates.usage_of(words)
    assert verify(read_plan(tmp_path / "plan" / "plan.json")) == ()
    assert float(rates.first_plan(words[4], 10)) > 0


def test_nothing_heavy_is_loaded_beside_the_children(rates: ModuleType) -> None:
    """The process that measures children is small: it loads no heavy library first."""
    code = (
        "import sys; sys.path.insert(0, 'scripts'); import rates; "
        "heavy = {'numpy', 'numba', 'ortools', 'matplotlib', 'shapely'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    assert rates.usage_of([sys.executable, "-c", code]).said == "[]\n"


def test_the_rate_is_of_a_tight_project(script: Loader, rates: ModuleType) -> None:
    """50 parts fill their sheets to 97 to 99 %; the search goes on to the last."""
    project = rates.tight_project()
    fill = project.fill(1)
    assert project.pieces == 50
    assert 0.97 <= fill / -(-fill // 1) <= 0.99
    found = rates.measure_rate(40, 2)
    assert found["rate"] >= found["rate_least"] > 0


def test_a_result_is_written(
    rates: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The file holds what was found beside the aims; a failure ends in a 1."""
    found = {
        "first_plan_cpu": 0.5,
        "whole_command_cpu": 1.5,
        "whole_command_seconds": 2.0,
        "memory_mib": 200.0,
    }
    monkeypatch.setattr(rates, "measure_commands", lambda *_: dict(found))
    monkeypatch.setattr(rates, "measure_rate", lambda *_: {"rate": 1234567})
    out = tmp_path / "result.json"
    assert rates.main(["--out", str(out)]) == 0
    result = json.loads(out.read_text())
    assert result["rates"] == {**found, "rate": 1234567}
    assert result["aims"]["memory_mib"] == 300
    assert "1,234,567" in capsys.readouterr().out

    def fails(*_: object) -> None:
        raise rates.CommandError("it did not plan")

    monkeypatch.setattr(rates, "measure_commands", fails)
    assert rates.main(["--out", str(tmp_path / "other.json")]) == 1
    assert "it did not plan" in capsys.readouterr().err
    assert not (tmp_path / "other.json").exists()
