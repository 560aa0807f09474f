"""The script that sets up and runs; nothing here installs or needs a network.

The expectations are the promises in the usage text of the script itself.
"""

from __future__ import annotations

import importlib.util
import json
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "run.py"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Load the script anew, moved to a small project in a folder of its own."""
    spec = importlib.util.spec_from_file_location("run_under_test", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)

    (tmp_path / "constraints").mkdir()
    (tmp_path / "nesting" / "solve").mkdir(parents=True)
    moved = {
        "ROOT": tmp_path,
        "VENV": tmp_path / ".venv",
        "STAMP": tmp_path / ".venv" / "nesting-stamp.json",
        "PYPROJECT": tmp_path / "pyproject.toml",
        "RUNTIME": tmp_path / "constraints" / "runtime.txt",
        "DEV": tmp_path / "constraints" / "dev.txt",
        "SOLVE": tmp_path / "nesting" / "solve",
    }
    for name, value in moved.items():
        monkeypatch.setattr(module, name, value)
    monkeypatch.setattr(module, "program", lambda name: moved["VENV"] / "bin" / name)
    moved["PYPROJECT"].write_text('[project]\nname = "nesting"\n')
    moved["RUNTIME"].write_text("click==1\n")
    moved["DEV"].write_text("pytest==1\n")
    return module


@pytest.fixture
def done(run: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Replace all that takes time; return the list in which it is recorded."""
    record: list[str] = []

    def make_venv(place: Path) -> None:
        record.append("venv")
        shutil.rmtree(place, ignore_errors=True)
        (place / "bin").mkdir(parents=True)
        (place / "bin" / "python").touch()

    monkeypatch.setattr(run, "make_venv", make_venv)
    monkeypatch.setattr(run, "venv_works", lambda: run.program("python").exists())
    for stage in run.WORK:
        monkeypatch.setitem(run.WORK, stage, lambda stage=stage: record.append(stage))

    def hand_over(*words: str | Path) -> int:
        record.append(" ".join(Path(word).name for word in words))
        return 7

    def run_steps(steps: dict[str, list[str | Path]]) -> int:
        record.extend(" ".join([name, *map(str, w[1:])]) for name, w in steps.items())
        return 0

    monkeypatch.setattr(run, "hand_over", hand_over)
    monkeypatch.setattr(run, "run_steps", run_steps)
    return record


# --- where the arguments go ----------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "handed_over"),
    [
        (["plan", "bench", "--seconds", "5"], "nesting plan bench --seconds 5"),
        (["--version"], "nesting --version"),
        (["nesting", "--help"], "nesting --help"),  # the word itself is not doubled
        (["plan", "test"], "nesting plan test"),  # a job may be named like a command
        (["benchmark", "sheets", "--seed", "1"], "benchmark.py sheets --seed 1"),
    ],
)
def test_commands_reach_their_program(
    run: ModuleType, done: list[str], arguments: list[str], handed_over: str
) -> None:
    """A command goes to nesting or the benchmark, whose exit code is passed on."""
    assert run.main(arguments) == 7
    assert done == ["venv", "runtime", "solver", f"python {handed_over}"]


def test_test_runs_every_check_and_gives_its_arguments_to_pytest(
    run: ModuleType, done: list[str]
) -> None:
    """`test -k grain` checks all and hands `-k grain` to pytest alone."""
    assert run.main(["test", "-k", "grain"]) == 0
    assert done[:4] == ["venv", "runtime", "dev", "solver"]
    assert done[4:] == [
        "ruff check check .",
        "ruff format --check format --check .",
        "mypy",
        "lint-imports --no-logo",
        "pytest -k grain",
    ]


def test_lint_leaves_the_tests_and_the_solver_out(
    run: ModuleType, done: list[str]
) -> None:
    """`lint` neither compiles the solver nor runs a test."""
    assert run.main(["lint"]) == 0
    assert done[:3] == ["venv", "runtime", "dev"]
    assert not {"solver", "pytest"} & set(done)


