"""Result files: what was measured, with what, on what."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bench.machine import commit, machine


def about(script: str, words: Sequence[str], kind: str, **more: Any) -> dict[str, Any]:
    """Return the head of a result.

    Parameters
    ----------
    script
        The file's name in this folder.
    words
        Its arguments.
    kind
        What is measured: a word that the page of benchmarks knows.
    more
        Whatever else the measurement depends on.
    """
    return {
        "kind": kind,
        "command": ["python", f"scripts/{script}", *words],
        "commit": commit(),
        "machine": machine(),
        **more,
    }


def write(path: Path, content: dict[str, Any]) -> None:
    """Write a result, whole or not at all."""
    draft = path.with_name(f"{path.name}.part")
    draft.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
    draft.replace(path)
