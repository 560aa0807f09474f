"""Set up once, then run: `python3 scripts/run.py plan samples/JOB`.

The first run makes `.venv` beside this folder and installs the versions pinned in
`constraints/`. Later runs see from a stamp that nothing changed and start at once;
from then on no network is needed. Only the standard library is used here.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - said in one sentence to an older Python
    sys.exit(
        "nesting needs Python 3.11 or newer; this is Python %d.%d."
        % tuple(sys.version_info[:2])
    )

import contextlib
import hashlib
import importlib.util
import json
import os
import subprocess
import tempfile
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
OLDEST = (3, 11)  # the Python that the pinned versions are chosen on
ON_WINDOWS = os.name == "nt"

USAGE = """\
usage: python3 scripts/run.py COMMAND [ARGUMENTS]

The first run sets up .venv (once, needs the network); later runs start at once.

  plan JOB, verify PLAN, ...   any command of nesting; `nesting --help` lists them
  setup                        only set up
  test [PYTEST ARGUMENTS]      lint, types, import rules, then the tests
  lint                         the same without the tests
  benchmark ARGUMENTS          scripts/benchmark.py
  lock                         choose the pinned versions in constraints/ anew
"""

LINT_STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("ruff check", ("-m", "ruff", "check", ".")),
    ("ruff format --check", ("-m", "ruff", "format", "--check", ".")),
    ("mypy", ("-m", "mypy")),
    ("lint-imports", ("-c", "from importlinter.cli import lint_imports_command as c; c()")),
)


class SetupError(Exception):
    """Something stands in the way; the text is the sentence to show."""


def say(text: str) -> None:
    """Show one line of progress, apart from the output of the command itself."""
    print(text, file=sys.stderr, flush=True)


# --- the environment -----------------------------------------------------------------


def venv_file(name: str) -> Path:
    """Return the path of a program inside the environment."""
    if ON_WINDOWS:
        return VENV / "Scripts" / f"{name}.exe"
    return VENV / "bin" / name


def clean_env() -> dict[str, str]:
    """Return the caller's variables less those that lead an install astray."""
    astray = {
        "PYTHONHOME",
        "PYTHONPATH",
        "__PYVENV_LAUNCHER__",
        "PIP_PREFIX",
        "PIP_TARGET",
        "PIP_USER",
    }
    return {name: value for name, value in os.environ.items() if name not in astray}


def quietly(arguments: Sequence[str | Path], failure: str) -> str:
    """Run a set-up step and return its output, which is shown only if it fails."""
    done = subprocess.run(
        [str(word) for word in arguments],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        errors="replace",
        env=clean_env(),
        cwd=ROOT,
        check=False,
    )
    if done.returncode != 0:
        output = (done.stdout + done.stderr).strip()
        raise SetupError(f"{output}\n{failure}" if output else failure)
    return done.stdout


def pip(python: Path, *arguments: str | Path, failure: str) -> str:
    """Run pip of the given environment, without questions and without its news."""
    options = ("--disable-pip-version-check", "--no-input")
    return quietly([python, "-I", "-m", "pip", *options, *arguments], failure)


def make_venv(place: Path) -> None:
    """Make an empty environment with pip in it."""
    missing = [name for name in ("venv", "ensurepip") if not module_exists(name)]
    if missing:
        version = "{}.{}".format(*sys.version_info[:2])
        raise SetupError(
            f"This Python comes without its '{missing[0]}' module, so no environment can "
            f"be made; on Debian or Ubuntu: sudo apt install python{version}-venv"
        )
    quietly(
        [sys.executable, "-I", "-m", "venv", "--clear", place],
        f"Could not make the environment in {place}.",
    )


def module_exists(name: str) -> bool:
    """Tell whether a module of the standard library is there."""
    return importlib.util.find_spec(name) is not None


def venv_works() -> bool:
    """Tell whether the environment starts, is this Python's, and has pip."""
    python = venv_file("python")
    if not python.exists():
        return False
    probe = "import sys, pip; print('{}.{}'.format(*sys.version_info[:2]))"
    done = subprocess.run(
        [str(python), "-I", "-c", probe],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env=clean_env(),
        check=False,
    )
    return done.stdout.strip() == "{}.{}".format(*sys.version_info[:2])


# --- the stamp -----------------------------------------------------------------------


