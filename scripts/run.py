"""Set up once, then run: `python3 scripts/run.py plan samples/JOB`.

The first run makes `.venv` beside this folder and installs the versions pinned in
`constraints/`. Later runs see from a stamp that nothing changed and start at once;
from then on no network is needed. Only the standard library is used here.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - an older Python is told in one sentence
    found = sys.version.split()[0]
    sys.exit("nesting needs Python 3.11 or newer; this is Python " + found + ".")

import contextlib
import hashlib
import importlib.util
import json
import os
import subprocess
import tomllib
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "nesting-stamp.json"
PYPROJECT = ROOT / "pyproject.toml"
RUNTIME = ROOT / "constraints" / "runtime.txt"
DEV = ROOT / "constraints" / "dev.txt"
SOLVE = ROOT / "nesting" / "solve"
PYTHON_VERSION = "{}.{}".format(*sys.version_info[:2])
ON_WINDOWS = os.name == "nt"

USAGE = """\
usage: python3 scripts/run.py COMMAND [ARGUMENTS]

The first run sets up .venv (once, needs the network); later runs start at once.

  plan JOB, verify PLAN, ...   any command of nesting; `nesting --help` lists them
  setup                        only set up
  test [PYTEST ARGUMENTS]      lint, types, import rules, then the tests
  lint                         the same without the tests
  benchmark ARGUMENTS          scripts/benchmark.py
  measure DATA_FOLDER          all measurements of docs/benchmarks.md; `--help` has more
  lock                         choose the pinned versions in constraints/ anew
"""


class SetupError(Exception):
    """Something stands in the way; the text is the sentence to show."""


def say(text: str) -> None:
    """Show one line of progress, apart from the output of the command itself."""
    print(text, file=sys.stderr, flush=True)


# --- the environment -----------------------------------------------------------------


def program(name: str, venv: Path = VENV) -> Path:
    """Return the path of a program inside an environment."""
    if ON_WINDOWS:
        return venv / "Scripts" / f"{name}.exe"
    return venv / "bin" / name


def clean_env() -> dict[str, str]:
    """Return the caller's variables less those that lead Python or pip astray."""
    astray = {"PYTHONHOME", "PYTHONPATH", "PYTHONSAFEPATH", "__PYVENV_LAUNCHER__"}
    astray |= {"PIP_PREFIX", "PIP_TARGET", "PIP_USER"}
    return {name: value for name, value in os.environ.items() if name not in astray}


def quietly(arguments: Sequence[str | Path], failure: str) -> str:
    """Run a set-up step and return its output, which is shown only if it fails."""
    done = subprocess.run(
        [str(word) for word in arguments],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        errors="replace",
        env=clean_env(),
        cwd=ROOT,
        check=False,
    )
    if done.returncode != 0:
        raise SetupError(f"{done.stdout}{done.stderr}\n{failure}".lstrip())
    return done.stdout


def pip(venv: Path, *arguments: str | Path, failure: str) -> str:
    """Run an environment's pip, without its questions and its news."""
    options = ("--disable-pip-version-check", "--no-input")
    python = program("python", venv)
    return quietly([python, "-I", "-m", "pip", *options, *arguments], failure)


def make_venv(place: Path) -> None:
    """Make an environment with nothing but pip in it, in the place of a former one."""
    for module in ("venv", "ensurepip"):
        if importlib.util.find_spec(module) is None:
            raise SetupError(
                f"This Python comes without its '{module}' module, so no environment "
                "can be made; on Debian and Ubuntu: "
                f"sudo apt install python{PYTHON_VERSION}-venv"
            )
    if place.is_symlink() or place.is_file():
        place.unlink()
    quietly(
        [sys.executable, "-I", "-m", "venv", "--clear", place],
        f"Could not make the environment in {place}.",
    )


def venv_works() -> bool:
    """Tell whether the environment starts, is of this Python, and has pip."""
    python = program("python")
    if not python.exists():
        return False
    probe = "import sys, pip; print('{}.{}'.format(*sys.version_info[:2]))"
    try:
        return quietly([python, "-I", "-c", probe], "").strip() == PYTHON_VERSION
    except (OSError, SetupError):
        return False


