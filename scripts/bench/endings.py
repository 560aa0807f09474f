"""How a measurement is limited, and the exit codes by which it ends."""

from __future__ import annotations

from typing import Final

UNLIMITED_WORK: Final = 10**12
"""For a search that the clock ends."""
NOT_SOUND: Final = 3
"""A plan is not what it must be."""
STOPPED: Final = 130
"""Ctrl-C."""
