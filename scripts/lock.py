"""Choose the pinned versions anew: `python3.11 scripts/run.py lock`.

In an environment of its own, pip chooses the newest versions that pyproject.toml
allows; what it installed is written to `constraints/runtime.txt`, and what the tools
for tests add to that, to `constraints/dev.txt`. It is done on the oldest supported
Python, so that every newer one can have the same versions.
"""

import sys
import tempfile
import tomllib
from collections.abc import Sequence
from pathlib import Path

import run

OLDEST = "3.11"
MARKERS = {"colorama": 'sys_platform == "win32"'}  # click and pytest need it there
HEAD = f"# Written on Python {OLDEST} by: python3 scripts/run.py lock\n"


def choose(place: Path) -> tuple[list[str], list[str]]:
    """Install into a fresh environment; return the runtime's and the tools' pins."""
    project = tomllib.loads(run.PYPROJECT.read_text(encoding="utf-8"))
    builders = project["build-system"]["requires"]
    libraries = project["project"]["dependencies"]
    tools = project["project"]["optional-dependencies"]["dev"]
    failure = "Could not install; is the network there?"
    run.make_venv(place)
    run.say("choosing the libraries ...")
    upgrade = ("install", "--upgrade")
    run.pip(place, *upgrade, *builders, *libraries, *MARKERS, failure=failure)
    runtime = freeze(place)
    kept = place / "runtime.txt"
    kept.write_text("\n".join(runtime), encoding="utf-8")
    run.say("choosing the tools for tests ...")
    run.pip(place, "install", "--constraint", kept, *tools, failure=failure)
    return runtime, [pin for pin in freeze(place) if pin not in runtime]


def freeze(place: Path) -> list[str]:
    """Return the exact versions in an environment, but for pip itself."""
    listed = run.pip(place, "freeze", "--all", failure="Could not list the versions.")
    return [pin for pin in listed.splitlines() if not pin.startswith("pip==")]


def lock_text(pins: Sequence[str]) -> str:
    """Return the text of a file of pinned versions, in the order of their names."""
    lines = []
    for pin in sorted(pins, key=str.lower):
        marker = MARKERS.get(pin.partition("==")[0])
        lines.append(f"{pin} ; {marker}\n" if marker else f"{pin}\n")
    return HEAD + "".join(lines)


def main(arguments: Sequence[str]) -> int:
    """Write both files and return the exit code."""
    try:
        run.refuse(arguments)
        if run.PYTHON_VERSION != OLDEST:
            raise run.SetupError(
                f"Choose the versions with Python {OLDEST}, the oldest that is "
                f"supported; this is Python {run.PYTHON_VERSION}."
            )
        with tempfile.TemporaryDirectory() as folder:
            runtime, dev = choose(Path(folder) / "venv")
    except run.SetupError as error:
        run.say(str(error))
        return 1
    except KeyboardInterrupt:
        run.say("stopped")
        return 130
    for path, pins in ((run.RUNTIME, runtime), (run.DEV, dev)):
        path.write_text(lock_text(pins), encoding="utf-8", newline="\n")
        run.say(f"wrote {path.relative_to(run.ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