# --- the stamp -----------------------------------------------------------------------


def digest(*pieces: bytes) -> str:
    """Return a fingerprint; where one piece ends and the next begins counts."""
    sha = hashlib.sha256()
    for piece in pieces:
        sha.update(len(piece).to_bytes(8, "big"))
        sha.update(piece)
    return sha.hexdigest()[:32]


def wanted_stamps() -> dict[str, str]:
    """Return what each finished stage should have left in the stamp file.

    Of pyproject only what an install depends on is taken, so that a changed lint rule
    installs nothing anew.
    """
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))
    setuptools = project.get("tool", {}).get("setuptools")
    tables = [project.get("build-system"), project.get("project"), setuptools]
    runtime = digest(
        json.dumps(tables, sort_keys=True).encode(),
        RUNTIME.read_bytes(),
        PYTHON_VERSION.encode(),
        str(ROOT).encode(),
    )
    solver = [path.read_bytes() for path in sorted(SOLVE.rglob("*.py"))]
    return {
        "runtime": runtime,
        "dev": digest(runtime.encode(), DEV.read_bytes()),
        "solver": digest(runtime.encode(), *solver),
    }


def read_stamps() -> dict[str, str]:
    """Return what was finished before; with a missing or torn file nothing was."""
    try:
        found: Any = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) and program("python").exists() else {}


def write_stamps(stamps: dict[str, str]) -> None:
    """Replace the stamp file in one move."""
    fresh = STAMP.with_suffix(".new")
    fresh.write_text(json.dumps(stamps, indent=1) + "\n", encoding="utf-8")
    fresh.replace(STAMP)


# --- the stages ----------------------------------------------------------------------


def install_runtime() -> None:
    """Put the pinned libraries and nesting into the environment."""
    say("installing the libraries, once (about 580 MB, a minute or two) ...")
    pip(
        VENV,
        *("install", "--requirement", RUNTIME),
        failure="Could not install the libraries; is the network there?",
    )
    editable = ("--no-index", "--no-build-isolation", "--editable", ROOT)
    pip(
        VENV,
        *("install", "--constraint", RUNTIME, *editable),
        failure="Could not install nesting. If constraints/ and pyproject.toml do not "
        "agree, choose the versions anew: python3 scripts/run.py lock",
    )


def install_dev() -> None:
    """Put the tools for tests beside the libraries."""
    say("installing the tools for tests, once ...")
    pip(
        VENV,
        *("install", "--requirement", RUNTIME, "--requirement", DEV),
        failure="Could not install the tools for tests; is the network there?",
    )


def prepare_solver() -> None:
    """Let the solver compile what it compiles, so that the first plan need not."""
    if (SOLVE / "warm.py").is_file():
        say("preparing the solver, once ...")
        quietly(
            [str(program("python")), "-m", "nesting.solve.warm"],
            "Could not prepare the solver now; the first plan will take longer.",
        )


WORK: dict[str, Callable[[], None]] = {
    "runtime": install_runtime,
    "dev": install_dev,
    "solver": prepare_solver,
}


def ensure(*stages: str) -> None:
    """Carry out, in order, those of the stages that are not yet done."""
    wanted = wanted_stamps()
    if all(read_stamps().get(stage) == wanted[stage] for stage in stages):
        return
    with one_at_a_time():
        for stage in stages:
            # Read anew: whoever held the lock before may have done it.
            if read_stamps().get(stage) == wanted[stage]:
                continue
            try:
                carry_out(stage, wanted[stage])
            except SetupError as error:
                if stage != "solver":
                    raise
                say(str(error))  # a plan can be made all the same


def carry_out(stage: str, stamp: str) -> None:
    """Do one stage and stamp it.

    While pip is at work there is no stamp: an install that is cut off leaves none, and
    the next run makes the environment anew. Where pip itself gives up, say without a
    network, it has put back what it touched, and so the former stamps are put back.
    """
    before = read_stamps()
    if not before or not venv_works():
        say("making .venv ...")
        make_venv(VENV)
        before = {}
    if stage != "solver":
        STAMP.unlink(missing_ok=True)
    try:
        WORK[stage]()
    except SetupError:
        if before:
            write_stamps(before)
        raise
    write_stamps({**before, stage: stamp})


