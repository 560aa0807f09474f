"""Compile what the solver compiles, once: `python -m nesting.solve.warm`.

A cold cache costs a plan a minute; whoever starts a clock should look at
`is_warm`, say so, and call `warm` first.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
from collections.abc import Iterator

from nesting.solve.boards.engine import BOARD_KERNELS, prepare_boards
from nesting.solve.boards.small import prepare_small
from nesting.solve.boards.small_sets import SMALL_KERNELS
from nesting.solve.boards.table import TABLE_KERNELS, prepare_tables
from nesting.solve.compile import is_complete, may_compile
from nesting.solve.sheets.engine import KERNELS, prepare
from nesting.solve.sheets.pattern_table import PATTERN_KERNELS
from nesting.solve.sheets.patterns import prepare_patterns
from nesting.solve.sheets.sets import prepare_sets
from nesting.solve.sheets.sets_states import SET_KERNELS

_ALL = (
    KERNELS,
    PATTERN_KERNELS,
    SET_KERNELS,
    SMALL_KERNELS,
    TABLE_KERNELS,
    BOARD_KERNELS,
)
_BOARDS = "boards"


def is_warm() -> bool:
    """Tell whether a search would start at once.

    True, too, where nothing is ever compiled: then there is nothing to wait for.
    """
    return not may_compile() or all(is_complete(each) for each in _ALL)


def warm() -> None:
    """Compile everything into the cache, on two cores; at once if it is there."""
    if is_warm():
        return
    with _another():
        _load_sheets()
    if not is_warm():
        load()


def load() -> None:
    """Run every kernel once, from the cache or compiled into it.

    Where nothing is ever compiled it runs the plain functions, which does no harm.
    """
    _load_sheets()
    _load_boards()


def _load_sheets() -> None:
    prepare()
    prepare_patterns()
    prepare_sets()


def _load_boards() -> None:
    prepare_small()
    prepare_tables()
    prepare_boards()


@contextlib.contextmanager
def _another() -> Iterator[None]:
    """Let another process compile what boards need meanwhile, if one can be had."""
    command = [sys.executable, "-m", "nesting.solve.warm"]
    try:
        process = subprocess.Popen(
            [*command, _BOARDS],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
    except OSError:
        yield
        return
    try:
        yield
        process.wait()
    finally:
        process.kill()
        process.wait()


if __name__ == "__main__":
    if sys.argv[1:] == [_BOARDS]:
        _load_boards()
    else:
        warm()
    sys.exit(0)
