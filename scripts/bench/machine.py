"""What a measurement was made on, and with which state of the program."""

from __future__ import annotations

import os
import platform
import subprocess
from importlib import metadata
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
_LIBRARIES = ("numpy", "numba", "ortools")


def machine() -> dict[str, Any]:
    """Return the processor, its cores, the system and the versions that matter."""
    versions = {}
    for name in _LIBRARIES:
        try:
            versions[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            versions[name] = "missing"
    return {
        "processor": _processor(),
        "cores": os.cpu_count(),
        "system": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
        **versions,
    }


def commit() -> str:
    """Return the commit that is measured, with a + where files were changed since."""
    hash_ = _git("rev-parse", "HEAD")
    if not hash_:
        return "unknown"
    changed = _git("status", "--porcelain", "--untracked-files=no", "--", "nesting")
    return f"{hash_}+" if changed else hash_


def _git(*arguments: str) -> str:
    try:
        done = subprocess.run(
            ["git", *arguments],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
    except OSError:
        return ""
    return done.stdout.strip() if done.returncode == 0 else ""


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        lines = []
    names = [line.partition(":")[2].strip() for line in lines if "model name" in line]
    return names[0] if names else platform.processor() or platform.machine()