def test_help_needs_no_set_up(
    run: ModuleType, done: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """`--help` names every command and installs nothing."""
    assert run.main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert all(f"\n  {command} " in shown for command in ("plan", *run.COMMANDS))
    assert done == []


def test_no_command_is_a_usage_error(
    run: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a command the usage goes to the error output, with exit code 2."""
    assert run.main([]) == 2
    assert capsys.readouterr().out == ""


# --- steps ---------------------------------------------------------------------------


def test_all_steps_run_though_one_fails(
    run: ModuleType, capfd: pytest.CaptureFixture[str]
) -> None:
    """A failed check does not hide the next one, and the failures are named."""
    fail, succeed = ([sys.executable, "-c", f"raise SystemExit({n})"] for n in (3, 0))
    assert run.run_steps({"first": fail, "second": succeed, "third": fail}) == 1
    assert capfd.readouterr().out.splitlines() == [
        "--- first",
        "--- second",
        "--- third",
        "--- failed: first, third",
    ]
    assert run.run_steps({"second": succeed}) == 0


def test_a_failed_step_shows_what_its_program_said(run: ModuleType) -> None:
    """The output of a set-up step appears with the sentence only when it fails."""
    script = "import sys; print('why'); sys.exit(4)"
    with pytest.raises(run.SetupError, match=r"(?s)why.*Could not\."):
        run.quietly([sys.executable, "-c", script], "Could not.")
    assert run.quietly([sys.executable, "-c", "print(5)"], "Could not.") == "5\n"


# --- the stamp -----------------------------------------------------------------------


def test_a_second_run_installs_nothing(run: ModuleType, done: list[str]) -> None:
    """What is stamped is not done again, in whichever order the stages came."""
    run.ensure("runtime", "solver")
    run.ensure("runtime", "dev", "solver")
    run.ensure("runtime", "solver")
    assert done == ["venv", "runtime", "solver", "dev"]


@pytest.mark.parametrize(
    ("file", "text", "again"),
    [
        # A pin, a dependency: all of it, in the environment that is there.
        ("constraints/runtime.txt", "click==2\n", ["runtime", "dev", "solver"]),
        ("pyproject.toml", '[project]\nname = "n"\n', ["runtime", "dev", "solver"]),
        ("constraints/dev.txt", "pytest==2\n", ["dev"]),
        ("nesting/solve/deep/sheets.py", "kerf = 1\n", ["solver"]),
        # A rule for the linter concerns no install.
        ("pyproject.toml", '[project]\nname = "nesting"\n[tool.ruff]\n', []),
    ],
)
def test_a_change_does_again_what_hangs_on_it(
    run: ModuleType, done: list[str], file: str, text: str, again: list[str]
) -> None:
    """Only the stages that a changed file concerns are carried out again."""
    run.ensure("runtime", "dev", "solver")
    done.clear()
    (run.ROOT / file).parent.mkdir(exist_ok=True)
    (run.ROOT / file).write_text(text)
    run.ensure("runtime", "dev", "solver")
    assert done == again


def test_another_python_does_all_again(
    run: ModuleType, done: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An environment made with another Python version does not count."""
    run.ensure("runtime")
    monkeypatch.setattr(run, "PYTHON_VERSION", "3.99")
    run.ensure("runtime")
    assert done.count("runtime") == 2


def test_an_install_cut_off_is_made_anew(
    run: ModuleType, done: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """After Ctrl-C in the midst of an install the environment is not trusted."""

    def cut_off() -> None:
        raise KeyboardInterrupt

    run.ensure("runtime", "solver")
    run.RUNTIME.write_text("click==2\n")
    with monkeypatch.context() as patch:
        patch.setitem(run.WORK, "runtime", cut_off)
        assert run.main(["plan", "bench"]) == 130
    done.clear()
    run.ensure("runtime", "solver")
    assert done == ["venv", "runtime", "solver"]


def test_an_install_that_gave_up_keeps_the_environment(
    run: ModuleType,
    done: list[str],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Without a network the run fails with a sentence and the next one tries again."""

    def give_up() -> None:
        raise run.SetupError("no network")

    run.ensure("runtime", "solver")
    run.RUNTIME.write_text("click==2\n")
    with monkeypatch.context() as patch:
        patch.setitem(run.WORK, "runtime", give_up)
        assert run.main(["plan", "bench"]) == 1
    assert capsys.readouterr().err.splitlines()[-1] == "no network"
    done.clear()
    run.ensure("runtime", "solver")
    assert done == ["runtime", "solver"]


@pytest.mark.parametrize("torn", ['{"runtime": "', "[]", ""])
def test_a_torn_stamp_counts_for_nothing(
    run: ModuleType, done: list[str], torn: str
) -> None:
    """A stamp file that cannot be read leads to a new environment, not to a crash."""
    run.ensure("runtime")
    run.STAMP.write_text(torn)
    run.ensure("runtime")
    assert done == ["venv", "runtime"] * 2
    assert set(json.loads(run.STAMP.read_text())) == {"runtime"}


def test_an_environment_without_python_is_made_anew(
    run: ModuleType, done: list[str]
) -> None:
    """A stamp in a folder whose Python is gone counts for nothing."""
    run.ensure("runtime")
    run.program("python").unlink()
    run.ensure("runtime")
    assert done == ["venv", "runtime"] * 2


def test_a_solver_that_cannot_be_prepared_stops_nothing(
    run: ModuleType, done: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan is made all the same, and the next run tries to prepare it again."""

    def fail() -> None:
        done.append("tried")
        raise run.SetupError("not now")

    monkeypatch.setitem(run.WORK, "solver", fail)
    assert run.main(["plan", "bench"]) == 7
    assert run.main(["plan", "bench"]) == 7
    assert done.count("tried") == 2
    assert done.count("runtime") == 1


def test_variables_that_lead_pip_astray_are_dropped(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The place to install to is ours to say; the index is the caller's."""
    monkeypatch.setenv("PIP_USER", "1")
    monkeypatch.setenv("PYTHONPATH", "elsewhere")
    monkeypatch.setenv("PIP_INDEX_URL", "kept")
    env = run.clean_env()
    assert "PIP_USER" not in env
    assert "PYTHONPATH" not in env
    assert env["PIP_INDEX_URL"] == "kept"


# --- the Python it is started with ---------------------------------------------------


def test_an_old_python_gets_one_sentence() -> None:
    """Python 3.10 is told what is needed, with exit code 1 and no traceback."""
    script = (
        "import runpy, sys; sys.version_info = (3, 10, 4); sys.version = '3.10.4 (x)'; "
        f"runpy.run_path({str(SCRIPT)!r}, run_name='__main__')"
    )
    told = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert told.returncode == 1
    assert told.stderr == "nesting needs Python 3.11 or newer; this is Python 3.10.4.\n"


def test_a_python_without_venv_says_what_to_install(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Debian splits ensurepip off; the message names the package that brings it."""
    monkeypatch.setattr(run, "PYTHON_VERSION", "3.12")
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "ensurepip" else name
    )
    with pytest.raises(run.SetupError, match=r"sudo apt install python3\.12-venv"):
        run.make_venv(tmp_path / "new")
