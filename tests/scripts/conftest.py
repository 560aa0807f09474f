"""Scripts as modules, loaded as Python does when they are run."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

SCRIPTS = Path(__file__).resolve().parents[2] / "scripts"


@pytest.fixture
def script(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], ModuleType]:
    """Return what loads a script, or a module of the folder beside it, by its name."""
    monkeypatch.syspath_prepend(str(SCRIPTS))
    return importlib.import_module
