"""Everything is measured by one command that goes on where it was stopped."""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

Loader = Callable[[str], ModuleType]
SMALL = ["rates", "projects", "offcuts", "growth"]


@pytest.fixture
def measure(script: Loader, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Load the script; the state of the program is a clean commit."""
    module = script("measure")
    monkeypatch.setattr(module, "commit", lambda: "abc")
    return module


@pytest.fixture
def started(measure: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Start nothing: take the commands down, and leave a whole result of each."""
    commands: list[list[str]] = []

    def run(words: Sequence[Any], **_: Any) -> SimpleNamespace:
        commands.append([str(word) for word in words[1:]])
        if "benchmark_page.py" not in commands[-1][0]:
            result = {
                "kind": "rates",
                "command": ["python", *commands[-1]],
                "commit": measure.commit(),
                "machine": measure.machine(),
            }
            Path(commands[-1][-1]).write_text(json.dumps(result))
            if "--picture" in commands[-1]:
                Path(commands[-1][commands[-1].index("--picture") + 1]).touch()
        return SimpleNamespace(returncode=0)

    monkeypatch.setattr(measure.subprocess, "run", run)
    return commands


def _words(tmp_path: Path, *more: str) -> list[str]:
    places = {name: str(tmp_path / name) for name in ("results", "page", "picture")}
    return [*more, *(word for name in places for word in (f"--{name}", places[name]))]


def _names(commands: Sequence[Sequence[str]]) -> list[str]:
    return [Path(words[-1]).stem for words in commands]


def test_all_is_measured_and_the_page_written(
    measure: ModuleType, started: list[list[str]], tmp_path: Path
) -> None:
    """Of the sets the folder has, each is measured; then comes the page of them all."""
    data = tmp_path / "data"
    data.mkdir()
    for name in ("sheets_2bp", "boards_1d"):
        (data / f"{name}.json.gz").touch()
    assert measure.main(_words(tmp_path, str(data), "--seconds", "3")) == 0
    *measured, page = started
    assert _names(measured) == [*SMALL, "sheets", "sheets-turned", "sticks"]
    turned = measured[-2]
    assert turned[:2] == ["scripts/benchmark.py", "sheets"]
    assert turned[3:6] == ["--turn", "--seconds", "3"]
    assert sum(word.endswith(".json") for word in page) == len(measured)


def test_a_missing_set_is_told(
    measure: ModuleType,
    started: list[list[str]],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A set that is not in the folder is left out, and that is said."""
    (tmp_path / "data").mkdir()
    assert measure.main(_words(tmp_path, str(tmp_path / "data"))) == 0
    assert _names(started[:-1]) == SMALL
    assert "left out: sizes" in capsys.readouterr().err


def test_what_was_measured_is_not_measured_again(
    measure: ModuleType,
    started: list[list[str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A second run measures nothing, unless it is asked to or the program changed."""
    assert measure.main(_words(tmp_path)) == 0
    started.clear()
    assert measure.main(_words(tmp_path)) == 0
    assert "benchmark_page.py" in started[0][0]
    assert len(started) == 1
    started.clear()
    assert measure.main(_words(tmp_path, "--anew", "--only", "rates|growth")) == 0
    assert _names(started[:-1]) == ["rates", "growth"]
    started.clear()
    monkeypatch.setattr(measure, "commit", lambda: "abd")
    assert measure.main(_words(tmp_path)) == 0
    assert _names(started[:-1]) == SMALL


@pytest.mark.parametrize(
    "change",
    [
        {"commit": "abc+"},
        {"command": ["python", "another"]},
        {"machine": {}},
        {"instances": 2, "rows": [1]},
        {"failed": [{"name": "x", "fault": "y"}]},
    ],
)
def test_what_is_not_whole_is_measured_again(
    measure: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    change: dict[str, Any],
) -> None:
    """Another command, machine or state of the program, or rows that are missing."""
    path = tmp_path / "result.json"
    whole = {
        "command": ["python", "a", "b"],
        "commit": "abc",
        "machine": measure.machine(),
        "instances": 1,
        "rows": [1],
    }
    path.write_text(json.dumps(whole))
    assert measure.is_done(["a", "b"], path)
    path.write_text(json.dumps({**whole, **change}))
    monkeypatch.setattr(measure, "commit", lambda: change.get("commit", "abc"))
    assert not measure.is_done(["a", "b"], path)
    path.write_text("torn")
    assert not measure.is_done(["a", "b"], path)
    assert not measure.is_done(["a", "b"], tmp_path / "none.json")


@pytest.mark.parametrize(("code", "ends"), [(3, 3), (1, 1), (2, 1), (130, 130)])
def test_what_fails_is_told_at_the_end(
    measure: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    code: int,
    ends: int,
) -> None:
    """The rest is measured all the same, except after Ctrl-C."""
    names = []

    def run(words: Sequence[Any], **_: Any) -> SimpleNamespace:
        name = Path(words[-1]).stem
        names.append(name)
        Path(tmp_path / "results" / "one.json").touch()
        return SimpleNamespace(returncode=code if name == "projects" else 0)

    monkeypatch.setattr(measure.subprocess, "run", run)
    assert measure.main(_words(tmp_path)) == ends
    measured = [name for name in names if name in SMALL]
    assert measured == (SMALL[:2] if code == 130 else SMALL)
    assert f"projects ended with {code}" in capsys.readouterr().out


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_an_interrupt_waits_for_what_is_measured(
    measure: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl-C ends the run after the measurement it reaches; the page is written."""
    names = []
    # A shell that runs this in the background has Ctrl-C ignored.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)

    def run(words: Sequence[Any], **_: Any) -> SimpleNamespace:
        names.append(Path(words[-1]).stem)
        if names[-1] == "projects":
            os.kill(os.getpid(), signal.SIGINT)
        (tmp_path / "results" / "one.json").touch()
        return SimpleNamespace(returncode=0)

    monkeypatch.setattr(measure.subprocess, "run", run)
    try:
        assert measure.main(_words(tmp_path)) == 130
        assert names == ["rates", "projects", "page"]
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)


def test_nothing_to_measure_is_told(
    measure: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name that no measurement has, and a folder that is none, end in a 2."""
    assert measure.main(_words(tmp_path, "--only", "nothing")) == 2
    assert "no measurement" in capsys.readouterr().err
    with pytest.raises(SystemExit) as stopped:
        measure.main(_words(tmp_path, str(tmp_path / "nowhere")))
    assert stopped.value.code == 2