@contextlib.contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold back a second set-up in the same folder until the first is through."""
    if sys.platform == "win32":  # no such lock there: two first runs at once are rare
        yield
        return
    import fcntl

    with Path(__file__).open("rb") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("waiting for another set-up of this folder ...")
            fcntl.flock(held, fcntl.LOCK_EX)
        except OSError:
            pass  # a file system without locks
        yield


# --- the commands --------------------------------------------------------------------


def hand_over(*arguments: str | Path) -> int:
    """Run a program in this one's place; its exit code becomes ours."""
    words = [str(word) for word in arguments]
    if not ON_WINDOWS:
        os.execve(words[0], words, clean_env())
    return subprocess.run(words, env=clean_env(), check=False).returncode


def run_nesting(arguments: Sequence[str]) -> int:
    """Run a command of nesting."""
    ensure("runtime", "solver")
    if ON_WINDOWS:
        return hand_over(program("nesting"), *arguments)
    return hand_over(program("python"), program("nesting"), *arguments)


def run_benchmark(arguments: Sequence[str]) -> int:
    """Run the benchmark on the product's own solver."""
    ensure("runtime", "solver")
    return hand_over(program("python"), ROOT / "scripts" / "benchmark.py", *arguments)


def run_measure(arguments: Sequence[str]) -> int:
    """Run every measurement of the page of benchmarks and write the page."""
    ensure("runtime", "solver")
    return hand_over(program("python"), ROOT / "scripts" / "measure.py", *arguments)


def lint_steps() -> dict[str, list[str | Path]]:
    """Return the checks that execute nothing of ours."""
    return {
        "ruff check": [program("ruff"), "check", "."],
        "ruff format --check": [program("ruff"), "format", "--check", "."],
        "mypy": [program("mypy")],
        "lint-imports": [program("lint-imports"), "--no-logo"],
    }


def run_steps(steps: dict[str, list[str | Path]]) -> int:
    """Run every step, failed ones before it or not, and say at the end which failed."""
    failed = []
    for name, words in steps.items():
        print(f"--- {name}", flush=True)
        command = [str(word) for word in words]
        done = subprocess.run(command, cwd=ROOT, env=clean_env(), check=False)
        if done.returncode != 0:
            failed.append(name)
    print(f"--- failed: {', '.join(failed)}" if failed else "--- all good", flush=True)
    return 1 if failed else 0


def run_lint(arguments: Sequence[str]) -> int:
    """Run the checks without the tests."""
    refuse(arguments)
    ensure("runtime", "dev")
    return run_steps(lint_steps())


def run_test(arguments: Sequence[str]) -> int:
    """Run the checks and the tests; the arguments are pytest's."""
    ensure("runtime", "dev", "solver")
    return run_steps({**lint_steps(), "pytest": [program("pytest"), *arguments]})


def run_setup(arguments: Sequence[str]) -> int:
    """Set up for use, and no more."""
    refuse(arguments)
    ensure("runtime", "solver")
    return 0


def run_lock(arguments: Sequence[str]) -> int:
    """Choose the pinned versions anew."""
    return hand_over(sys.executable, ROOT / "scripts" / "lock.py", *arguments)


def refuse(arguments: Sequence[str]) -> None:
    """Refuse arguments where there is nothing to choose."""
    if arguments:
        raise SetupError(f"No arguments belong here: {' '.join(arguments)}")


COMMANDS: dict[str, Callable[[Sequence[str]], int]] = {
    "setup": run_setup,
    "test": run_test,
    "lint": run_lint,
    "benchmark": run_benchmark,
    "measure": run_measure,
    "lock": run_lock,
}


def main(arguments: Sequence[str]) -> int:
    """Send the arguments where they belong and return the exit code."""
    if not arguments:
        print(USAGE, end="", file=sys.stderr)
        return 2
    first, *rest = arguments
    if first in ("-h", "--help"):
        print(USAGE, end="")
        return 0
    try:
        if first in COMMANDS:
            return COMMANDS[first](rest)
        return run_nesting(rest if first == "nesting" else arguments)
    except SetupError as error:
        say(str(error))
        return 1
    except KeyboardInterrupt:
        say("stopped")
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
