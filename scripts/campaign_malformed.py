"""Run `nesting plan` on every malformed job and look at how it ends.

Each must end with exit code 1 or 2 and a sentence, without a traceback, and write
nothing. The jobs are those of `tests/files/malformed.py`, and some part lists without a
folder. Prints a line for each that does otherwise, and the counts.

    python scripts/campaign_malformed.py [NAME ...]
"""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
TABLE = ROOT / "tests" / "files" / "malformed.py"
SECONDS = 120
REFUSED = (1, 2)

BARE_LISTS: tuple[tuple[str, bytes, tuple[str, ...]], ...] = (
    ("list without options", b"part,qty,length,width\na,1,9,9\n", ()),
    (
        "list with a faulty sheet",
        b"part,qty,length,width\na,1,9,9\n",
        ("--sheet", "ply = 96 x 48"),
    ),
    (
        "list with a faulty stick",
        b"part,qty,length\na,1,9\n",
        ("--stick", "pine 2x4 = 96,120 @ 4.85"),
    ),
    (
        "list with a kerf in mm",
        b"part,qty,length,width\na,1,9,9\n",
        ("--sheet", "ply = 96 x 48 x 1/2", "--kerf", "3.2"),
    ),
    (
        "binary list",
        b"\x89PNG\r\n\0\0",
        ("--sheet", "ply = 96 x 48 x 1/2"),
    ),
)
"""Part lists named themselves: name, contents, options."""


def main(names: list[str]) -> int:
    """Run the campaign and return how many cases ended as they must not."""
    cases = [case for case in load_table().MALFORMED if not names or case.name in names]
    bare = [row for row in BARE_LISTS if not names or row[0] in names]
    with (
        tempfile.TemporaryDirectory() as folder,
        ThreadPoolExecutor(os.cpu_count() or 1) as pool,
    ):
        home = Path(folder)
        runs = [
            pool.submit(run_folder, case, home / f"case{number}")
            for number, case in enumerate(cases)
        ] + [
            pool.submit(run_list, row, home / f"list{number}")
            for number, row in enumerate(bare)
        ]
        faults = [fault for run in runs for fault in run.result()]
    for fault in faults:
        print(fault)
    print(f"{len(runs)} malformed jobs, {len(faults)} complaints")
    return len(faults)


def load_table() -> ModuleType:
    """Return the module that holds the malformed jobs."""
    spec = importlib.util.spec_from_file_location("malformed_jobs", TABLE)
    if spec is None or spec.loader is None:
        sys.exit(f"{TABLE} cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def run_folder(case: Any, home: Path) -> list[str]:
    """Run one malformed job folder and return what is wrong with how it ends."""
    job = home / "job"
    job.mkdir(parents=True)
    return run(case.name, home, [str(case.write(job))])


def run_list(row: tuple[str, bytes, tuple[str, ...]], home: Path) -> list[str]:
    """Run one bare part list and return what is wrong with how it ends."""
    name, content, options = row
    home.mkdir(parents=True)
    path = home / "parts.csv"
    path.write_bytes(content)
    return run(name, home, [str(path), *options])


def run(name: str, home: Path, arguments: list[str]) -> list[str]:
    """Run the command and return what is wrong with how it ends."""
    before = files_under(home)
    command = [sys.executable, "-m", "nesting", "plan", *arguments]
    try:
        done = subprocess.run(
            [*command, "--out", str(home / "out"), "--seconds", "1"],
            cwd=home,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return [f"{name}: not done in {SECONDS} s"]
    said = done.stdout + done.stderr
    faults = []
    if done.returncode not in REFUSED:
        faults.append(f"{name}: exit code {done.returncode}")
    if "Traceback" in said or "fault of the program" in said:
        faults.append(f"{name}: not a sentence to the maker: {said[-300:]}")
    if not done.stderr.strip():
        faults.append(f"{name}: nothing is said")
    if files_under(home) != before:
        faults.append(f"{name}: something was written")
    return faults


def files_under(folder: Path) -> dict[Path, bytes | None]:
    """Return all that lies under a folder: files with their contents, folders bare."""
    return {
        path: path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }


if __name__ == "__main__":
    sys.exit(1 if main(sys.argv[1:]) else 0)