def digest(*pieces: bytes) -> str:
    """Return a short fingerprint; where one piece ends and the next begins counts."""
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
    tables = [
        project.get("build-system"),
        project.get("project"),
        project.get("tool", {}).get("setuptools"),
    ]
    runtime = digest(
        json.dumps(tables, sort_keys=True).encode(),
        RUNTIME.read_bytes(),
        "{}.{}".format(*sys.version_info[:2]).encode(),
        str(ROOT).encode(),
    )
    solver = [path.read_bytes() for path in sorted((ROOT / "nesting/solve").glob("*.py"))]
    return {
        "runtime": runtime,
        "dev": digest(runtime.encode(), DEV.read_bytes()),
        "solver": digest(runtime.encode(), *solver),
    }


def read_stamps() -> dict[str, str]:
    """Return what was finished before; a missing or torn file means nothing was."""
    try:
        found: Any = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) and venv_file("python").exists() else {}


def write_stamps(stamps: dict[str, str]) -> None:
    """Replace the stamp file in one move."""
    fresh = STAMP.with_suffix(".new")
    fresh.write_text(json.dumps(stamps, indent=1) + "\n", encoding="utf-8")
    fresh.replace(STAMP)


# --- the stages ----------------------------------------------------------------------


def install_runtime() -> None:
    """Make the environment if need be; put the pinned libraries and nesting into it."""
    if not venv_works():
        say("making .venv ...")
        if VENV.is_symlink() or VENV.is_file():
            VENV.unlink()
        make_venv(VENV)
    python = venv_file("python")
    say("installing the libraries, once (a minute or two) ...")
    pip(
        python,
        *("install", "--requirement", RUNTIME),
        failure="Could not install the libraries; is the network there?",
    )
    editable = ("install", "--no-deps", "--no-build-isolation", "--editable", ROOT)
    pip(python, *editable, failure="Could not install nesting into .venv.")
    pip(
        python,
        "check",
        failure="The pinned versions do not fit together or do not satisfy "
        "pyproject.toml; choose them anew with: python3 scripts/run.py lock",
    )


def install_dev() -> None:
    """Put the tools of the trade beside the libraries."""
    say("installing the tools for tests, once ...")
    pip(
        venv_file("python"),
        *("install", "--requirement", RUNTIME, "--requirement", DEV),
        failure="Could not install the tools for tests; is the network there?",
    )


def prepare_solver() -> None:
    """Let the solver compile what it compiles, so that the first plan need not wait."""
    if not (ROOT / "nesting" / "solve" / "warm.py").is_file():
        return
    say("preparing the solver, once ...")
    quietly(
        [venv_file("python"), "-m", "nesting.solve.warm"],
        "Could not prepare the solver.",
    )


def ensure(*stages: str) -> None:
    """Carry out, in order, those of the stages that are not yet done."""
    wanted = wanted_stamps()
    if all(read_stamps().get(stage) == wanted[stage] for stage in stages):
        return
    work: dict[str, Callable[[], None]] = {
        "runtime": install_runtime,
        "dev": install_dev,
        "solver": prepare_solver,
    }
    with one_at_a_time():
        for stage in stages:
            done = read_stamps()  # anew: whoever held the lock may have done it
            if done.get(stage) != wanted[stage]:
                if stage == "runtime":
                    done = {}
                    STAMP.unlink(missing_ok=True)
                work[stage]()
                write_stamps({**done, stage: wanted[stage]})


@contextlib.contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold back a second set-up in the same folder until the first is through."""
    if sys.platform == "win32":  # no lock there: two first runs at once are unlikely
        yield
        return
    import fcntl

    with Path(__file__).open("rb") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("waiting for another set-up of the same folder ...")
            fcntl.flock(held, fcntl.LOCK_EX)
        except OSError:  # a file system without locks
            pass
        yield


# --- the commands --------------------------------------------------------------------


def hand_over(arguments: Sequence[str | Path]) -> int:
    """Run a program in this one's place; its exit code becomes ours."""
    words = [str(word) for word in arguments]
    if ON_WINDOWS:
        return subprocess.run(words, check=False).returncode
    sys.stdout.flush()
    sys.stderr.flush()
    os.execv(words[0], words)


def run_nesting(arguments: Sequence[str]) -> int:
    """Run a command of nesting."""
    ensure("runtime", "solver")
    if ON_WINDOWS:
        return hand_over([venv_file("nesting"), *arguments])
    return hand_over([venv_file("python"), venv_file("nesting"), *arguments])


def run_benchmark(arguments: Sequence[str]) -> int:
    """Run the benchmark on the product's own solver."""
    ensure("runtime", "solver")
    return hand_over(
        [venv_file("python"), ROOT / "scripts" / "benchmark.py", *arguments]
    )


def run_steps(steps: Sequence[tuple[str, Sequence[str]]]) -> int:
    """Run every step, failed ones before it or not, and say at the end which failed."""
    failed = []
    for name, words in steps:
        print(f"--- {name}", flush=True)
        done = subprocess.run(
            [str(venv_file("python")), *words], cwd=ROOT, check=False
        )
        if done.returncode != 0:
            failed.append(name)
    if failed:
        print(f"--- failed: {', '.join(failed)}", flush=True)
        return 1
    print("--- all good", flush=True)
    return 0


def run_lint(arguments: Sequence[str]) -> int:
    """Run the checks that execute nothing."""
    if arguments:
        raise SetupError("lint takes no arguments.")
    ensure("runtime", "dev")
    return run_steps(LINT_STEPS)


def run_test(arguments: Sequence[str]) -> int:
    """Run the checks and the tests; the arguments are pytest's."""
    ensure("runtime", "dev", "solver")
    return run_steps([*LINT_STEPS, ("pytest", ("-m", "pytest", *arguments))])


def run_setup(arguments: Sequence[str]) -> int:
    """Set up for use, and no more."""
    if arguments:
        raise SetupError("setup takes no arguments.")
    ensure("runtime", "solver")
    return 0


def run_lock(arguments: Sequence[str]) -> int:
    """Choose the pinned versions anew: the newest that pyproject and Python allow."""
    if arguments:
        raise SetupError("lock takes no arguments.")
    oldest = "{}.{}".format(*OLDEST)
    if sys.version_info[:2] != OLDEST:
        raise SetupError(
            f"Run lock with Python {oldest}, the oldest that is supported, so that the "
            "versions it chooses suit every newer one."
        )
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))
    needed = [
        *project["build-system"]["requires"],
        *project["project"]["dependencies"],
        *ONLY_ON,
    ]
    tools = project["project"]["optional-dependencies"]["dev"]
    with tempfile.TemporaryDirectory() as folder:
        make_venv(Path(folder))
        python = Path(folder, *venv_file("python").relative_to(VENV).parts)
        failure = "Could not install; is the network there?"
        say("choosing the libraries ...")
        pip(python, "install", "--upgrade", *needed, failure=failure)
        runtime = freeze(python)
        say("choosing the tools for tests ...")
        kept = Path(folder) / "runtime.txt"
        kept.write_text("\n".join(runtime), encoding="utf-8")
        pip(python, "install", "--constraint", kept, *tools, failure=failure)
        dev = [line for line in freeze(python) if line not in runtime]
    for path, lines in ((RUNTIME, runtime), (DEV, dev)):
        path.write_text(lock_text(lines), encoding="utf-8", newline="\n")
        say(f"wrote {path.relative_to(ROOT)}")
    return 0


ONLY_ON = {"colorama": 'sys_platform == "win32"'}  # click and pytest ask for it there


def freeze(python: Path) -> list[str]:
    """Return the exact versions in an environment, but for pip itself."""
    listed = pip(python, "freeze", "--all", failure="Could not list the versions.")
    return [line for line in listed.splitlines() if not line.startswith("pip==")]


def lock_text(lines: Sequence[str]) -> str:
    """Return the text of a file of pinned versions."""
    head = "# Written by: python3 scripts/run.py lock (on the oldest supported Python)\n"
    marked = []
    for line in sorted(lines, key=str.lower):
        marker = ONLY_ON.get(line.partition("==")[0])
        marked.append(f"{line} ; {marker}" if marker else line)
    return head + "".join(f"{line}\n" for line in marked)


COMMANDS: dict[str, Callable[[Sequence[str]], int]] = {
    "setup": run_setup,
    "test": run_test,
    "lint": run_lint,
    "benchmark": run_benchmark,
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
        return run_nesting(arguments if first != "nesting" else rest)
    except SetupError as error:
        say(str(error))
        return 1
    except KeyboardInterrupt:
        say("stopped")
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
